import { rehearsals } from '../statistics/rehearsals.ts';
import { setUp, summarise, type SwingKind } from '../statistics/swingSetUps.ts';
import { plainSwing, realSwings, median } from '../recordings/swing-shots.ts';

const kinds: Record<SwingKind, string> = {
  part: '120 degrees',
  full: '330 degrees',
  reversed: '330 degrees, twice, end for end',
};
const setUps = { typical: 1000, quiet: 100, cheap: 100 } as const;

/** The compass rung in invented set-ups, and real boards rolled about a fixed axis. */
export async function run(): Promise<void> {
  for (const chip of ['quiet', 'cheap', 'typical'] as const) {
    const count = setUps[chip];
    const outcomes = Array.from({ length: count }, (_, i) => setUp(i + 1, chip));
    console.log(
      `\nSwing in ${count} invented set-ups (seeds 1..${count}), chip profile "${chip}", latitudes -60..65, clip askew by up to 10 degrees,` +
        "\nturning iron 6 to 30 microtesla, tripod iron 60 nT; truth: what the simulator knows. Reference: the magnetic model's own" +
        '\nsigma of the variation (WMM2025 report, equation 43) and the nominal 68 and 95 percent.',
    );
    const rows = Object.entries(kinds).map(([kind, words]) => {
      const f = summarise(outcomes, kind as SwingKind);
      return [
        words,
        {
          'azimuth rms deg': f.azimuthDeg.toFixed(3),
          'model alone deg': f.modelDeg.toFixed(3),
          'ratio (<= 1.15)': (f.azimuthDeg / f.modelDeg).toFixed(3),
          'sensors alone deg': f.magneticDeg.toFixed(3),
          "altitude rms ' (< 3)": f.altitudeArcmin.toFixed(2),
          "axis rms ' (< 3)": f.axisArcmin.toFixed(2),
          'within 68 %': (100 * f.within68).toFixed(1),
          'within 95 %': (100 * f.within95).toFixed(1),
          'sensors 68 %': (100 * f.sensors68).toFixed(1),
          'sensors 95 %': (100 * f.sensors95).toFixed(1),
          refused: f.refusedTumbles + f.refusedSwings,
        },
      ] as const;
    });
    console.table(Object.fromEntries(rows));
  }

  const seeds = Array.from({ length: 15 }, (_, i) => i + 1);
  console.log(
    '\nThe last statement of a rehearsal (seeds 1..15 of each scene) over its own sigmas, against what only the simulator' +
      '\nknows. Reference: 1 for the rms, 0.95 within two sigmas.',
  );
  const evenings = {
    orchard: await rehearsals('orchard', seeds),
    woolshed: await rehearsals('woolshed', seeds),
  };
  console.table(
    Object.fromEntries(
      Object.entries(evenings).map(([scene, figures]) => [
        scene,
        Object.fromEntries(Object.entries(figures).map(([name, value]) => [name, Number(value.toFixed(2))])),
      ]),
    ),
  );

  console.log(
    '\nReal boards (tests/recordings/data/*-shots-*.csv): tumble on 16 shots, swing on the 8 others rolled about one fixed axis, both' +
      '\nways round. Reference on the same shots: a plain algebraic ellipsoid for each sensor, axis from its planes.',
  );
  const ours = realSwings();
  const plain = plainSwing();
  console.table(
    Object.fromEntries(
      ours.map((swing, i) => [
        swing.file,
        {
          'spread deg, ours': swing.spreadsDeg.map((deg) => deg.toFixed(2)).join(' '),
          'without refit': swing.tumbleOnlyDeg.map((deg) => deg.toFixed(2)).join(' '),
          plain: plain[i].spreadsDeg.map((deg) => deg.toFixed(2)).join(' '),
          'axis agrees deg, ours': swing.agreesDeg.toFixed(2),
          'plain ': plain[i].agreesDeg.toFixed(2),
        },
      ]),
    ),
  );
  console.log(
    `median azimuth spread: ours ${median(ours.flatMap((s) => s.spreadsDeg)).toFixed(3)} (<= 0.30), without refit ` +
      `${median(ours.flatMap((s) => s.tumbleOnlyDeg)).toFixed(3)}, plain ${median(plain.flatMap((s) => s.spreadsDeg)).toFixed(2)}; ` +
      `axis agrees: ours ${median(ours.map((s) => s.agreesDeg)).toFixed(3)} (<= 0.40), plain ${median(plain.map((s) => s.agreesDeg)).toFixed(2)}`,
  );
}
