import { mkdtemp, readdir, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { reticleLines } from '../../host/commands/reticle.ts';
import { runHere } from './inProcess.ts';
import { endOf, start, type Ran } from './lodepole.ts';

interface Answer {
  schema: number;
  altitudeErrorDeg: number;
  sigmaAltitudeErrorDeg: number;
  azimuthErrorDeg: number;
  sigmaAzimuthErrorDeg: number;
  source: string;
  seed: number;
  stars: { star: string; spanS: number }[];
  truth: { altitudeErrorDeg: number; azimuthErrorDeg: number };
}

describe('drift on the virtual mount', () => {
  let home: string;
  beforeAll(async () => {
    home = await mkdtemp(join(tmpdir(), 'lodepole-drift-'));
  });
  afterAll(() => rm(home, { recursive: true }));

  const drift = (args: string[]): Promise<Ran> => runHere(home, ['drift', ...args]);

  /** `drift` with a person, who types what `answer` gives when something new was said. */
  function driftByPerson(args: string[], answer: (said: string) => string | undefined): Promise<Ran> {
    const child = start(home, ['drift', ...args]);
    let said = '';
    child.stderr.on('data', (bytes: Buffer) => {
      said += bytes.toString();
      const typed = answer(said);
      if (typed !== undefined) child.stdin.write(`${typed}\n`);
    });
    return endOf(child);
  }
  const evening: Record<string, string> = { orchard: '2027-01-15T04:00:00Z', woolshed: '2027-01-15T11:00:00Z' };
  const miss = (answer: Answer): number[] => [
    (answer.altitudeErrorDeg - answer.truth.altitudeErrorDeg) / answer.sigmaAltitudeErrorDeg,
    (answer.azimuthErrorDeg - answer.truth.azimuthErrorDeg) / answer.sigmaAzimuthErrorDeg,
  ];

  it.each(['orchard', 'woolshed'])('the virtual hands watch two stars in %s and find the axis', async (scene) => {
    const { code, stdout, stderr } = await drift(['--virtual', scene, '--at', evening[scene], '--seed', '3', '--json']);
    expect(code).toBe(0);
    expect(stderr).toMatch(/invented/i);
    const answer = JSON.parse(stdout) as Answer;
    expect(Object.keys(answer)[0]).toBe('schema');
    expect(answer).toMatchObject({ seed: 3, source: `virtual mount, scene ${scene} (invented)` });
    expect(answer.stars).toHaveLength(2);
    for (const { spanS } of answer.stars) expect(spanS).toBeCloseTo(300, 0);
    for (const sigmas of miss(answer)) expect(Math.abs(sigmas)).toBeLessThan(3.5);
    expect(answer.sigmaAzimuthErrorDeg).toBeLessThan(6 / 60);
    expect(await readdir(home)).toEqual([]);
  });

  it('a person reads the star on the reticle and types what it shows', async () => {
    const orchard = ['--virtual', 'orchard', '--at', evening.orchard];
    const { stdout: listed } = await drift([...orchard, '--list', '--json']);
    const { stars } = JSON.parse(listed) as { stars: { star: string; tells: string }[] };
    const first = stars.find(({ tells }) => tells === 'azimuth')!.star;
    const second = stars.find(({ tells, star }) => tells === 'altitude' && star !== first)!.star;
    let pictures = 0;
    const eye = (said: string): string | undefined => {
      const seen = said.split('\n').filter((line) => /^ *\*$/.test(line));
      if (seen.length === pictures || !said.endsWith('\n')) return undefined;
      pictures = seen.length;
      if (pictures === 12) return second;
      if (pictures === 24) return 'q';
      return ((seen[seen.length - 1].length - 11) / 5 - 6).toFixed(1);
    };
    const { code, stdout, stderr } = await driftByPerson([...orchard, '--star', first, '--json'], eye);
    expect(code, stderr).toBe(0);
    const answer = JSON.parse(stdout) as Answer;
    expect(answer.stars.map(({ star }) => star)).toEqual([first, second]);
    for (const sigmas of miss(answer)) expect(Math.abs(sigmas)).toBeLessThan(3.5);
    expect(stderr).toContain('Each Enter lets half a minute pass');
  });

  it('refuses a scene that is not there, and a file or the log of a real night beside it', async () => {
    expect((await drift(['--virtual', 'beach'])).code).toBe(64);
    expect((await drift(['--virtual', 'orchard', '--seed', 'x'])).code).toBe(64);
    expect((await drift(['--virtual', 'orchard', '--keep'])).code).toBe(64);
  });

  it('goes on with another star where the one that is named cannot be seen, and offers some', async () => {
    let offered: string | undefined;
    const answer = (said: string): string | undefined => {
      if (offered !== undefined) return said.includes(`Now ${offered}.`) ? 'q' : undefined;
      offered = /for example ([^,.]+)/.exec(said)?.[1];
      return offered;
    };
    const { code, stderr } = await driftByPerson(
      ['--virtual', 'orchard', '--star', 'acrux', '--at', evening.orchard],
      answer,
    );
    expect(stderr).toMatch(/Acrux cannot be seen from there now\. Type the name of another star/);
    expect(stderr).toContain(`Now ${offered}.`);
    // no reading was made
    expect(code).toBe(1);
  });
});

describe('the reticle', () => {
  it('fits 80 columns, shows a fifth of a division, north at the right', () => {
    const [scale, star] = reticleLines(0.2);
    expect(scale.length).toBeLessThan(80);
    expect(star.indexOf('*') - scale.indexOf(' 0 ') - 1).toBe(1);
    expect(reticleLines(-3)[1].indexOf('*')).toBe(scale.indexOf('-3') + 1);
    expect(reticleLines(6.4)).toHaveLength(1);
    for (const columns of [40, 60, 80, 200]) expect(reticleLines(0, columns)[0].length).toBeLessThan(columns);
    expect(reticleLines(undefined)[0]).toContain('left');
  });
});
