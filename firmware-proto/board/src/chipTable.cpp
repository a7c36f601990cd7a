// Every chip that a board may carry. The quieter ones come first, so that a chip that was added beside another is the one that is
// read; of two that answer alike the one that asks for more comes first.
#include "chip.h"

extern "C" const Chip lsm6dsox, lsm6ds3trc, lsm6ds3, lsm9ds1Inertial, icm20948, lsm303dlhcAccelerometer, lsm303agrAccelerometer, mpu9250,
    mpu6500, mpu6050, adxl345;
extern "C" const Chip rm3100, mmc5983ma, lsm9ds1Magnetometer, lis3mdl, ak09916, ak8963, lsm303dlhcMagnetometer, hmc5883l, qmc5883p, qmc5883l,
    lsm303agrMagnetometer, ist8310;

const Chip *const accelerometers[] IN_FLASH = {
    &lsm6dsox, &lsm6ds3trc, &lsm6ds3, &lsm9ds1Inertial, &icm20948, &mpu9250, &mpu6500, &mpu6050, &lsm303dlhcAccelerometer,
    &lsm303agrAccelerometer, &adxl345, nullptr};
const Chip *const magnetometers[] IN_FLASH = {
    &rm3100, &mmc5983ma, &lsm9ds1Magnetometer, &lis3mdl, &ak09916, &ak8963, &lsm303dlhcMagnetometer, &hmc5883l, &qmc5883p,
    &lsm303agrMagnetometer, &ist8310, &qmc5883l, nullptr};
