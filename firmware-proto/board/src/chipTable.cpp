// Every chip that a board may carry; of each table the first that answers is read. Accelerometers: those with a gyro, then the quieter.
// Magnetometers: those that come with an accelerometer in their package stand last, so that one that was added is the one that is
// read; among each, the quieter first. (An HMC5883L has to stand behind the LSM303DLHC, which answers alike and asks for more.)
#include "chip.h"

extern "C" const Chip lsm6dsox, lsm6ds3trc, lsm6ds3, lsm9ds1Inertial, icm20948, lsm303dlhcAccelerometer, lsm303agrAccelerometer, mpu9250,
    mpu6500, mpu6050, adxl345;
extern "C" const Chip rm3100, mmc5983ma, lsm9ds1Magnetometer, lis3mdl, ak09916, ak8963, lsm303dlhcMagnetometer, hmc5883l, qmc5883p, qmc5883l,
    lsm303agrMagnetometer, ist8310;

const Chip *const accelerometers[] IN_FLASH = {
    &lsm6dsox, &lsm6ds3trc, &lsm6ds3, &lsm9ds1Inertial, &icm20948, &mpu9250, &mpu6500, &mpu6050, &lsm303dlhcAccelerometer,
    &lsm303agrAccelerometer, &adxl345, nullptr};
const Chip *const magnetometers[] IN_FLASH = {
    &rm3100, &mmc5983ma, &lis3mdl, &qmc5883p, &qmc5883l, &ist8310, &lsm303dlhcMagnetometer, &hmc5883l,
    &lsm303agrMagnetometer, &lsm9ds1Magnetometer, &ak09916, &ak8963, nullptr};
