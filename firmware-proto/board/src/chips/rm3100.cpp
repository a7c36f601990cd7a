// The magnetometer RM3100.
// Registers, rates and scale: PNI RM3100 user manual, revision 8, sections 4 and 5 (75 counts per uT at 200 cycles). Checked
// against ArduPilot's public driver AP_Compass_RM3100 (axes as they come).
#include "../chip.h"

namespace {

const uint8_t CMM = 0x01, CCX1 = 0x04, TMRC = 0x0B, MX2 = 0x24, STATUS = 0x34, REVID = 0x36;
const uint8_t DRDY = 0x80;

const Setting settings[] IN_FLASH = {
    {CMM, 0x00},  // it may run with other settings
    {CCX1, 0}, {CCX1 + 1, 200}, {CCX1 + 2, 0}, {CCX1 + 3, 200}, {CCX1 + 4, 0}, {CCX1 + 5, 200},
    {TMRC, 0x94},  // 150 Hz, the fastest with 200 cycles
    {CMM, 0x71},   // three axes, continuous; DRDY when all are measured
};

bool configure(uint8_t address, bool) { return busWriteAll(address, settings, 9); }

bool read(uint8_t address, Reading &reading) {
  uint8_t bytes[9];  // x, y, z: three bytes each, the high one first
  if (!busRead(address, STATUS, bytes, 1)) return false;
  reading.fieldFresh = bytes[0] & DRDY;
  if (!busRead(address, MX2, bytes, 9)) return false;
  for (uint8_t i = 0; i < 3; i++) {
    const uint8_t *axis = bytes + 3 * i;
    reading.field[i] = within16((int32_t)(int8_t)axis[0] * 65536 + (uint16_t)bigEndian(axis + 1));
  }
  return true;
}

}  // namespace

extern "C" const Chip rm3100 IN_FLASH = {
    "RM3100", {0x20, 0x21, 0x22, 0x23}, REVID, 0x22, nullptr, configure, read,
    "13.3333",  // 75 per uT
    "", "", "", 0, 0,
};
