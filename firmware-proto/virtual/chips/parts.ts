import { degree } from '../../../calibration/angle.ts';
import type { ChipMake, SensorMake } from '../chip.ts';

// Scale and limit as the driver of the board sets the chip. Noise is that of one sample at the bandwidth that the driver sets;
// zero levels are two sigmas of a make's spread where a datasheet gives a typical limit. What no document gave is "assumed".

type Figures = Pick<SensorMake, 'identity' | 'source' | 'perCount' | 'noise' | 'bias'> & Partial<SensorMake>;

const accelerometer = (part: string, figures: Figures): SensorMake => ({
  part,
  orientation: '+X+Y+Z',
  limitCounts: 32767,
  biasPerC: 0.0002,
  wander: 0.00005,
  scale: 0.01,
  crossAxis: 0.005,
  misalignmentRad: 0,
  ...figures,
});

const magnetometer = (part: string, figures: Figures): SensorMake => ({
  part,
  orientation: '+X+Y+Z',
  limitCounts: 32767,
  biasPerC: 15,
  wander: 8,
  scale: 0.03,
  crossAxis: 0.01,
  misalignmentRad: 2 * degree,
  ...figures,
});

const gyro = (part: string, figures: Figures): SensorMake => ({
  part,
  orientation: '+X+Y+Z',
  limitCounts: 32767,
  biasPerC: 0.02,
  wander: 0.005,
  scale: 0.01,
  crossAxis: 0.005,
  misalignmentRad: 0.5 * degree,
  ...figures,
});

export const accelerometers = {
  LSM6DSOX: accelerometer('LSM6DSOX', {
    identity: '6C',
    source: 'ST DS12814: 70 ug/sqrt(Hz) over 33 Hz, zero level 20 mg',
    perCount: 0.000061,
    noise: 0.0004,
    bias: 0.01,
    scale: 0.005,
  }),
  'LSM6DS3TR-C': accelerometer('LSM6DS3TR-C', {
    identity: '6A',
    source: 'ST DocID030071: 90 ug/sqrt(Hz) over 36 Hz, zero level 40 mg',
    perCount: 0.000061,
    noise: 0.00054,
    bias: 0.02,
  }),
  LSM6DS3: accelerometer('LSM6DS3', {
    identity: '69',
    source: 'ST DocID026899: 90 ug/sqrt(Hz) over 36 Hz, zero level 40 mg',
    perCount: 0.000061,
    noise: 0.00054,
    bias: 0.02,
  }),
  LSM9DS1: accelerometer('LSM9DS1', {
    identity: '68',
    source: 'ST DocID025715: zero level 90 mg; noise 1 mg assumed',
    perCount: 0.000061,
    noise: 0.001,
    bias: 0.045,
  }),
  'ICM-20948': accelerometer('ICM-20948', {
    identity: 'EA',
    source: 'InvenSense DS-000189: 230 ug/sqrt(Hz) over 34 Hz, zero level 25 mg',
    perCount: 1 / 16384,
    noise: 0.00135,
    bias: 0.0125,
  }),
  'MPU-9250': accelerometer('MPU-9250', {
    identity: '71',
    source: 'InvenSense PS-MPU-9250A: 300 ug/sqrt(Hz) over 33 Hz, zero level 60 mg',
    perCount: 1 / 16384,
    noise: 0.0017,
    bias: 0.03,
  }),
  'MPU-6500': accelerometer('MPU-6500', {
    identity: '70',
    source: 'InvenSense PS-MPU-6500A: 300 ug/sqrt(Hz) over 33 Hz, zero level 60 mg',
    perCount: 1 / 16384,
    noise: 0.0017,
    bias: 0.03,
  }),
  'MPU-6050': accelerometer('MPU-6050', {
    identity: '68',
    source: 'InvenSense PS-MPU-6000A, 6.2: 400 ug/sqrt(Hz) over 33 Hz, zero level 50 mg, tolerance 3 percent',
    perCount: 1 / 16384,
    noise: 0.0023,
    bias: 0.025,
    biasPerC: 0.0005,
    scale: 0.015,
  }),
  LSM303DLHC: accelerometer('LSM303DLHC', {
    identity: '33',
    source: 'ST DocID018771: 220 ug/sqrt(Hz) over 80 Hz, zero level 60 mg',
    perCount: 0.001,
    limitCounts: 2047,
    noise: 0.002,
    bias: 0.03,
  }),
  LSM303AGR: accelerometer('LSM303AGR', {
    identity: '33',
    source: 'ST DocID027765 table 3: zero level 40 mg; noise of the sister LIS2DH12, 220 ug/sqrt(Hz) over 80 Hz',
    perCount: 0.00098,
    limitCounts: 2047,
    noise: 0.002,
    bias: 0.02,
  }),
  ADXL345: accelerometer('ADXL345', {
    identity: 'E5',
    source: 'Analog Devices ADXL345 Rev. G, table 1: 0.75 to 1.1 counts at 100 Hz, zero level 40 mg',
    perCount: 1 / 256,
    limitCounts: 511,
    noise: 0.0036,
    bias: 0.02,
  }),
} as const satisfies Record<string, SensorMake>;

export const magnetometers = {
  RM3100: magnetometer('RM3100', {
    identity: '22',
    source: 'PNI RM3100 user manual: 15 nT at 200 cycles, 75 counts per uT; spread of the module assumed',
    perCount: 1000 / 75,
    noise: 15,
    bias: 5000,
    biasPerC: 3,
    wander: 2,
    scale: 0.01,
    misalignmentRad: 1 * degree,
  }),
  MMC5983MA: magnetometer('MMC5983MA', {
    identity: '30',
    source: 'MEMSIC MMC5983MA Rev. A: 0.4 mG at 100 Hz, the difference of two halves it; spread of the module assumed',
    perCount: 1e5 / 8192,
    noise: 28,
    bias: 8000,
    biasPerC: 3,
  }),
  LIS3MDL: magnetometer('LIS3MDL', {
    identity: '3D',
    source: 'ST DocID024204: 3.2 mG in x and y, 4.1 mG in z in ultra-high performance, 6842 counts per gauss',
    perCount: 1e5 / 6842,
    noise: 350,
    bias: 12000,
  }),
  QMC5883P: magnetometer('QMC5883P', {
    identity: '80',
    source: 'QST QMC5883P: resolution 2 mG, taken as twice that in noise (assumed)',
    perCount: 1e5 / 3750,
    noise: 400,
    bias: 25000,
    biasPerC: 40,
    wander: 25,
  }),
  QMC5883L: magnetometer('QMC5883L', {
    identity: 'FF',
    source: 'QST QMC5883L 1.0: resolution 2 mG, taken as twice that in noise (assumed)',
    perCount: 1e5 / 12000,
    noise: 400,
    bias: 25000,
    biasPerC: 40,
    wander: 25,
    scale: 0.05,
  }),
  IST8310: magnetometer('IST8310', {
    identity: '10',
    source: 'iSentek IST8310: 0.3 uT per count; noise 500 nT assumed',
    perCount: 300,
    noise: 500,
    bias: 20000,
  }),
  LSM303DLHC: magnetometer('LSM303DLHC', {
    identity: '48',
    source: 'ST DocID018771: resolution 2 mG, taken as noise',
    perCount: 1e5 / 1100,
    limitCounts: 2047,
    noise: 200,
    bias: 15000,
  }),
  HMC5883L: magnetometer('HMC5883L', {
    identity: '48',
    source: 'Honeywell 900405: resolution 2 mG, taken as noise',
    perCount: 1e5 / 1090,
    limitCounts: 2047,
    noise: 200,
    bias: 15000,
  }),
  LSM303AGR: magnetometer('LSM303AGR', {
    identity: '40',
    source: 'ST DocID027765: 1.5 mG per count; noise 3 mG in high resolution with low-pass filter, from memory',
    perCount: 150,
    noise: 300,
    bias: 12000,
  }),
  LSM9DS1: magnetometer('LSM9DS1', {
    identity: '3D',
    source: 'ST DocID025715: 0.14 mG per count; noise as of the LIS3MDL, assumed',
    perCount: 14,
    noise: 350,
    bias: 20000,
  }),
  AK09916: magnetometer('AK09916', {
    identity: '48',
    source: 'InvenSense DS-000189: 0.15 uT per count; noise 400 nT assumed',
    perCount: 150,
    noise: 400,
    bias: 20000,
  }),
  AK8963: magnetometer('AK8963', {
    identity: '48',
    source: 'Asahi Kasei MS1356: 0.15 uT per count; noise 500 nT assumed',
    perCount: 150,
    noise: 500,
    bias: 20000,
  }),
} as const satisfies Record<string, SensorMake>;

export type AccelerometerName = keyof typeof accelerometers;
export type MagnetometerName = keyof typeof magnetometers;

const gyros: Partial<Record<AccelerometerName, SensorMake>> = {
  LSM6DSOX: gyro('LSM6DSOX', {
    identity: '6C',
    source: 'ST DS12814: 3.8 mdps/sqrt(Hz) over 67 Hz, zero rate 1 dps',
    perCount: 0.00875,
    noise: 0.031,
    bias: 0.5,
  }),
  'LSM6DS3TR-C': gyro('LSM6DS3TR-C', {
    identity: '6A',
    source: 'ST DocID030071: 5 mdps/sqrt(Hz) over 67 Hz, zero rate 3 dps',
    perCount: 0.00875,
    noise: 0.041,
    bias: 1.5,
  }),
  LSM6DS3: gyro('LSM6DS3', {
    identity: '69',
    source: 'ST DocID026899: 7 mdps/sqrt(Hz) over 67 Hz, zero rate 10 dps',
    perCount: 0.00875,
    noise: 0.057,
    bias: 5,
  }),
  LSM9DS1: gyro('LSM9DS1', {
    identity: '68',
    source: 'ST DocID025715: zero rate 30 dps; noise 0.1 dps assumed',
    perCount: 0.00875,
    noise: 0.1,
    bias: 15,
  }),
  'ICM-20948': gyro('ICM-20948', {
    identity: 'EA',
    source: 'InvenSense DS-000189: 15 mdps/sqrt(Hz) over 36 Hz, zero rate 5 dps',
    perCount: 1 / 131,
    noise: 0.09,
    bias: 2.5,
  }),
  'MPU-9250': gyro('MPU-9250', {
    identity: '71',
    source: 'InvenSense PS-MPU-9250A: 10 mdps/sqrt(Hz) over 30 Hz, zero rate 5 dps',
    perCount: 1 / 131,
    noise: 0.055,
    bias: 2.5,
  }),
  'MPU-6500': gyro('MPU-6500', {
    identity: '70',
    source: 'InvenSense PS-MPU-6500A: 10 mdps/sqrt(Hz) over 30 Hz, zero rate 5 dps',
    perCount: 1 / 131,
    noise: 0.055,
    bias: 2.5,
  }),
  'MPU-6050': gyro('MPU-6050', {
    identity: '68',
    source: 'InvenSense PS-MPU-6000A, from memory: 5 mdps/sqrt(Hz) over 30 Hz, zero rate 20 dps',
    perCount: 1 / 131,
    noise: 0.03,
    bias: 10,
    biasPerC: 0.1,
  }),
};

/** A board with these two chips. */
export function makeOf(accelerometer: AccelerometerName, magnetometer: MagnetometerName): ChipMake {
  return {
    hz: 100,
    accelerometer: accelerometers[accelerometer],
    magnetometer: magnetometers[magnetometer],
    gyro: gyros[accelerometer],
  };
}
