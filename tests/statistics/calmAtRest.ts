import { degree } from '../../calibration/angle.ts';
import { LiveEstimator } from '../../calibration/live/estimator.ts';
import type { SceneName } from '../../firmware-proto/virtual/scenes.ts';
import { createWorld } from '../../firmware-proto/virtual/world.ts';
import { collect } from '../../firmware-proto/virtual/worldSamples.ts';
import { rehearseFast } from '../../host/live/rehearseFast.ts';
import type { AxisFigures } from '../../host/live/session.ts';
import { ShownFigures } from '../../host/live/shownFigures.ts';
import { swingSite } from '../../host/site/swingSite.ts';
import { distanceWords, standingOf } from '../../host/words/distance.ts';
import { instructionWords } from '../../host/words/instruction.ts';
import { giveOrTake, readingUnit, readingWords, type Axis } from '../../host/words/reading.ts';
import { ScaleChooser } from '../../host/words/scale.ts';

/** The figures are shown from then on as they stay: the needle averages six seconds. */
export const settledS = 8;
const date = new Date('2026-11-25T00:00:00Z');
const axes = ['altitude', 'azimuth'] as const;

const partOf = (axis: Axis, figures: AxisFigures): [errorDeg: number, sigmaDeg: number] =>
  axis === 'altitude'
    ? [figures.altitudeErrorRad / degree, figures.sigmaAltitudeErrorRad / degree]
    : [figures.azimuthErrorRad / degree, figures.sigmaAzimuthErrorRad / degree];

/** All that stands on a screen, by name. */
function textsOf(figures: AxisFigures, scales: Record<Axis, ScaleChooser>, timeS: number): Record<string, string> {
  const texts: Record<string, string> = {
    distance: distanceWords(standingOf(figures), { isAtRest: true, isAnchored: false }),
  };
  for (const axis of axes) {
    const [errorDeg, sigmaDeg] = partOf(axis, figures);
    const unit = readingUnit(errorDeg, sigmaDeg);
    const { full, unit: unitOfScale } = scales[axis].offer(errorDeg, sigmaDeg, timeS);
    texts[`${axis} figure`] = `${readingWords(axis, errorDeg, sigmaDeg, unit)}, ${giveOrTake(sigmaDeg, unit)}`;
    texts[`${axis} sentence`] = instructionWords(axis, errorDeg, sigmaDeg);
    texts[`${axis} scale`] = `${full}${unitOfScale}`;
  }
  return texts;
}

export interface Calm {
  /** Seconds between two changes of the same text, the shortest of all; Infinity where none changed twice. */
  shortestS: Record<'figure' | 'sentence' | 'distance' | 'scale', number>;
  /** Changes by kind of text, the largest of both axes. */
  changes: Record<'figure' | 'sentence' | 'distance' | 'scale', number>;
  blinks: number;
  /** Largest departure of what is shown from the truth, in the sigmas that are shown; altitude, azimuth. */
  worstSigmas: [altitude: number, azimuth: number];
  lastSigmas: [altitude: number, azimuth: number];
}

/** A virtual set-up at rest, from `settledS` on for `seconds`; `held` false: as if the needles themselves were shown. */
export function calmAtRest(scene: SceneName, seed: number, seconds: number, held = true): Calm {
  const { swing } = rehearseFast(scene, { seed, date });
  const world = createWorld(scene, { seed, date });
  const estimator = new LiveEstimator(swing.axisModel, swingSite(world.scene.place, date));
  const shown = new ShownFigures();
  const scales = { altitude: new ScaleChooser(), azimuth: new ScaleChooser() };
  const kinds = ['figure', 'sentence', 'distance', 'scale'] as const;
  const calm: Calm = {
    shortestS: { figure: Infinity, sentence: Infinity, distance: Infinity, scale: Infinity },
    changes: { figure: 0, sentence: 0, distance: 0, scale: 0 },
    blinks: 0,
    worstSigmas: [0, 0],
    lastSigmas: [0, 0],
  };
  const last = new Map<string, { text: string; changedS: number; changes: number }>();
  let state = '';
  for (const { timeS, ...sample } of collect(world, settledS + seconds, 100)) {
    const estimate = estimator.offer({ ...sample, boardS: timeS });
    if (!estimate) continue;
    const figures = held ? shown.offer(estimate, timeS) : estimate;
    // a screen is drawn anew five times a second
    const isDrawn = Math.round(timeS * 100) % 20 === 0;
    if (timeS < settledS || !isDrawn) continue;
    if (state !== '' && estimate.state !== state) calm.blinks += 1;
    state = estimate.state;
    const truth = world.truth();
    const [altitude, azimuth] = [
      Math.abs(figures.altitudeErrorRad - truth.altitudeErrorRad) / figures.sigmaAltitudeErrorRad,
      Math.abs(figures.azimuthErrorRad - truth.azimuthErrorRad) / figures.sigmaAzimuthErrorRad,
    ];
    calm.lastSigmas = [altitude, azimuth];
    calm.worstSigmas = [Math.max(calm.worstSigmas[0], altitude), Math.max(calm.worstSigmas[1], azimuth)];
    for (const [name, text] of Object.entries(textsOf(figures, scales, timeS))) {
      const before = last.get(name);
      if (before?.text === text) continue;
      if (before) {
        const kind = kinds.find((one) => name.endsWith(one))!;
        calm.shortestS[kind] = Math.min(calm.shortestS[kind], timeS - before.changedS);
        calm.changes[kind] = Math.max(calm.changes[kind], before.changes + 1);
      }
      last.set(name, { text, changedS: before ? timeS : -Infinity, changes: before ? before.changes + 1 : 0 });
    }
  }
  return calm;
}
