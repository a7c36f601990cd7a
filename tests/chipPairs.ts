import type { AccelerometerName, MagnetometerName } from '../firmware-proto/virtual/chips/parts.ts';

/** Every accelerometer and every magnetometer at least once; each package with its own other die, the rest mixed. */
export const chipPairs: readonly (readonly [AccelerometerName, MagnetometerName])[] = [
  ['LSM303AGR', 'LSM303AGR'],
  ['LSM303DLHC', 'LSM303DLHC'],
  ['LSM9DS1', 'LSM9DS1'],
  ['MPU-9250', 'AK8963'],
  ['ICM-20948', 'AK09916'],
  ['MPU-6050', 'HMC5883L'],
  ['MPU-6500', 'QMC5883P'],
  ['LSM6DS3', 'LIS3MDL'],
  ['LSM6DS3TR-C', 'MMC5983MA'],
  ['LSM6DSOX', 'RM3100'],
  ['ADXL345', 'QMC5883L'],
  ['ADXL345', 'IST8310'],
];
