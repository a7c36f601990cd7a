// The LSM303AGR, accelerometer and magnetometer in one package.
// Register and bit names: ST DocID027765, LSM303AGR datasheet. Addresses and bits as in ST's public driver
// (STMems_Standard_C_drivers, lsm303agr_reg.h); what a setting does to noise and bandwidth is from memory of the datasheet.
// Limits of the self-test: ST's public example lsm303agr_self_test.c (68 to 1440 mg; 15 to 500 mG).
#include "../chip.h"

namespace {

const uint8_t OUT_TEMP_L_A = 0x0C, WHO_AM_I_A = 0x0F, TEMP_CFG_REG_A = 0x1F, CTRL_REG1_A = 0x20, CTRL_REG2_A = 0x21,
              CTRL_REG4_A = 0x23, CTRL_REG5_A = 0x24, STATUS_REG_A = 0x27;
const uint8_t WHO_AM_I_M = 0x4F, CFG_REG_A_M = 0x60, CFG_REG_B_M = 0x61, CFG_REG_C_M = 0x62, STATUS_REG_M = 0x67;

// The accelerometer moves on to the next register only when this bit is set; the magnetometer always does.
const uint8_t autoIncrement = 0x80;
const uint8_t ZYXDA = 0x08;  // the same bit in both status registers: new data on all axes

bool configureAccelerometer(uint8_t address, bool push) {
  return
      // No high-pass filter, no FIFO: gravity itself is wanted.
      busWrite(address, CTRL_REG2_A, 0x00) && busWrite(address, CTRL_REG5_A, 0x00) &&
      // TEMP_EN1, TEMP_EN0: temperature sensor on; it needs BDU.
      busWrite(address, TEMP_CFG_REG_A, 0xC0) &&
      // BDU: high and low byte of one sample. HR: 12 bit, bandwidth ODR/9 and so the least noise. FS = 00: +-2 g.
      // ST = 01: self-test, positive.
      busWrite(address, CTRL_REG4_A, push ? 0x8A : 0x88) &&
      // ODR = 0101: 100 Hz. LPen = 0. Zen, Yen, Xen.
      busWrite(address, CTRL_REG1_A, 0x57);
}

bool configureMagnetometer(uint8_t address, bool push) {
  return
      // LPF: bandwidth ODR/4 in place of ODR/2, 3 mG of noise in place of 4.5; ST's self-test runs without it.
      // OFF_CANC: set and reset pulses in every sample, so that the bridge's own offset cancels.
      busWrite(address, CFG_REG_B_M, push ? 0x02 : 0x03) &&
      // BDU. Self_test.
      busWrite(address, CFG_REG_C_M, push ? 0x12 : 0x10) &&
      // COMP_TEMP_EN: temperature compensation, demanded for right readings. LP = 0: high resolution. ODR = 11: 100 Hz.
      // MD = 00: continuous.
      busWrite(address, CFG_REG_A_M, 0x8C);
}

// Both chips count along x, y, z like north, east and up, which is a left-handed set (orientation "neu" of both in ST's own
// demonstration firmware for its LSM303AGR shield; the LIS2MDL, the same magnetometer, is documented so): y is turned.
bool readAccelerometer(uint8_t address, Reading &reading) {
  uint8_t bytes[7];  // status, then x, y, z: low byte, high byte
  if (!busRead(address, STATUS_REG_A | autoIncrement, bytes, 7)) return false;
  reading.accelFresh = bytes[0] & ZYXDA;
  for (uint8_t i = 0; i < 3; i++) reading.accel[i] = littleEndian(bytes + 1 + 2 * i) >> 4;  // 12 bit, left-justified
  reading.accel[1] = -reading.accel[1];

  if (!busRead(address, OUT_TEMP_L_A | autoIncrement, bytes, 2)) return false;
  reading.temperature = littleEndian(bytes);
  return true;
}

bool readMagnetometer(uint8_t address, Reading &reading) {
  uint8_t bytes[7];
  if (!busRead(address, STATUS_REG_M, bytes, 7)) return false;
  reading.fieldFresh = bytes[0] & ZYXDA;
  for (uint8_t i = 0; i < 3; i++) reading.field[i] = littleEndian(bytes + 1 + 2 * i);
  reading.field[1] = opposite(reading.field[1]);
  return true;
}

}  // namespace

extern "C" const Chip lsm303agrAccelerometer IN_FLASH = {
    "LSM303AGR", {0x19}, WHO_AM_I_A, 0x33, nullptr, configureAccelerometer, readAccelerometer,
    "0.00098",           // 12 bit, +-2 g
    "",                  // no gyro
    "0.00390625", "25",  // OUT_TEMP is left-justified
    70, 1469, 0, 0,
};

extern "C" const Chip lsm303agrMagnetometer IN_FLASH = {
    "LSM303AGR", {0x1E}, WHO_AM_I_M, 0x40, nullptr, configureMagnetometer, readMagnetometer,
    "150",  // 1.5 mG
    "", "", "",
    10, 333, 0, 0,
};
