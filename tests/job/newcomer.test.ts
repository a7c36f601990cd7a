import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it, vi } from 'vitest';
import { arcminute, arcsecond, degree } from '../../calibration/angle.ts';
import type { FieldPlace } from '../../calibration/nudge/starAfter.ts';
import { FastBoard } from '../../firmware-proto/virtual/fastBoard.ts';
import { keepEstimate, keepInNight } from '../../host/night/nightFile.ts';
import { noteStep } from '../../host/night/noteStep.ts';
import { lockOnStar, nudgeOnStar, type StarHeld } from '../../host/practice/bringHome.ts';
import { VirtualNight } from '../../host/practice/rehearseNight.ts';
import { sightRow, sightsHeader } from '../../host/steps/sightsFile.ts';
import { saveCalibration, saveSwing } from '../../host/store/profile.ts';
import { runHere } from './inProcess.ts';
import type { Ran } from './lodepole.ts';

let home: string;
beforeAll(async () => {
  home = await mkdtemp(join(tmpdir(), 'lodepole-'));
  process.env.LODEPOLE_HOME = home;
  vi.useFakeTimers({ toFake: ['Date'] });
});
afterAll(async () => {
  vi.useRealTimers();
  delete process.env.LODEPOLE_HOME;
  await rm(home, { recursive: true, force: true });
});

const rig = {
  schema: 1,
  name: 'Newcomer',
  travelMm: [-60, 90],
  parts: [{ name: 'tube', massKg: 5.2, alongMm: 20, outMm: 180 }],
  counterweights: [{ massKg: 5, fromMm: 90, toMm: 340 }],
  shaft: { massKg: 1.1, centreMm: 170 },
};
const between = (from: FieldPlace, to: FieldPlace): string =>
  [to.northRad - from.northRad, to.eastRad - from.eastRad].map((rad) => (rad / arcminute).toFixed(3)).join(',');

// The board's own steps are tried on virtual boards elsewhere; here its samples come straight from the world, and everything else
// goes through the commands, with what the virtual eye reads.
it('a newcomer comes from unpacking to the printed sheet by the next step alone, near the pole and sure of it', async () => {
  const world = new VirtualNight('orchard', 3, new Date('2027-01-15T04:00:00Z'));
  const { latitudeRad, longitudeRad } = world.site;
  const lodepole = async (...words: string[]): Promise<Ran> => {
    vi.setSystemTime(world.now());
    const ran = await runHere(home, words);
    // `enough` ends with 1 where the axis does not do for the plan yet
    expect(words[0] === 'enough' ? [0, 1] : [0], `${words.join(' ')}: ${ran.stderr}`).toContain(ran.code);
    return ran;
  };
  const file = async (name: string, lines: readonly string[]): Promise<string> => {
    await writeFile(join(home, name), `${lines.join('\n')}\n`);
    return join(home, name);
  };
  const { hello } = new FastBoard(world.world);
  const html = join(home, 'night.html');
  const walked: string[] = [];
  let held: StarHeld | undefined;
  for (let steps = 0; steps < 40 && walked.at(-1) !== 'sheet'; steps += 1) {
    const told = JSON.parse((await lodepole('next', '--json')).stdout) as { step: string; command: string };
    walked.push(told.step);
    if (told.step === 'site')
      await lodepole('site', '--lat', `${latitudeRad / degree}`, '--lon', `${longitudeRad / degree}`, '--save');
    else if (told.step === 'tumble') await saveCalibration(hello, world.rehearsal.calibration);
    else if (told.step === 'level') await noteStep('level', 'Level.');
    else if (told.step === 'swing') await saveSwing(hello, world.site, world.rehearsal.swing);
    else if (told.step === 'needles') {
      world.nudge(5 * arcminute);
      const { shown } = world.rest(20);
      const axisCovariance = [shown.sigmaAltitudeErrorRad ** 2, 0, 0, shown.sigmaAzimuthErrorRad ** 2] as const;
      world.noteCompass();
      vi.setSystemTime(world.now());
      await keepEstimate({ ...shown, kind: 'compass', utcMs: Date.now(), axisCovariance });
    } else if (told.step === 'load') {
      world.load();
      vi.setSystemTime(world.now());
      await keepInNight(world.log.at(-1)!);
    } else if (told.step === 'balance') {
      await lodepole('balance', '--rig', await file('rig.json', [JSON.stringify(rig)]));
    } else if (told.step === 'sight') {
      const taken = world.takeSights(6);
      const path = await file('sights.csv', [sightsHeader, ...taken.map(sightRow)]);
      await lodepole('sight', '--from', path, '--keep');
    } else if (told.step === 'enough')
      await lodepole('enough', '--exposure', '240', '--focal', '520', '--pixel', '3.8');
    else if (told.step === 'nudge') {
      const to = told.command.split(' ').filter((word) => word.startsWith('--to='));
      const [altitude = 0, azimuth = 0] = to.flatMap((word) => word.slice('--to='.length).split(',').map(Number));
      const nudged = nudgeOnStar(world, {
        altitudeErrorRad: altitude * arcminute,
        azimuthErrorRad: azimuth * arcminute,
      });
      for (const { star, first, last } of nudged)
        await lodepole(
          'nudge',
          '--star',
          star.star.name,
          '--field',
          '40',
          `--read=${between(first.place, last.place)}`,
        );
      held = nudged.at(-1);
    } else if (told.step === 'lock') {
      if (held) {
        const locked = lockOnStar(world, held);
        const read = `--read=${between(held.last.place, locked.place)}`;
        await lodepole('lock', '--star', held.star.star.name, '--field', '40', read);
      } else {
        // watched on the needles, as by their key t
        world.lock();
        vi.setSystemTime(world.now());
        await keepInNight(world.log.at(-1)!);
      }
    } else if (told.step === 'drift') {
      const rows = world
        .watchDrift(10)
        .flatMap(({ star, readings }) =>
          readings.map(
            ({ timeS, northRad }) =>
              `${star.name},${world.at(timeS).toISOString()},${(northRad / arcsecond).toFixed(3)}`,
          ),
        );
      await lodepole('drift', '--from', await file('drift.csv', ['star,utc,north', ...rows]), '--keep');
    } else if (told.step === 'observe') await lodepole('side', '--list');
    else if (told.step === 'sheet') await lodepole('night', '--html', html);
    else expect.unreachable(`the step ${told.step}`);
    if (told.step !== 'nudge') held = undefined;
    // a person takes some seconds from one command to the next
    world.rest(5);
  }
  expect(walked.slice(0, 9)).toEqual([
    'site',
    'tumble',
    'level',
    'swing',
    'needles',
    'load',
    'balance',
    'sight',
    'enough',
  ]);
  expect(walked.slice(-3)).toEqual(['drift', 'observe', 'sheet']);
  expect(walked).toEqual(expect.arrayContaining(['nudge', 'lock']));
  const truth = world.world.truth();
  expect(truth.distanceRad).toBeLessThan(4.5 * arcminute);
  const answer = JSON.parse((await lodepole('night', '--json')).stdout) as Record<string, number> & {
    conclusion: string;
  };
  for (const part of ['altitude', 'azimuth'] as const) {
    const missed = answer[`${part}ErrorDeg`] * degree - truth[`${part}ErrorRad`];
    const sigma = answer[`sigma${part[0].toUpperCase()}${part.slice(1)}ErrorDeg`] * degree;
    expect(Math.abs(missed / sigma)).toBeLessThan(3.5);
  }
  const page = await readFile(html, 'utf8');
  expect(page).toMatch(/The axis stands .* of the pole|The axis stands .* from the pole/);
  expect(page).toContain('Balance of Newcomer');
});
