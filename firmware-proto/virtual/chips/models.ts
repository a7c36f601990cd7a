import { Adxl345 } from './adxl345.ts';
import { Ak09916, Ak8963, type Gate } from './asahiKasei.ts';
import { Hmc5883l } from './hmc5883l.ts';
import { Icm20948 } from './icm20948.ts';
import { Ist8310 } from './ist8310.ts';
import { Lis3mdl, Lsm9ds1Magnetometer } from './lis3mdl.ts';
import { Lsm303agrAccelerometer } from './lsm303agrAccelerometer.ts';
import { Lsm303agrMagnetometer } from './lsm303agrMagnetometer.ts';
import { Lsm303dlhcAccelerometer, Lsm303dlhcMagnetometer } from './lsm303dlhc.ts';
import { Lsm6ds } from './lsm6ds.ts';
import { Lsm9ds1Inertial } from './lsm9ds1.ts';
import { Mmc5983ma } from './mmc5983ma.ts';
import { Mpu } from './mpu.ts';
import type { AccelerometerName, MagnetometerName } from './parts.ts';
import { Qmc5883l } from './qmc5883l.ts';
import { Qmc5883p } from './qmc5883p.ts';
import { Rm3100 } from './rm3100.ts';
import type { ChipSurroundings, SensorChip } from './sensorChip.ts';

type Make = (around: ChipSurroundings) => SensorChip;

const accelerometerModels: Record<AccelerometerName, Make> = {
  LSM6DSOX: (around) => new Lsm6ds(around, 'LSM6DSOX'),
  'LSM6DS3TR-C': (around) => new Lsm6ds(around, 'LSM6DS3TR-C'),
  LSM6DS3: (around) => new Lsm6ds(around, 'LSM6DS3'),
  LSM9DS1: (around) => new Lsm9ds1Inertial(around),
  'ICM-20948': (around) => new Icm20948(around),
  'MPU-9250': (around) => new Mpu(around, 'MPU-9250'),
  'MPU-6500': (around) => new Mpu(around, 'MPU-6500'),
  'MPU-6050': (around) => new Mpu(around, 'MPU-6050'),
  LSM303DLHC: (around) => new Lsm303dlhcAccelerometer(around),
  LSM303AGR: (around) => new Lsm303agrAccelerometer(around),
  ADXL345: (around) => new Adxl345(around),
};

const magnetometerModels: Record<MagnetometerName, (around: ChipSurroundings, gate?: Gate) => SensorChip> = {
  RM3100: (around) => new Rm3100(around),
  MMC5983MA: (around) => new Mmc5983ma(around),
  LSM9DS1: (around) => new Lsm9ds1Magnetometer(around),
  LIS3MDL: (around) => new Lis3mdl(around),
  AK09916: (around, gate) => new Ak09916(around, gate),
  AK8963: (around, gate) => new Ak8963(around, gate),
  LSM303DLHC: (around) => new Lsm303dlhcMagnetometer(around),
  HMC5883L: (around) => new Hmc5883l(around),
  QMC5883P: (around) => new Qmc5883p(around),
  LSM303AGR: (around) => new Lsm303agrMagnetometer(around),
  IST8310: (around) => new Ist8310(around),
  QMC5883L: (around) => new Qmc5883l(around),
};

/** Which chips a board carries. */
export interface ChipNames {
  accelerometer: AccelerometerName;
  magnetometer: MagnetometerName;
}

export interface BoardChips {
  readonly accelerometer: SensorChip;
  readonly magnetometer: SensorChip;
}

/** The chips' clocks against the true one: some percent off in the datasheet, so that samples repeat or drop out at times. */
const clockRatio = { accelerometer: 1.013, magnetometer: 0.994 };

const isGate = (chip: SensorChip): chip is SensorChip & Gate => 'letsThrough' in chip;

/** The chips of a board at register level. An AK8963 or AK09916 beside an MPU or ICM hangs behind it. */
export function makeChips(names: ChipNames, around: Omit<ChipSurroundings, 'clockRatio'>): BoardChips {
  const accelerometer = accelerometerModels[names.accelerometer]({ ...around, clockRatio: clockRatio.accelerometer });
  const gate = isGate(accelerometer) ? accelerometer : undefined;
  const magnetometer = magnetometerModels[names.magnetometer]({ ...around, clockRatio: clockRatio.magnetometer }, gate);
  for (const chip of [accelerometer, magnetometer]) chip.powerUp();
  return { accelerometer, magnetometer };
}
