// The accelerometer ADXL345.
// Registers, scale and limits of the self-test: Analog Devices ADXL345 data sheet, Rev. G, "Register definitions" and table 1
// (0.2 to 3.4 g on one axis or another at 2.5 V, here with the widening to 3.3 V of table 14 by 1.77). Axes and the self-test's
// figures from memory of the same sheet.
#include "../chip.h"

namespace {

const uint8_t DEVID = 0x00, BW_RATE = 0x2C, POWER_CTL = 0x2D, INT_SOURCE = 0x30, DATA_FORMAT = 0x31, FIFO_CTL = 0x38;
const uint8_t DATA_READY = 0x80, SELF_TEST = 0x80, FULL_RES = 0x08;

const Setting settings[] IN_FLASH = {
    {BW_RATE, 0x0A},    // 100 Hz, LOW_POWER off
    {FIFO_CTL, 0x00},   // bypass
    {POWER_CTL, 0x08},  // Measure
};

bool configure(uint8_t address, bool push) {
  // +-2 g at full resolution
  return busWrite(address, DATA_FORMAT, push ? SELF_TEST | FULL_RES : FULL_RES) && busWriteAll(address, settings, 3);
}

bool read(uint8_t address, Reading &reading) {
  uint8_t bytes[8];  // INT_SOURCE, DATA_FORMAT, x, y, z: low byte, high byte
  if (!busRead(address, INT_SOURCE, bytes, 8)) return false;
  reading.accelFresh = bytes[0] & DATA_READY;
  threeLittleEndian(bytes + 2, reading.accel);
  return true;
}

}  // namespace

extern "C" const Chip adxl345 IN_FLASH = {
    "ADXL345", {0x53, 0x1D}, DEVID, 0xE5, nullptr, configure, read,
    "0.00390625",  // 256 per g
    "", "", "", 51, 1540, 0, 0,
};
