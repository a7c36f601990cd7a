import { degree } from '../../calibration/angle.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { north, samplesOf, south, testEstimator, type Pose, type TestPlace } from '../unit/liveSamples.ts';

const still: Pose = { altitudeErrorDeg: 1, azimuthErrorDeg: -0.5 };
const ironS = 10;

/** When iron was flagged, and by how many stated sigmas the azimuth was off at most, from a second after it came. */
function ironComes(place: TestPlace, ironNt: Vector3, seed: number): { flaggedS: number; worstSigmas: number } {
  const estimator = testEstimator(place);
  const result = { flaggedS: Infinity, worstSigmas: 0 };
  const pose = (timeS: number): Pose => ({ ...still, ironNt: timeS > ironS ? ironNt : undefined });
  for (const sample of samplesOf(place, pose, ironS + 4, seed)) {
    const estimate = estimator.offer(sample);
    const sinceS = sample.boardS - ironS;
    if (!estimate || sinceS <= 0) continue;
    if (estimate.state === 'disturbed') result.flaggedS = Math.min(result.flaggedS, sinceS);
    const offRad = Math.abs(estimate.azimuthErrorRad - still.azimuthErrorDeg * degree);
    if (sinceS > 1) result.worstSigmas = Math.max(result.worstSigmas, offRad / estimate.sigmaAzimuthErrorRad);
  }
  return result;
}

function steps(): void {
  console.log(
    'Iron that comes from one sample to the next (2 mg, 300 nT a sample, 100 a second): flagged within 1 s, else never more than three stated sigmas ' +
      'off from then on. 500 random directions at 0.5 to 5 microtesla; the blind one, square to field and vertical, 100 times a size.',
  );
  const random = new Random(41);
  const rows: Record<string, string | number>[] = [];
  for (const [name, place] of [
    ['north', north],
    ['south', south],
  ] as const) {
    const variationRad = place.variationDeg * degree;
    const row = (what: string, results: ReturnType<typeof ironComes>[]) => {
      const flagged = results.filter(({ flaggedS }) => flaggedS <= 1).map(({ flaggedS }) => flaggedS);
      rows.push({
        place: name,
        iron: what,
        of: results.length,
        'flagged in 1 s': flagged.length,
        'median s': flagged.sort((a, b) => a - b)[flagged.length >> 1]?.toFixed(2) ?? '',
        'else within 3 sigmas': results.filter((one) => one.flaggedS > 1 && one.worstSigmas < 3).length,
        neither: results.filter((one) => one.flaggedS > 1 && one.worstSigmas >= 3).length,
        'worst of these, sigmas': Math.max(
          0,
          ...results.filter(({ flaggedS }) => flaggedS > 1).map(({ worstSigmas }) => worstSigmas),
        ).toFixed(1),
      });
    };
    row(
      'any direction',
      Array.from({ length: 500 }, (_, i) => {
        const [x, y, z] = random.normal3(1);
        const times = (500 + 4500 * random.uniform()) / Math.hypot(x, y, z);
        return ironComes(place, [x * times, y * times, z * times], i + 1);
      }),
    );
    for (const nt of [500, 750, 1000, 2000, 5000])
      row(
        `blind, ${nt} nT`,
        Array.from({ length: 100 }, (_, i) => {
          const side = i % 2 === 0 ? nt : -nt;
          return ironComes(place, [-side * Math.sin(variationRad), side * Math.cos(variationRad), 0], i + 1);
        }),
      );
  }
  console.table(rows);
}

function bolts(): void {
  console.log('A hand at the azimuth bolts, 100 seeds each: how often it is called a disturbance (aim: hardly ever).');
  console.table(
    [0.4, 0.7, 1, 1.5, 2, 3].flatMap((rateDegS) =>
      [1, 3].map((turnDeg) => {
        let wrongly = 0;
        for (let seed = 1; seed <= 100; seed += 1) {
          const estimator = testEstimator(north);
          const pose = (timeS: number): Pose => ({
            ...still,
            azimuthErrorDeg: -0.5 + Math.min(turnDeg, Math.max(0, timeS - ironS) * rateDegS),
          });
          let isDisturbed = false;
          for (const sample of samplesOf(north, pose, ironS + turnDeg / rateDegS + 2, seed))
            isDisturbed ||= estimator.offer(sample)?.state === 'disturbed';
          wrongly += isDisturbed ? 1 : 0;
        }
        return { 'degrees a second': rateDegS, degrees: turnDeg, 'wrongly, of 100': wrongly };
      }),
    ),
  );
}

export async function run(): Promise<void> {
  steps();
  bolts();
}
