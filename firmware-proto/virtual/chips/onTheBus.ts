import { accelerometers, magnetometers, type AccelerometerName, type MagnetometerName } from './parts.ts';

/** An accelerometer and a magnetometer. */
export interface ChipNames {
  accelerometer: AccelerometerName;
  magnetometer: MagnetometerName;
}

/** All that hangs on a bus. */
export interface BusChips {
  accelerometers: readonly AccelerometerName[];
  magnetometers: readonly MagnetometerName[];
}

/** The magnetometer in the package of an accelerometer. */
const magnetometerWithin: Partial<Record<AccelerometerName, MagnetometerName>> = {
  LSM303DLHC: 'LSM303DLHC',
  LSM303AGR: 'LSM303AGR',
  LSM9DS1: 'LSM9DS1',
  'MPU-9250': 'AK8963',
  'ICM-20948': 'AK09916',
};

/** The accelerometer in the package of a magnetometer. The other magnetometers of packages are sold alone, too (one as LIS2MDL). */
const accelerometerWithin: Partial<Record<MagnetometerName, AccelerometerName>> = {
  LSM303DLHC: 'LSM303DLHC',
  LSM9DS1: 'LSM9DS1',
};

const present = <Name>(...names: readonly (Name | undefined)[]): Name[] => [
  ...new Set(names.filter((name) => name !== undefined)),
];

/** The modules of these chips on one bus, with every chip in their packages. */
export function withPackages({ accelerometer, magnetometer }: ChipNames): BusChips {
  const both = present(accelerometer, accelerometerWithin[magnetometer]);
  return { accelerometers: both, magnetometers: present(magnetometer, ...both.map((one) => magnetometerWithin[one])) };
}

/** The first of a table that is there. */
function first<Name extends string>(table: Readonly<Record<Name, unknown>>, there: readonly Name[]): Name {
  const found = (Object.keys(table) as Name[]).find((name) => there.includes(name));
  if (found === undefined) throw new Error('nothing on the bus');
  return found;
}

/** What the board reads of them. A LIS3MDL beside an LSM9DS1 answers like that chip's own magnetometer and is left alone. */
export function readOf(bus: BusChips): ChipNames {
  const told = bus.accelerometers.includes('LSM9DS1')
    ? bus.magnetometers.filter((name) => name !== 'LIS3MDL')
    : bus.magnetometers;
  return {
    accelerometer: first(accelerometers, bus.accelerometers),
    magnetometer: first(magnetometers, told),
  };
}
