// The magnetometer LIS3MDL.
// Registers and scales: ST DocID024204 (LIS3MDL), sections 2.1, 7. Checked against ArduPilot's public driver AP_Compass_LIS3MDL
// (6842 counts per gauss at +-4 gauss; axes as they come are right-handed). Self-test (CTRL_REG1, ST): 1 to 3 gauss in x and y, 0.1 to
// 1 in z, as in ST's public example lis3mdl_self_test.c.
#include "../chip.h"

namespace {

const uint8_t WHO_AM_I = 0x0F, CTRL_REG1 = 0x20, CTRL_REG2 = 0x21, CTRL_REG3 = 0x22, CTRL_REG4 = 0x23, CTRL_REG5 = 0x24,
              STATUS_REG = 0x27;
const uint8_t autoIncrement = 0x80, ZYXDA = 0x08;

const Setting settings[] IN_FLASH = {
    {CTRL_REG1, 0xFE},  // TEMP_EN; OM: ultra-high performance in x and y; FAST_ODR: 155 Hz with it
    {CTRL_REG2, 0x00},  // +-4 gauss
    {CTRL_REG4, 0x0C},  // OMZ: ultra-high performance in z
    {CTRL_REG5, 0x40},  // BDU
    {CTRL_REG3, 0x00},  // MD: continuous
};

// An LSM9DS1's magnetometer answers alike, but its axes run otherwise: beside an LSM9DS1 nothing is taken for a LIS3MDL.
bool confirm(uint8_t) { return !registerIs(0x6B, WHO_AM_I, 0x68) && !registerIs(0x6A, WHO_AM_I, 0x68); }

bool configure(uint8_t address, bool push) {
  return busWriteAll(address, settings, 5) && (!push || busWrite(address, CTRL_REG1, 0xFF));
}

bool read(uint8_t address, Reading &reading) {
  uint8_t bytes[9];  // status, x, y, z, temperature
  if (!busRead(address, STATUS_REG | autoIncrement, bytes, 9)) return false;
  reading.fieldFresh = bytes[0] & ZYXDA;
  threeLittleEndian(bytes + 1, reading.field);
  reading.temperature = littleEndian(bytes + 7);
  return true;
}

}  // namespace

extern "C" const Chip lis3mdl IN_FLASH = {
    "LIS3MDL", {0x1C, 0x1E}, WHO_AM_I, 0x3D, confirm, configure, read,
    "14.6156",  // 6842 per gauss
    "", "0.125", "25", 6842, 20526, 684, 6842,
};
