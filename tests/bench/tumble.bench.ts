import { createWriteStream } from 'node:fs';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { once } from 'node:events';
import { degree } from '../../calibration/angle.ts';
import { decisive, type Gate } from '../../calibration/gate.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import { fitOneSensor } from '../../calibration/tumble/oneSensor.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { tumbleFromFile } from '../../host/commands/tumbleFromFile.ts';
import { median, readSamples, readTable, readVectors, shotFiles } from '../recordings/tumble-files.ts';
import {
  asRead,
  headingDeviation,
  joint,
  judgeShots,
  plainEllipsoid,
  positionMeans,
  scatter,
} from '../recordings/tumble-judges.ts';
import { chipProfiles, randomBoard, tumbleOf } from '../statistics/tumble-boards.ts';
import { handTumble, type Hand } from '../statistics/tumble-hand.ts';
import { runExperiment, type Outcome, type RmsErrors } from '../statistics/tumble-experiment.ts';

const boards = 600;
const seed = 1000;

export async function run(): Promise<void> {
  efficiency();
  movingHand();
  realShots();
  recordings();
  sixPositions();
  opticalTruth();
  growth();
  await longFile();
}

const deg = (angleRad: number, digits = 3): string => (angleRad / degree).toFixed(digits);
const both = ({ headingRad, tiltRad }: RmsErrors): string => `${deg(headingRad, 4)} / ${deg(tiltRad, 4)}`;
const percent = (share: number): string => (100 * share).toFixed(1);

function efficiency(): void {
  console.log(
    `Rms error after the tumble, heading / tilt in degrees; ${boards} random boards each, seeds from ${seed}`,
  );
  const rows: Record<string, Record<string, string>> = {};
  const honesty: Record<string, Record<string, string>> = {};
  const judge = (name: string, outcome: Outcome, withOthers: boolean): void => {
    rows[name] = {
      ours: both(outcome.ours),
      stated: both(outcome.stated),
      'Cramer-Rao': both(outcome.bound),
      'ours over bound (aim 1.10)': `${(outcome.ours.headingRad / outcome.bound.headingRad).toFixed(3)} / ${(outcome.ours.tiltRad / outcome.bound.tiltRad).toFixed(3)}`,
      'min/max only': withOthers ? both(outcome.minMax) : '',
      'ellipsoid only': withOthers ? both(outcome.ellipsoid) : '',
    };
    honesty[name] = {
      accepted: String(outcome.accepted),
      'heading 68 (64-72)': percent(outcome.heading68),
      'heading 95 (93-97)': percent(outcome.heading95),
      'attitude 68 (64-72)': percent(outcome.attitude68),
      'attitude 95 (93-97)': percent(outcome.attitude95),
    };
  };
  for (const [name, noise] of Object.entries(chipProfiles))
    judge(`${name}, 600 samples`, runExperiment({ noise, boards, samples: 600, seed }), true);
  const rarely = { boards, samples: 600, skipOthers: true };
  const upright = (up: Vector3): boolean => up[2] > -0.3;
  const half = (up: Vector3): boolean => up[2] > 0;
  const { typical, quiet, cheap } = chipProfiles;
  judge('typical, never upside down', runExperiment({ ...rarely, noise: typical, seed: 2000, keep: upright }), false);
  for (const [name, noise] of Object.entries({ quiet, typical, cheap }))
    judge(`${name}, half the sphere`, runExperiment({ ...rarely, noise, seed: 3000, keep: half }), false);
  const few = { ...rarely, noise: typical, samples: 60, boards: 1500, seed: 5000 };
  judge('typical, 60 samples, 1500 boards', runExperiment(few), false);
  console.table(rows);
  const luck = (share: number): string => (100 * Math.sqrt((share * (1 - share)) / boards)).toFixed(1);
  console.log(
    `Share of the truth within the stated regions, percent; ${boards} boards scatter by ${luck(0.68)} at 68 and ${luck(0.95)} at 95`,
  );
  console.table(honesty);
}

/** One continuous tumble per board, 90 s at 25 samples a second. */
function movingHand(): void {
  const count = 200;
  console.log(`A hand that moves: ${count} boards, typical chip, seeds from 7000; heading / tilt in degrees`);
  const still = { seconds: 90, samplesPerS: 25, rateRadPerS: 0.6, rateTimeS: 2, restS: 0, turnS: 4 };
  const calm: Hand = { ...still, leverM: 0, jitterG: 0, jitterTimeS: 0.5 };
  const hands: Record<string, Hand> = {
    'about itself, white noise': calm,
    'lever of 8 cm': { ...calm, leverM: 0.08 },
    'shaking 20 mg, 0.3 s': { ...calm, jitterG: 0.02, jitterTimeS: 0.3 },
    'shaking 20 mg, 1 s': { ...calm, jitterG: 0.02, jitterTimeS: 1 },
    'lever and shaking, 0.5 s': { ...calm, leverM: 0.08, jitterG: 0.02 },
    'the same, with rests': { ...calm, leverM: 0.08, jitterG: 0.02, restS: 1.2 },
  };
  const noise = chipProfiles.typical;
  const rows = Object.entries(hands).map(([name, hand]) => {
    const outcome = runExperiment({
      noise,
      boards: count,
      samples: 0,
      seed: 7000,
      skipOthers: true,
      tumble: (random, board) => handTumble(random, board, noise, hand),
    });
    const shares = [outcome.heading68, outcome.heading95, outcome.attitude68, outcome.attitude95];
    return [
      name,
      { ours: both(outcome.ours), stated: both(outcome.stated), 'held 68 95 68 95': shares.map(percent).join(' ') },
    ];
  });
  console.table(Object.fromEntries(rows));
}

function realShots(): void {
  console.log(
    'Real boards: tumble on 16 static shots, swing on 8 others, both ways round (degrees; plain ellipsoid beside)',
  );
  const ours = shotFiles.map((file) => judgeShots(file, joint));
  const plain = shotFiles.map((file) => judgeShots(file, plainEllipsoid));
  console.table(
    Object.fromEntries(
      shotFiles.map((file, i) => [
        file,
        {
          'azimuth spread': ours[i].spreadsRad.map((angle) => deg(angle, 2)).join(' '),
          'ellipsoid spread': plain[i].spreadsRad.map((angle) => deg(angle, 2)).join(' '),
          'axis twice': deg(ours[i].axisDisagreementRad, 2),
          'ellipsoid axis twice': deg(plain[i].axisDisagreementRad, 2),
        },
      ]),
    ),
  );
  const spread = (all: typeof ours): string => deg(median(all.flatMap(({ spreadsRad }) => spreadsRad)));
  const axis = (all: typeof ours): string => deg(median(all.map(({ axisDisagreementRad }) => axisDisagreementRad)));
  console.log(
    `median spread ${spread(ours)} (aim 0.30; ellipsoid ${spread(plain)}), axis twice ${axis(ours)} (aim 0.40; ellipsoid ${axis(plain)})\n`,
  );
}

const verdictOf = (accepted: boolean, gates: readonly Gate[]): string => {
  const gate = decisive(gates);
  return `${accepted ? 'accepted' : 'REFUSED'}${gate ? `: ${gate.reason} ${gate.value.toPrecision(3)} (${gate.limit.toPrecision(3)}) ${gate.unit}` : ''}`;
};

function recordings(): void {
  console.log(
    'Every recording; residual of strength in percent and spread of dip in degrees beside the plain ellipsoid',
  );
  const files = [
    ...shotFiles,
    'broad05-slow-rotation-truth.csv',
    'broad32-b-truth.csv',
    'fxos8700-sixpos-static.csv',
    'fxos8700-tumble.csv',
    'lis3mdl-lsm6dsox-sixpos-static.csv',
    'lis3mdl-lsm6dsox-tumble.csv',
    'lsm9ds1type-accmag-tumble.csv',
  ];
  for (const file of files) {
    const samples = readSamples(readTable(file));
    const { accepted, gates, calibration } = fitTumble(samples);
    const plain = plainEllipsoid(samples);
    const beside = plain && scatter(samples, plain);
    const ours = calibration && scatter(samples, calibration.correction);
    console.log(
      `${file.padEnd(36)} ${ours ? `${ours.strengthPercent.toFixed(2)}% ${deg(ours.dipSpreadRad, 2)}` : 'no fit    '} ` +
        `(${beside ? `${beside.strengthPercent.toFixed(2)}% ${deg(beside.dipSpreadRad, 2)}` : 'no ellipsoid'}) ${verdictOf(accepted, gates)}`,
    );
  }
  for (const [file, letter] of [
    ['acc-slow-tumble.csv', 'a'],
    ['mpu6050-multiposition-raw.csv', 'a'],
    ['mpu9150-multiposition-imu0.csv', 'a'],
    ['qmc5883l-tumble.csv', 'm'],
  ] as const) {
    const { vectors, rawScale } = readVectors(readTable(file), letter);
    const result = fitOneSensor(vectors, { sensor: letter === 'a' ? 'accelerometer' : 'magnetometer', rawScale });
    console.log(`${file.padEnd(36)} ${result.residualPercent.toFixed(2)}% ${verdictOf(result.accepted, result.gates)}`);
  }
  console.log('');
}

function sixPositions(): void {
  console.log('lis3mdl-lsm6dsox: tumble judged on six static positions that it has not seen');
  const tumble = readSamples(readTable('lis3mdl-lsm6dsox-tumble.csv'));
  const positions = positionMeans(readTable('lis3mdl-lsm6dsox-sixpos-static.csv'));
  const row = (correction = asRead): Record<string, string> => {
    const { strengthPercent, dipSpreadRad } = scatter(positions, correction);
    return { 'strength percent': strengthPercent.toFixed(2), 'dip degrees': deg(dipSpreadRad, 2) };
  };
  console.table({ 'as read': row(), ellipsoid: row(plainEllipsoid(tumble)), ours: row(joint(tumble)) });
}

function opticalTruth(): void {
  console.log(
    'broad05: heading against the optical attitude where gravity reads within 0.02 g (the hand moves: tilt by acceleration)',
  );
  const table = readTable('broad05-slow-rotation-truth.csv');
  const samples = readSamples(table);
  const row = (correction = asRead): Record<string, string> => {
    const { deviationRad, tiltRmsRad, rows } = headingDeviation(table, correction, 0.02);
    return { 'heading degrees': deg(deviationRad, 2), 'tilt degrees': deg(tiltRmsRad, 2), rows: String(rows) };
  };
  console.table({
    "as read (its authors' calibration)": row(),
    ellipsoid: row(plainEllipsoid(samples)),
    ours: row(joint(samples)),
  });
}

function growth(): void {
  const random = new Random(5);
  const board = randomBoard(random);
  const many = tumbleOf(random, board, chipProfiles.typical, 6000);
  const few = many.slice(0, 600);
  /** The quickest of some, for a machine that has other work as well. */
  const time = (samples: typeof many, times: number): number =>
    Math.min(
      ...Array.from({ length: times }, () => {
        const started = performance.now();
        fitTumble(samples);
        return performance.now() - started;
      }),
    );
  const [short, long] = [time(few, 20), time(many, 8)];
  console.log(
    `600 samples ${short.toFixed(0)} ms, 6000 samples ${long.toFixed(0)} ms: ${(long / short).toFixed(1)} times (limit 11)\n`,
  );
}

async function longFile(): Promise<void> {
  const rows = 10_000_000;
  const folder = await mkdtemp(join(tmpdir(), 'lodepole-'));
  const path = join(folder, 'long.csv');
  try {
    const random = new Random(6);
    const board = randomBoard(random);
    const lines = tumbleOf(random, board, chipProfiles.typical, 20_000).map(
      ({ accelG, fieldNt }) =>
        `${accelG.map((v) => v.toFixed(4)).join()},${fieldNt.map((v) => (v / 1000).toFixed(3)).join()}`,
    );
    const chunk = `${lines.join('\n')}\n`;
    const file = createWriteStream(path);
    file.write('ax_g,ay_g,az_g,mx_ut,my_ut,mz_ut\n');
    for (let i = 0; i < rows / lines.length; i += 1) if (!file.write(chunk)) await once(file, 'drain');
    file.end();
    await once(file, 'close');
    let peak = 0;
    const watch = setInterval(() => (peak = Math.max(peak, process.memoryUsage().rss)), 200);
    const started = performance.now();
    const tumbled = await tumbleFromFile(path, undefined);
    clearInterval(watch);
    const seconds = (performance.now() - started) / 1000;
    const result =
      tumbled.kind === 'both'
        ? `${tumbled.result.samplesUsed} used, ${verdictOf(tumbled.result.accepted, tumbled.result.gates)}`
        : '';
    console.log(`file of ${rows} lines: ${seconds.toFixed(0)} s, peak ${(peak / 1e6).toFixed(0)} MB, ${result}`);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}
