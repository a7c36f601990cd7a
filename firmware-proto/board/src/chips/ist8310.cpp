// The magnetometer IST8310.
// Registers, settings and scale: iSentek IST8310 datasheet, "Register map", as in ArduPilot's public driver AP_Compass_IST8310
// (0.3 uT per count; it turns one axis, since the chip counts along left-handed ones, as inav, pull request 10011, says as well).
#include "../chip.h"

namespace {

const uint8_t WAI = 0x00, STAT1 = 0x02, CNTL1 = 0x0A, AVGCNTL = 0x41, PDCNTL = 0x42;
const uint8_t DRDY = 0x01, single = 0x01;

const Setting settings[] IN_FLASH = {
    {AVGCNTL, 0x24},  // means of 16: 6 ms (from memory)
    {PDCNTL, 0xC0},   // pulse duration "normal"
    {CNTL1, single},
};

bool configure(uint8_t address, bool) { return busWriteAll(address, settings, 3); }

// Each reading starts the next measurement.
bool read(uint8_t address, Reading &reading) {
  uint8_t bytes[7];  // status, x, y, z: low byte, high byte
  if (!busRead(address, STAT1, bytes, 7)) return false;
  reading.fieldFresh = bytes[0] & DRDY;
  threeLittleEndian(bytes + 1, reading.field);
  reading.field[1] = opposite(reading.field[1]);
  return !reading.fieldFresh || busWrite(address, CNTL1, single);
}

}  // namespace

extern "C" const Chip ist8310 IN_FLASH = {
    "IST8310", {0x0E}, WAI, 0x10, nullptr, configure, read,
    "300",  // 0.3 uT
    "", "", "", 0, 0, 0, 0,
};
