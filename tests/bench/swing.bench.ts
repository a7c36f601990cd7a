import { degree } from '../../calibration/angle.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { rehearsals } from '../statistics/rehearsals.ts';
import { setUp, summarise, type SwingKind } from '../statistics/swingSetUps.ts';
import { reversalSetUp, summariseReversals } from '../statistics/reversalSetUps.ts';
import { plainSwing, realSwings, median } from '../recordings/swing-shots.ts';
import { shotFiles } from '../recordings/tumble-files.ts';
import { joint, judgeShots } from '../recordings/tumble-judges.ts';

const kinds: Record<SwingKind, string> = {
  part: '120 degrees',
  full: '330 degrees',
  reversed: '330 degrees, twice, end for end',
};
const setUps = 1000;
const evenings = 80;
/** Every chip has set-ups of its own. */
const firstSeeds = { quiet: 1001, cheap: 2001, typical: 1 } as const;

/** How often the median of as many boards drawn from these exceeds `limit`, percent. */
function missed(perBoard: readonly (readonly number[])[], limit: number): string {
  const random = new Random(1);
  const draws = 4000;
  let over = 0;
  for (let i = 0; i < draws; i += 1) {
    const drawn = perBoard.map(() => perBoard[Math.floor(random.uniform() * perBoard.length)]);
    if (median(drawn.flat()) > limit) over += 1;
  }
  return `${((100 * over) / draws).toFixed(0)} %`;
}

/** The compass rung in invented set-ups, and real boards rolled about a fixed axis. */
export async function run(): Promise<void> {
  for (const chip of ['quiet', 'cheap', 'typical'] as const) {
    const first = firstSeeds[chip];
    const outcomes = Array.from({ length: setUps }, (_, i) => setUp(first + i, chip));
    console.log(
      `\nSwing in ${setUps} invented set-ups (seeds ${first}..${first + setUps - 1}), chip profile "${chip}", latitudes -60..65, clip askew by up to 10 degrees,` +
        '\nturning iron 6 to 30 microtesla, tripod iron 60 nT; every rest as long as the swing asks for. Truth: what the simulator knows.' +
        "\nReferences: the magnetic model's own sigma of the variation (WMM2025 report, equation 43) and what was drawn by it; the" +
        '\nCramer-Rao bound of the axis (the same swing with the noise that the chips really have, after a tumble as sure as it says); the nominal 68 and 95 percent.' +
        '\nAfter +-: the standard error that so many set-ups leave.',
    );
    const rows = Object.entries(kinds).map(([kind, words]) => {
      const f = summarise(outcomes, kind as SwingKind);
      const kept = f.tried - f.refusedTumbles - f.refusedSwings;
      const share = (p: number): string =>
        `${(100 * p).toFixed(1)} +-${(100 * Math.sqrt((p * (1 - p)) / kept)).toFixed(1)}`;
      const rms = (value: number, digits: number): string =>
        `${value.toFixed(digits)} +-${(value / Math.sqrt(2 * kept)).toFixed(digits)}`;
      return [
        words,
        {
          'azimuth rms deg': rms(f.azimuthDeg, 3),
          'model sigma deg': f.modelDeg.toFixed(3),
          'ratio (<= 1.15)': rms(f.azimuthDeg / f.modelDeg, 3),
          'model drawn deg': f.variationDeg.toFixed(3),
          'sensors alone deg': f.magneticDeg.toFixed(3),
          "altitude rms ' (< 3)": rms(f.altitudeArcmin, 2),
          "axis rms ' (< 3)": rms(f.axisArcmin, 2),
          "axis bound '": f.axisBoundArcmin.toFixed(2),
          'within 68 %': share(f.within68),
          'within 95 %': share(f.within95),
          'sensors 68 %': share(f.sensors68),
          'sensors 95 %': share(f.sensors95),
          refused: f.refusedTumbles + f.refusedSwings,
        },
      ] as const;
    });
    // Turned over: thirteen columns do not fit a terminal.
    const table: Record<string, Record<string, string | number>> = {};
    for (const [words, row] of rows)
      for (const [name, value] of Object.entries(row)) (table[name] ??= {})[words] = value;
    console.table(table);
  }

  console.log(
    `\nWhere nothing turns: a rest each way round, ${setUps} invented set-ups (seeds 1..${setUps}), typical chip; the seat lies off the polar axis and the` +
      '\nboard askew in its clip by a degree each, one sigma in each direction across. Iron: of the mount, which nothing turns out; it shows only as far' +
      '\nas it changes strength or dip. Reference: 60 arcminutes of the seat in altitude, 1 for the pulls, the nominal 68 and 95 percent of those not refused.',
  );
  console.table(
    Object.fromEntries(
      [0, 300, 1000, 3000].map((ironNt) => {
        const f = summariseReversals(Array.from({ length: setUps }, (_, i) => reversalSetUp(1 + i, ironNt)));
        return [
          `iron up to ${ironNt} nT`,
          {
            "altitude rms '": f.altitudeArcmin.toFixed(1),
            'azimuth rms deg': f.azimuthDeg.toFixed(2),
            'altitude pull': f.altitudePull.toFixed(2),
            'azimuth pull': f.azimuthPull.toFixed(2),
            'within 68 %': (100 * f.within68).toFixed(1),
            'within 95 %': (100 * f.within95).toFixed(1),
            cautioned: f.cautioned,
            refused: f.refused,
          },
        ];
      }),
    ),
  );

  const seeds = Array.from({ length: evenings }, (_, i) => i + 1);
  console.log(
    `\nThe last statement of a rehearsal (seeds 1..${evenings} of each scene) over its own sigmas, against what only the simulator` +
      `\nknows. Reference: 1 for the rms, +-${(1 / Math.sqrt(2 * evenings)).toFixed(2)} by so few, and 0.95 within two sigmas.`,
  );
  const figuresOf = {
    orchard: await rehearsals('orchard', seeds),
    woolshed: await rehearsals('woolshed', seeds),
  };
  console.table(
    Object.fromEntries(
      Object.entries(figuresOf).map(([scene, figures]) => [
        scene,
        Object.fromEntries(Object.entries(figures).map(([name, value]) => [name, Number(value.toFixed(2))])),
      ]),
    ),
  );

  console.log(
    '\nReal boards (tests/recordings/data/*-shots-*.csv): tumble on 16 shots, swing on the 8 others rolled about one fixed axis, both' +
      '\nways round; "tumble alone": the best common axis of the eight with the calibration of the sixteen. Reference on the same shots:' +
      '\na plain algebraic ellipsoid of the magnetometer, best common axis.',
  );
  const ours = realSwings();
  const plain = plainSwing();
  const tumbleAlone = shotFiles.map((file) => {
    const { spreadsRad, axisDisagreementRad } = judgeShots(file, joint);
    return { spreadsDeg: spreadsRad.map((rad) => rad / degree), agreesDeg: axisDisagreementRad / degree };
  });
  console.table(
    Object.fromEntries(
      ours.map((swing, i) => [
        swing.file,
        {
          'spread deg, ours': swing.spreadsDeg.map((deg) => deg.toFixed(2)).join(' '),
          'tumble alone': tumbleAlone[i].spreadsDeg.map((deg) => deg.toFixed(2)).join(' '),
          plain: plain[i].spreadsDeg.map((deg) => deg.toFixed(2)).join(' '),
          'axis agrees deg, ours': swing.agreesDeg.toFixed(2),
          'tumble alone ': tumbleAlone[i].agreesDeg.toFixed(2),
          'plain ': plain[i].agreesDeg.toFixed(2),
        },
      ]),
    ),
  );
  console.log(
    `median azimuth spread: ours ${median(ours.flatMap((s) => s.spreadsDeg)).toFixed(3)} (<= 0.30), tumble alone ` +
      `${median(tumbleAlone.flatMap((s) => s.spreadsDeg)).toFixed(3)}, plain ${median(plain.flatMap((s) => s.spreadsDeg)).toFixed(2)}; ` +
      `axis agrees: ours ${median(ours.map((s) => s.agreesDeg)).toFixed(3)} (<= 0.40), tumble alone ` +
      `${median(tumbleAlone.map((s) => s.agreesDeg)).toFixed(3)}, plain ${median(plain.map((s) => s.agreesDeg)).toFixed(2)}`,
  );
  console.log(
    'Other ten boards of the kind (drawn again from these ten with replacement, Efron 1979) would miss these aims in this share of cases:' +
      `\n  swing: spread ${missed(
        ours.map((s) => s.spreadsDeg),
        0.3,
      )}, axis ${missed(
        ours.map((s) => [s.agreesDeg]),
        0.4,
      )}; tumble alone, best common axis: ` +
      `spread ${missed(
        tumbleAlone.map((s) => s.spreadsDeg),
        0.3,
      )}, axis ${missed(
        tumbleAlone.map((s) => [s.agreesDeg]),
        0.4,
      )}`,
  );
}
