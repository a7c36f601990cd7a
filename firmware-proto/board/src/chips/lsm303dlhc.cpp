// The LSM303DLHC, accelerometer and magnetometer in one package.
// Registers and scales: ST DocID018771 (LSM303DLHC), sections 3 (scales), 7.1 (accelerometer), 7.2 (magnetometer). Order x, z, y of
// the magnetometer and its two scales from memory; not yet checked against a public driver.
#include "../chip.h"

namespace {

const uint8_t accelerometerAddress = 0x19, magnetometerAddress = 0x1E;
const uint8_t CTRL_REG1_A = 0x20, CTRL_REG2_A = 0x21, CTRL_REG4_A = 0x23, CTRL_REG5_A = 0x24, STATUS_REG_A = 0x27;
const uint8_t CRA_REG_M = 0x00, CRB_REG_M = 0x01, MR_REG_M = 0x02, OUT_X_H_M = 0x03, SR_REG_M = 0x09, IRA_REG_M = 0x0A;
// Not in the datasheet, but answered by the accelerometer as by its relatives: from memory.
const uint8_t WHO_AM_I_A = 0x0F, accelerometerId = 0x33;
const uint8_t autoIncrement = 0x80, ZYXDA = 0x08, DRDY = 0x01;

// The LSM303AGR's accelerometer answers alike, but its axes run otherwise: the other die tells.
bool besideMagnetometer(uint8_t) { return registerIs(magnetometerAddress, IRA_REG_M, 'H'); }
// An HMC5883L answers alike.
bool besideAccelerometer(uint8_t) { return registerIs(accelerometerAddress, WHO_AM_I_A, accelerometerId); }

const Setting accelerometerSettings[] IN_FLASH = {
    {CTRL_REG2_A, 0x00},  // no high-pass filter
    {CTRL_REG5_A, 0x00},  // no FIFO
    {CTRL_REG4_A, 0x88},  // BDU; +-2 g; HR
    {CTRL_REG1_A, 0x57},  // ODR 100 Hz, three axes
};

const Setting magnetometerSettings[] IN_FLASH = {
    {CRA_REG_M, 0x9C},  // TEMP_EN; DO 220 Hz
    {CRB_REG_M, 0x20},  // +-1.3 gauss: 1100 counts per gauss in x and y, 980 in z
    {MR_REG_M, 0x00},   // continuous
};

bool configureAccelerometer(uint8_t address, bool) { return busWriteAll(address, accelerometerSettings, 4); }
bool configureMagnetometer(uint8_t address, bool) { return busWriteAll(address, magnetometerSettings, 3); }

bool readAccelerometer(uint8_t address, Reading &reading) {
  uint8_t bytes[7];
  if (!busRead(address, STATUS_REG_A | autoIncrement, bytes, 7)) return false;
  reading.accelFresh = bytes[0] & ZYXDA;
  threeLittleEndian(bytes + 1, reading.accel);
  for (uint8_t i = 0; i < 3; i++) reading.accel[i] >>= 4;  // 12 bit, left-justified
  return true;
}

bool readMagnetometer(uint8_t address, Reading &reading) {
  if (!readField(address, SR_REG_M, DRDY, OUT_X_H_M, xzyBigEndian, reading)) return false;
  reading.field[2] = (int16_t)(reading.field[2] * 55L / 49);  // 1100 / 980: one scale for all axes
  return true;
}

}  // namespace

extern "C" const Chip lsm303dlhcAccelerometer IN_FLASH = {
    "LSM303DLHC", {accelerometerAddress}, WHO_AM_I_A, accelerometerId, besideMagnetometer, configureAccelerometer,
    readAccelerometer,
    "0.001",  // 1 mg
    "", "", "", 0, 0, 0, 0,
};

extern "C" const Chip lsm303dlhcMagnetometer IN_FLASH = {
    "LSM303DLHC", {magnetometerAddress}, IRA_REG_M, 'H', besideAccelerometer, configureMagnetometer, readMagnetometer,
    "90.9091",  // 1100 per gauss
    "", "", "", 0, 0, 0, 0,
};
