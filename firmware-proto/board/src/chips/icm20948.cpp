// The ICM-20948: accelerometer and gyro; its magnetometer is the AK09916.
// Registers and scales: InvenSense DS-000189 (ICM-20948), sections 3, 7 to 9, from memory; not yet
// checked against a public driver. Self-test of the accelerometer (ACCEL_CONFIG_2, AX_ST_EN to AZ_ST_EN): 225 to 675 mg, the absolute
// limits of InvenSense's public driver (inv_mpu_selftest.c, ICM20648 family); of the gyro (GYRO_CONFIG_2, XGYRO_CTEN to ZGYRO_CTEN)
// there: at least 60 degrees per second.
#include "../chip.h"

namespace {

const uint8_t WHO_AM_I = 0x00, USER_CTRL = 0x03, LP_CONFIG = 0x05, PWR_MGMT_1 = 0x06, PWR_MGMT_2 = 0x07, INT_PIN_CFG = 0x0F,
              INT_ENABLE_1 = 0x11, INT_STATUS_1 = 0x1A, ACCEL_XOUT_H = 0x2D, REG_BANK_SEL = 0x7F;
const uint8_t bank2 = 0x20, GYRO_SMPLRT_DIV = 0x00, GYRO_CONFIG_1 = 0x01, GYRO_CONFIG_2 = 0x02, ACCEL_SMPLRT_DIV_1 = 0x10, ACCEL_SMPLRT_DIV_2 = 0x11,
              ACCEL_CONFIG = 0x14, ACCEL_CONFIG_2 = 0x15;
const uint8_t RAW_DATA_0_RDY = 0x01;

const Setting settings[] IN_FLASH = {
    {PWR_MGMT_1, 0x01},  // awake, on the best clock
    {PWR_MGMT_2, 0x00},  // all axes
    {USER_CTRL, 0x00},
    {LP_CONFIG, 0x00},
    {REG_BANK_SEL, bank2},
    {GYRO_SMPLRT_DIV, 0x04},  // 1125 Hz / 5
    {GYRO_CONFIG_1, 0x21},    // GYRO_DLPFCFG 24 Hz, +-250 degrees per second
    {GYRO_CONFIG_2, 0x00},
    {ACCEL_SMPLRT_DIV_1, 0x00},
    {ACCEL_SMPLRT_DIV_2, 0x04},
    {ACCEL_CONFIG, 0x21},  // ACCEL_DLPFCFG 24 Hz, +-2 g
    {ACCEL_CONFIG_2, 0x00},
    {REG_BANK_SEL, 0x00},
    {INT_PIN_CFG, 0x02},   // BYPASS_EN: the magnetometer is on our bus
    {INT_ENABLE_1, 0x01},  // RAW_DATA_0_RDY is told in INT_STATUS_1
};

// It may have been left in another bank, by a restart in the middle of its settings: no identity is read there.
bool leaveBank2(uint8_t address) { return !registerIs(address, REG_BANK_SEL, bank2) || busWrite(address, REG_BANK_SEL, 0x00); }

const Setting pushing[] IN_FLASH = {{REG_BANK_SEL, bank2}, {ACCEL_CONFIG_2, 0x1C}, {GYRO_CONFIG_2, 0x38}, {REG_BANK_SEL, 0x00}};

bool configure(uint8_t address, bool push) {
  return busWriteAll(address, settings, 15) && (!push || busWriteAll(address, pushing, 4));
}

bool read(uint8_t address, Reading &reading) {
  uint8_t bytes[14];
  if (!busRead(address, INT_STATUS_1, bytes, 1)) return false;
  reading.accelFresh = bytes[0] & RAW_DATA_0_RDY;
  if (!busRead(address, ACCEL_XOUT_H, bytes, 14)) return false;  // acceleration, rate, temperature: high byte, low byte
  threeBigEndian(bytes, reading.accel);
  threeBigEndian(bytes + 6, reading.rate);
  reading.temperature = bigEndian(bytes + 12);
  return true;
}

}  // namespace

extern "C" const Chip icm20948 IN_FLASH = {
    "ICM-20948", {0x69, 0x68}, WHO_AM_I, 0xEA, leaveBank2, configure, read,
    "0.000061035", "0.0076336",  // 16384 per g, 131 per degree per second
    "0.00299517", "21", 3686, 11059, 0, 0, 7860, INT16_MAX,
};
