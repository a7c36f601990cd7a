// Register and bit names: ST DocID027765, LSM303AGR datasheet. Addresses and bits as in ST's public driver
// (STMems_Standard_C_drivers, lsm303agr_reg.h); what a setting does to noise and bandwidth is from memory of the datasheet.
#include "lsm303agr.h"

#include "bus.h"

namespace lsm303agr {

const char *const name = "LSM303AGR";
const char *const gPerCount = "0.00098";
const char *const ntPerCount = "150";
const char *const celsiusPerCount = "0.00390625";
const char *const celsiusAtZero = "25";

// The chip answers to two addresses on the bus.
static const uint8_t accelerometer = 0x19;
static const uint8_t magnetometer = 0x1E;

static const uint8_t OUT_TEMP_L_A = 0x0C, WHO_AM_I_A = 0x0F, TEMP_CFG_REG_A = 0x1F, CTRL_REG1_A = 0x20,
                     CTRL_REG2_A = 0x21, CTRL_REG4_A = 0x23, CTRL_REG5_A = 0x24, STATUS_REG_A = 0x27;
static const uint8_t WHO_AM_I_M = 0x4F, CFG_REG_A_M = 0x60, CFG_REG_B_M = 0x61, CFG_REG_C_M = 0x62, STATUS_REG_M = 0x67;

// The accelerometer moves on to the next register only when this bit is set; the magnetometer always does.
static const uint8_t autoIncrement = 0x80;
static const uint8_t ZYXDA = 0x08;  // the same bit in both status registers: new data on all axes

static uint8_t readId(uint8_t chip, uint8_t address) {
  uint8_t id;
  return busRead(chip, address, &id, 1) ? id : 0;
}

uint8_t readAccelerometerId() { return readId(accelerometer, WHO_AM_I_A); }
uint8_t readMagnetometerId() { return readId(magnetometer, WHO_AM_I_M); }

bool configure(bool selfTest) {
  return
      // No high-pass filter, no FIFO: gravity itself is wanted.
      busWrite(accelerometer, CTRL_REG2_A, 0x00) && busWrite(accelerometer, CTRL_REG5_A, 0x00) &&
      // TEMP_EN1, TEMP_EN0: temperature sensor on; it needs BDU.
      busWrite(accelerometer, TEMP_CFG_REG_A, 0xC0) &&
      // BDU: high and low byte of one sample. HR: 12 bit, bandwidth ODR/9 and so the least noise. FS = 00: +-2 g.
      // ST = 01: self-test, positive.
      busWrite(accelerometer, CTRL_REG4_A, selfTest ? 0x8A : 0x88) &&
      // ODR = 0101: 100 Hz. LPen = 0. Zen, Yen, Xen.
      busWrite(accelerometer, CTRL_REG1_A, 0x57) &&
      // LPF: bandwidth ODR/4 in place of ODR/2, 3 mG of noise in place of 4.5; ST's self-test runs without it.
      // OFF_CANC: set and reset pulses in every sample, so that the bridge's own offset cancels.
      busWrite(magnetometer, CFG_REG_B_M, selfTest ? 0x02 : 0x03) &&
      // BDU. Self_test.
      busWrite(magnetometer, CFG_REG_C_M, selfTest ? 0x12 : 0x10) &&
      // COMP_TEMP_EN: temperature compensation, demanded for right readings. LP = 0: high resolution. ODR = 11: 100 Hz.
      // MD = 00: continuous.
      busWrite(magnetometer, CFG_REG_A_M, 0x8C);
}

static int16_t wordAt(const uint8_t *bytes) { return (int16_t)(bytes[0] | ((uint16_t)bytes[1] << 8)); }

static int16_t opposite(int16_t value) { return value == INT16_MIN ? INT16_MAX : (int16_t)-value; }

// Both chips count along x, y, z like north, east and up, which is a left-handed set (orientation "neu" of both in ST's own
// demonstration firmware for its LSM303AGR shield; the LIS2MDL, the same magnetometer, is documented so). The wire carries
// right-handed sets only, so y changes its sign here.
bool readSample(Reading &reading) {
  uint8_t bytes[7];  // status, then x, y, z: low byte, high byte
  if (!busRead(accelerometer, STATUS_REG_A | autoIncrement, bytes, 7)) return false;
  reading.accelFresh = bytes[0] & ZYXDA;
  for (uint8_t i = 0; i < 3; i++) reading.accel[i] = wordAt(bytes + 1 + 2 * i) >> 4;  // 12 bit, left-justified
  reading.accel[1] = -reading.accel[1];

  if (!busRead(magnetometer, STATUS_REG_M, bytes, 7)) return false;
  reading.fieldFresh = bytes[0] & ZYXDA;
  for (uint8_t i = 0; i < 3; i++) reading.field[i] = wordAt(bytes + 1 + 2 * i);
  reading.field[1] = opposite(reading.field[1]);

  if (!busRead(accelerometer, OUT_TEMP_L_A | autoIncrement, bytes, 2)) return false;
  reading.temperature = wordAt(bytes);
  return true;
}

}  // namespace lsm303agr
