import { encodeHello, encodeSample, type Hello } from '../../firmware-proto/wire.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { exitCode, Failure } from '../failure.ts';
import type { Recording } from './recorded.ts';

/** Finer than the sensors' own noise, and wide enough for 16 g and 655 microtesla (655 degrees a second). */
const gPerCount = 0.0005;
const ntPerCount = 20;
const dpsPerCount = 0.02;
const cPerCount = 0.01;
/** A wire of 115200 baud carries 100 samples a second; faster recordings are thinned. */
const shortestStepS = 0.01;

const chip = { name: 'recording', id: 0, orientation: '+X+Y+Z' } as const;

/** The hello of a board that would have sent this recording. */
export const csvHello = ({ has }: Recording): Hello => ({
  kind: 'hello',
  protocol: 1,
  firmware: 'csv',
  boardId: '00000000',
  accelerometer: { ...chip, gPerCount },
  magnetometer: { ...chip, ntPerCount },
  gyro: has.gyro ? { ...chip, dpsPerCount } : undefined,
  temperature: { cPerCount: has.temperature ? cPerCount : 0, cAtZero: 25 },
  sampleHz: 100,
});

function toCounts(vector: Vector3, perCount: number, what: string, path: string): Vector3 {
  const counts = vector.map((value) => Math.round(value / perCount)) as [number, number, number];
  if (counts.some((count) => Math.abs(count) > 32767)) {
    throw new Failure(exitCode.badData, `${path}: ${what} too large for a replay.`, 'Check the units of that column.');
  }
  return counts;
}

/** Tells a CSV file as a board would: a hello, then at most 100 samples a second. Throws Failure when something for that is missing. */
export async function* csvAsWire(recording: Recording): AsyncGenerator<{ arrivalS: number; line: string }> {
  const { has, path, scaleKnown } = recording;
  if (!has.time || !has.accelerometer || !has.magnetometer || !scaleKnown) {
    throw new Failure(
      exitCode.badData,
      `${path} cannot be replayed: a replay needs time, accelerometer and magnetometer in known units.`,
      'Add the columns t_s,ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut; to calibrate from the columns that are there, use "lodepole tumble --from".',
    );
  }
  yield { arrivalS: 0, line: encodeHello(csvHello(recording)).trimEnd() };
  let seq = 0;
  let micros = 0;
  let lastS: number | undefined;
  for await (const { timeS = 0, accelG, fieldNt, rateDps, temperatureC = 25 } of recording.samples) {
    const stepS = lastS === undefined ? shortestStepS : timeS - lastS;
    // Small slack, so that 100 a second pass whole; a clock that runs backward begins anew.
    if (stepS >= 0 && stepS < shortestStepS * 0.99) continue;
    lastS = timeS;
    micros += Math.round(Math.max(stepS, shortestStepS) * 1e6);
    const line = encodeSample({
      seq: seq % 65536,
      micros: micros % 4294967296,
      accel: toCounts(accelG as Vector3, gPerCount, 'an acceleration is', path),
      field: toCounts(fieldNt as Vector3, ntPerCount, 'a field is', path),
      rate: rateDps && toCounts(rateDps, dpsPerCount, 'a rate is', path),
      temperature: Math.round((temperatureC - 25) / cPerCount),
    });
    seq += 1;
    yield { arrivalS: micros / 1e6, line: line.trimEnd() };
  }
}
