import type { RawCounts } from '../rawCounts.ts';
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
import { readOf, withPackages, type BusChips, type ChipNames } from './onTheBus.ts';
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

/** An LSM9DS1 has two addresses for its magnetometer; these have the first of them only. */
const withoutChoice: readonly MagnetometerName[] = ['LSM303DLHC', 'HMC5883L', 'LSM303AGR'];
const addressOfLsm9ds1 = (others: readonly MagnetometerName[]): number =>
  others.some((name) => withoutChoice.includes(name)) ? 0x1c : 0x1e;

type MakeMagnetometer = (
  around: ChipSurroundings,
  gate: Gate | undefined,
  others: readonly MagnetometerName[],
) => SensorChip;

const magnetometerModels: Record<MagnetometerName, MakeMagnetometer> = {
  RM3100: (around) => new Rm3100(around),
  MMC5983MA: (around) => new Mmc5983ma(around),
  LSM9DS1: (around, _, others) => new Lsm9ds1Magnetometer(around, addressOfLsm9ds1(others)),
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

/** Which chips a board reads, and all that is on its bus: with them, what is in their packages. */
export interface BoardChipNames extends ChipNames {
  bus?: BusChips;
}

interface BoardChips {
  readonly accelerometer: SensorChip;
  readonly magnetometer: SensorChip;
  /** All on the bus. What the others measure is told in the counts of the two that are read. */
  readonly all: readonly SensorChip[];
}

/** The chips' clocks against the true one: some percent off in the datasheet, so that samples repeat or drop out at times. */
const clockRatio = { accelerometer: 1.013, magnetometer: 0.994 };

const isGate = (chip: SensorChip | undefined): chip is SensorChip & Gate => chip !== undefined && 'letsThrough' in chip;

/** Which accelerometer an AK8963 or AK09916 hangs behind: that of its package, else the one that is read. */
const gateOf: Partial<Record<MagnetometerName, AccelerometerName>> = { AK8963: 'MPU-9250', AK09916: 'ICM-20948' };

/** The chips of a board at register level. */
export function makeChips(names: BoardChipNames, around: Omit<ChipSurroundings, 'clockRatio'>): BoardChips {
  const bus = names.bus ?? withPackages(names);
  const inertial = new Map(
    bus.accelerometers.map((name) => [
      name,
      accelerometerModels[name]({ ...around, clockRatio: clockRatio.accelerometer }),
    ]),
  );
  const accelerometer = inertial.get(names.accelerometer);
  const magnetic = new Map(
    bus.magnetometers.map((name) => {
      const gate = inertial.get(gateOf[name] ?? names.accelerometer) ?? accelerometer;
      const chip = { ...around, clockRatio: clockRatio.magnetometer };
      return [name, magnetometerModels[name](chip, isGate(gate) ? gate : undefined, bus.magnetometers)];
    }),
  );
  const magnetometer = magnetic.get(names.magnetometer);
  if (!accelerometer || !magnetometer) throw new Error('what is read must be on the bus');
  const all = [...inertial.values(), ...magnetic.values()];
  for (const chip of all) chip.powerUp();
  return { accelerometer, magnetometer, all };
}

/** The address at which two of these chips answer, so that they cannot share a bus. */
export function clashOf(bus: BusChips): number | undefined {
  const around = {
    countsAt: () => ({ accel: [0, 0, 0], field: [0, 0, 0], temperature: 0 }) as RawCounts,
    nowS: () => 0,
  };
  const addresses = makeChips({ ...readOf(bus), bus }, around).all.map(({ address }) => address);
  return addresses.find((address, index) => addresses.indexOf(address) !== index);
}
