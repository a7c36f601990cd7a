// The family of the MPU-6050, MPU-6500 and MPU-9250: accelerometer and gyro.
// Registers and scales: InvenSense RM-MPU-6000A 4.2 and PS-MPU-6000A 3.4 (MPU-6050), RM-MPU-6500A and RM-MPU-9250A; "Register
// map", registers 25 to 28, 55 to 72, 106, 107, 117, from memory; not yet checked against a public driver. Self-test of the
// accelerometer (XA_ST, YA_ST, ZA_ST): for the MPU-6500 and MPU-9250 225 to 675 mg at +-2 g, the absolute limits of InvenSense's public
// driver for Linux (inv_mpu, "Self Test Absolute Limits"); for the MPU-6050 from the ends of its factory trim, 0.34 and 0.92 g, and 14
// percent (RM-MPU-6000A, registers 13 to 16; PS-MPU-6000A, 6.2; from memory). Of the gyro (XG_ST, YG_ST, ZG_ST), as that driver has
// it: 10 to 105 degrees per second for the MPU-6050, at least 60 for the others.
#include "../chip.h"

namespace {

const uint8_t SMPLRT_DIV = 0x19, CONFIG = 0x1A, GYRO_CONFIG = 0x1B, ACCEL_CONFIG = 0x1C, ACCEL_CONFIG2 = 0x1D, FIFO_EN = 0x23,
              INT_PIN_CFG = 0x37, INT_ENABLE = 0x38, INT_STATUS = 0x3A, USER_CTRL = 0x6A, PWR_MGMT_1 = 0x6B, WHO_AM_I = 0x75;
const uint8_t DATA_RDY = 0x01;

const Setting settings[] IN_FLASH = {
    {PWR_MGMT_1, 0x01},    // awake, on the gyro's clock
    {USER_CTRL, 0x00},     // no FIFO, no I2C master ...
    {INT_PIN_CFG, 0x02},   // ... I2C_BYPASS_EN: a magnetometer behind it, in the package or on the module, is on our bus
    {FIFO_EN, 0x00},
    {SMPLRT_DIV, 0x04},    // 1 kHz / 5
    {CONFIG, 0x04},        // DLPF: 20 Hz
    {GYRO_CONFIG, 0x00},   // +-250 degrees per second
    {ACCEL_CONFIG, 0x00},  // +-2 g
    {INT_ENABLE, 0x01},    // DATA_RDY is told in INT_STATUS
};

bool configure6050(uint8_t address, bool push) {
  return busWriteAll(address, settings, 9) && (!push || (busWrite(address, ACCEL_CONFIG, 0xE0) && busWrite(address, GYRO_CONFIG, 0xE0)));
}

// The later ones filter the accelerometer on its own.
bool configure6500(uint8_t address, bool push) {
  return configure6050(address, push) && busWrite(address, ACCEL_CONFIG2, 0x04);  // A_DLPF: 21 Hz
}

bool read(uint8_t address, Reading &reading) {
  uint8_t bytes[15];  // status, acceleration, temperature, rate: high byte, low byte
  if (!busRead(address, INT_STATUS, bytes, 15)) return false;
  reading.accelFresh = bytes[0] & DATA_RDY;
  threeBigEndian(bytes + 1, reading.accel);
  reading.temperature = bigEndian(bytes + 7);
  threeBigEndian(bytes + 9, reading.rate);
  return true;
}

}  // namespace

extern "C" const Chip mpu6050 IN_FLASH = {
    "MPU-6050", {0x68, 0x69}, WHO_AM_I, 0x68, nullptr, configure6050, read,
    "0.000061035", "0.0076336",  // 16384 per g, 131 per degree per second
    "0.00294118", "36.53", 4791, 17184, 0, 0, 1310, 13755,
};

extern "C" const Chip mpu6500 IN_FLASH = {
    "MPU-6500", {0x68, 0x69}, WHO_AM_I, 0x70, nullptr, configure6500, read,
    "0.000061035", "0.0076336",  // 16384 per g, 131 per degree per second
    "0.00299517", "21", 3686, 11059, 0, 0, 7860, INT16_MAX,
};

extern "C" const Chip mpu9250 IN_FLASH = {
    "MPU-9250", {0x68, 0x69}, WHO_AM_I, 0x71, nullptr, configure6500, read,
    "0.000061035", "0.0076336",  // 16384 per g, 131 per degree per second
    "0.00299517", "21", 3686, 11059, 0, 0, 7860, INT16_MAX,
};
