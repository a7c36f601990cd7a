// The LSM9DS1: accelerometer and gyro on one die, magnetometer on another.
// Registers and scales: ST DocID025715 (LSM9DS1), sections 2.1, 6, 7, 8. Axes as in ArduPilot's public drivers
// AP_InertialSensor_LSM9DS1 (z of both is turned: they count along left-handed axes) and AP_Compass_LSM9DS1 (as they come); that
// the magnetometer's x runs against the accelerometer's: PX4 DriverFramework, pull request 160. Limits of the self-test from memory, those
// of the magnetometer (1 to 3 gauss in x and y, 0.1 to 1 in z) as of the LIS3MDL, whose registers it has.
#include "../chip.h"

namespace {

const uint8_t WHO_AM_I = 0x0F, inertialId = 0x68, magnetometerId = 0x3D;
const uint8_t CTRL_REG1_G = 0x10, OUT_TEMP_L = 0x15, CTRL_REG4 = 0x1E, CTRL_REG5_XL = 0x1F, CTRL_REG6_XL = 0x20, CTRL_REG7_XL = 0x21,
              CTRL_REG8 = 0x22, CTRL_REG9 = 0x23, CTRL_REG10 = 0x24, STATUS_REG = 0x27;
const uint8_t CTRL_REG1_M = 0x20, CTRL_REG2_M = 0x21, CTRL_REG3_M = 0x22, CTRL_REG4_M = 0x23, CTRL_REG5_M = 0x24, STATUS_REG_M = 0x27;
const uint8_t XLDA = 0x01, ZYXDA = 0x08, autoIncrement = 0x80;

const Setting inertialSettings[] IN_FLASH = {
    {CTRL_REG8, 0x44},     // BDU; IF_ADD_INC: the register address moves on
    {CTRL_REG9, 0x00},     // no FIFO, gyro awake
    {CTRL_REG4, 0x38},     // three axes of the gyro
    {CTRL_REG5_XL, 0x38},  // three axes of the accelerometer
    {CTRL_REG7_XL, 0x00},
    {CTRL_REG6_XL, 0x67},  // 119 Hz, +-2 g, bandwidth 50 Hz
    {CTRL_REG1_G, 0x60},   // 119 Hz, +-245 degrees per second
};

const Setting magnetometerSettings[] IN_FLASH = {
    {CTRL_REG1_M, 0xFE},  // TEMP_COMP; ultra-high performance in x and y; FAST_ODR: 155 Hz with it
    {CTRL_REG2_M, 0x00},  // +-4 gauss
    {CTRL_REG4_M, 0x0C},  // ultra-high performance in z
    {CTRL_REG5_M, 0x40},  // BDU
    {CTRL_REG3_M, 0x00},  // continuous
};

// A LIS3MDL answers alike.
bool besideInertial(uint8_t) { return registerIs(0x6B, WHO_AM_I, inertialId) || registerIs(0x6A, WHO_AM_I, inertialId); }

bool configureInertial(uint8_t address, bool push) {
  return busWrite(address, CTRL_REG10, push) && busWriteAll(address, inertialSettings, 7);  // ST_XL
}
bool configureMagnetometer(uint8_t address, bool push) {
  return busWriteAll(address, magnetometerSettings, 5) && (!push || busWrite(address, CTRL_REG1_M, 0xFF));  // ST
}

bool readInertial(uint8_t address, Reading &reading) {
  uint8_t bytes[9];
  if (!busRead(address, STATUS_REG, bytes, 7)) return false;
  reading.accelFresh = bytes[0] & XLDA;
  threeLittleEndian(bytes + 1, reading.accel);
  if (!busRead(address, OUT_TEMP_L, bytes, 9)) return false;  // temperature, status, rate
  reading.temperature = littleEndian(bytes);
  threeLittleEndian(bytes + 3, reading.rate);
  reading.accel[1] = opposite(reading.accel[1]);
  reading.rate[1] = opposite(reading.rate[1]);
  return true;
}

// Turned half way about z against its own axes: then it shares those of the accelerometer as it is told here.
bool readMagnetometer(uint8_t address, Reading &reading) {
  uint8_t bytes[7];
  if (!busRead(address, STATUS_REG_M | autoIncrement, bytes, 7)) return false;
  reading.fieldFresh = bytes[0] & ZYXDA;
  threeLittleEndian(bytes + 1, reading.field);
  reading.field[0] = opposite(reading.field[0]);
  reading.field[1] = opposite(reading.field[1]);
  return true;
}

}  // namespace

extern "C" const Chip lsm9ds1Inertial IN_FLASH = {
    "LSM9DS1", {0x6B, 0x6A}, WHO_AM_I, inertialId, nullptr, configureInertial, readInertial,
    "0.000061", "0.00875",
    "0.0625", "25", 984, 27869, 0, 0,  // 60 to 1700 mg
};

extern "C" const Chip lsm9ds1Magnetometer IN_FLASH = {
    "LSM9DS1", {0x1E, 0x1C}, WHO_AM_I, magnetometerId, besideInertial, configureMagnetometer, readMagnetometer,
    "14",  // 0.14 mG
    "", "", "", 7143, 21429, 714, 7143,
};
