// The magnetometer QMC5883P, at another address and with other registers than the QMC5883L.
// Registers, settings and scale: QST QMC5883P datasheet (13-52-19), sections 7 and 9, and its example for normal mode. Axes as
// in ArduPilot's public driver AP_Compass_QMC5883P. From memory: the register of the axes' signs, and 3750 counts per gauss at +-8
// gauss, for which ArduPilot's driver takes 3000.
#include "../chip.h"

namespace {

const uint8_t chipId = 0x00, dataOutputX = 0x01, status = 0x09, control1 = 0x0A, control2 = 0x0B, axisSigns = 0x29;
const uint8_t DRDY = 0x01;

const Setting settings[] IN_FLASH = {
    {axisSigns, 0x06},
    {control2, 0x08},  // RNG +-8 gauss, set and reset on
    {control1, 0xCD},  // OSR2 8, OSR1 8, ODR 200 Hz, normal mode
};

bool configure(uint8_t address, bool) { return busWriteAll(address, settings, 3); }

bool read(uint8_t address, Reading &reading) {
  uint8_t bytes[6];
  if (!busRead(address, status, bytes, 1)) return false;
  reading.fieldFresh = bytes[0] & DRDY;
  if (!busRead(address, dataOutputX, bytes, 6)) return false;
  threeLittleEndian(bytes, reading.field);
  return true;
}

}  // namespace

extern const Chip qmc5883p IN_FLASH = {
    "QMC5883P", {0x2C}, chipId, 0x80, nullptr, configure, read,
    "26.6667",  // 3750 per gauss
    "", "", "", 0, 0,
};
