// The family of the LSM6DS3, LSM6DS3TR-C and LSM6DSOX (and LSM6DSO): accelerometer and gyro.
// Registers and scales: ST DocID026899 (LSM6DS3), DocID030071 (LSM6DS3TR-C), DS12814 (LSM6DSOX), sections "Mechanical
// characteristics" and "Register description", from memory. Limits of the self-test: 90 or 50 to 1700 mg, as ST's
// public example lsm6dso_self_test.c has them; gyro 20 to 80 degrees per second at +-250, as public drivers of the LSM6DSOX have them.
#include "../chip.h"

namespace {

const uint8_t WHO_AM_I = 0x0F, CTRL1_XL = 0x10, CTRL2_G = 0x11, CTRL3_C = 0x12, CTRL4_C = 0x13, CTRL5_C = 0x14,
              CTRL8_XL = 0x17, STATUS_REG = 0x1E;
const uint8_t XLDA = 0x01;

const Setting settings3[] IN_FLASH = {
    {CTRL3_C, 0x44},   // BDU; IF_INC: the register address moves on
    {CTRL4_C, 0x80},   // XL_BW_SCAL_ODR (the TR-C has no such bit)
    {CTRL8_XL, 0xC0},  // LPF2_XL_EN, HPCF_XL: ODR/9, 23 Hz
    {CTRL2_G, 0x50},   // 208 Hz, +-250 degrees per second
    {CTRL1_XL, 0x53},  // 208 Hz, +-2 g, the narrower of the filters before LPF2
};

const Setting settingsX[] IN_FLASH = {
    {CTRL3_C, 0x44}, {CTRL4_C, 0x00},
    {CTRL8_XL, 0x20},  // HPCF_XL: ODR/10, 21 Hz
    {CTRL2_G, 0x50},
    {CTRL1_XL, 0x52},  // 208 Hz, +-2 g, LPF2_XL_EN
};

// CTRL5_C, ST_G = 01, ST_XL = 01: pushes gyro and accelerometer, positive.
bool pushIs(uint8_t address, bool on) { return busWrite(address, CTRL5_C, on ? 0x05 : 0x00); }

bool configure3(uint8_t address, bool push) { return pushIs(address, push) && busWriteAll(address, settings3, 5); }
bool configureX(uint8_t address, bool push) { return pushIs(address, push) && busWriteAll(address, settingsX, 5); }

bool read(uint8_t address, Reading &reading) {
  uint8_t bytes[16];  // status, a reserved one, temperature, rate, acceleration: low byte, high byte
  if (!busRead(address, STATUS_REG, bytes, 16)) return false;
  reading.accelFresh = bytes[0] & XLDA;
  reading.temperature = littleEndian(bytes + 2);
  threeLittleEndian(bytes + 4, reading.rate);
  threeLittleEndian(bytes + 10, reading.accel);
  return true;
}

}  // namespace

extern "C" const Chip lsm6ds3 IN_FLASH = {
    "LSM6DS3", {0x6A, 0x6B}, WHO_AM_I, 0x69, nullptr, configure3, read,
    "0.000061", "0.00875",
    "0.0625", "25", 1475, 27869, 0, 0, 2286, 9143,
};

extern "C" const Chip lsm6ds3trc IN_FLASH = {
    "LSM6DS3TR-C", {0x6A, 0x6B}, WHO_AM_I, 0x6A, nullptr, configure3, read,
    "0.000061", "0.00875",
    "0.00390625", "25", 1475, 27869, 0, 0, 2286, 9143,
};

extern "C" const Chip lsm6dsox IN_FLASH = {
    "LSM6DSOX", {0x6A, 0x6B}, WHO_AM_I, 0x6C, nullptr, configureX, read,
    "0.000061", "0.00875",
    "0.00390625", "25", 820, 27869, 0, 0, 2286, 9143,
};
