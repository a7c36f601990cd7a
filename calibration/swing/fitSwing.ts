import { degree, wrapPi } from '../angle.ts';
import { correct } from '../correction.ts';
import type { TumbleCalibration } from '../tumble/types.ts';
import { dot, norm, scale } from '../vector.ts';
import { driftPerC, ownWarmthC } from '../warmth.ts';
import { adjustSwing, type AdjustedSwing, type SwingBegin } from './adjustSwing.ts';
import { describeSwing } from './describe.ts';
import { swingGates } from './gates.ts';
import { fitNoAxis } from './limits.ts';
import type { HeldDwell } from './model.ts';
import { readingNoiseG, wanderShare } from './restNoise.ts';
import { planeNormal, startFrom, type CorrectedDwell, type SwingStart } from './start.ts';
import type { Dwell, Face, PlaceChange, SwingOptions, SwingResult } from './types.ts';

/**
 * What may differ between hand and mount (assumed, about what a clean set-up shows): iron of some tens of microtesla turns
 * along, a few tenths of a percent of it soft; iron in the tripod bends the field by some tens of nanotesla; the
 * accelerometer's bias moves by its wander, once in the tumble and once in the swing, and by a degree's warmth or less.
 */
export const usualChange = (dwells: readonly Dwell[]): PlaceChange => {
  const wanderG = wanderShare * readingNoiseG(dwells);
  return {
    turnAlongIronNt: 20_000,
    turnAlongMatrix: 0.002,
    accelBiasG: Math.hypot(Math.SQRT2 * wanderG, warmthG),
    creepG: Math.hypot(wanderG / 2, (driftPerC.accelG * warmedByC(dwells)) / 2),
    placeFieldNt: 35,
  };
};
/** From the coldest dwell to the warmest; where no temperature is known, what a board may warm itself by. */
function warmedByC(dwells: readonly Dwell[]): number {
  const known = dwells.flatMap(({ temperatureC }) => temperatureC ?? []);
  return known.length > 0 ? Math.max(...known) - Math.min(...known) : ownWarmthC;
}

/** Drift of a bias by a few tenths of a degree: 0.2 to 0.5 mg a degree (datasheets of consumer chips). */
const warmthG = 0.0001;

/**
 * Finds the polar axis from dwells of a board that turned with it (the model: `SwingModel`). All dwells of all faces are
 * adjusted together, with the tumble's calibration estimated again under its own covariance.
 * Throws RangeError with fewer than three dwells on any face.
 */
export function fitSwing(
  faces: readonly Face[],
  calibration: TumbleCalibration,
  options: SwingOptions = {},
): SwingResult {
  if (faces.length === 0 || faces.some((face) => face.length < 3)) {
    throw new RangeError('swing: three dwells or more are needed on each face');
  }
  const change = { ...usualChange(faces.flat()), ...options.change };
  const starts: SwingStart[] = [];
  for (const face of faces) {
    const corrected = face.map(({ accelG, fieldNt }) => ({
      up: correct(calibration.correction.accelerometer, accelG),
      field: correct(calibration.correction.magnetometer, fieldNt),
    }));
    starts.push(startWithSense(corrected, calibration, options, starts[0]));
  }
  const held = faces.flatMap((face, clipping) => face.map((dwell): HeldDwell => ({ dwell, clipping, sense: 1 })));
  // Nobody sets up with the back to the pole, so a site leaves one of the two azimuths; else the better fit does.
  const { site } = options;
  const facing = [0, 1].filter(
    (which) => !site || Math.cos(starts[0].azimuthRad[which] - site.pole.azimuthRad + site.variationRad) > 0,
  );
  const axes = starts.map(({ axis }) => axis);
  const adjustFrom = (begins: readonly SwingBegin[]): AdjustedSwing =>
    adjustAtPlace((at) => adjustSwing(held, calibration, axes, begins, at), change);
  const begins = [0, 1].map((which): SwingBegin => ({
    altitudeRad: starts[0].altitudeRad,
    azimuthRad: starts[0].azimuthRad[which],
    rollRad: starts.flatMap(({ rollRad }) => rollRad),
    ironNt: starts.map(({ ironNt }) => ironNt[which]),
  }));
  const likely = adjustFrom(facing.length > 0 ? facing.map((which) => begins[which]) : begins);
  // A mount that was set down the wrong way round fits the other azimuth, and is told so.
  const swing =
    facing.length === 1 && fitNoAxis(likely) ? betterOf(likely, adjustFrom([begins[1 - facing[0]]])) : likely;
  return describeSwing(swing, options, (arcRad, rollRad, sigma, errors) =>
    swingGates(swing, arcRad, rollRad, sigma, options.site, errors),
  );
}

const betterOf = (one: AdjustedSwing, other: AdjustedSwing): AdjustedSwing => (other.misfit < one.misfit ? other : one);

/** Iron of the place that shows in strength or dip by more than this is taken to bend the azimuth as much. */
const showsSigmas = 2.5;

/**
 * Adjusts, and where strength or dip pull away from what a clean place allows, once more with a place as unclean as they show:
 * so that neither altitude nor axis is bent by holding on to the field, and the azimuth's sigma says what such iron may do.
 */
export function adjustAtPlace(adjustAt: (change: PlaceChange) => AdjustedSwing, change: PlaceChange): AdjustedSwing {
  const first = adjustAt(change);
  const shows = Math.max(Math.abs(first.strengthPull), Math.abs(first.dipPull));
  if (!(shows > showsSigmas)) return first;
  const { strengthPull, dipPull } = first;
  return { ...adjustAt({ ...change, placeFieldNt: change.placeFieldNt * shows }), strengthPull, dipPull };
}

/**
 * Which end of the axis points to the elevated pole. Where no site is known: the end toward which the board is said to point,
 * else the end nearest to a positive board axis; on further faces the end that stands as on the first. With a site: the end
 * whose altitude, azimuth and turning iron are the least surprising (a few degrees, tens of degrees, tens of microtesla), for
 * near the equator altitude alone cannot tell.
 */
function startWithSense(
  corrected: readonly CorrectedDwell[],
  calibration: TumbleCalibration,
  { site, toward }: SwingOptions,
  first: SwingStart | undefined,
): SwingStart {
  const normal = planeNormal(corrected, calibration.fieldNt);
  const [one, other] = [normal, scale(normal, -1)].map((axis) =>
    startFrom(corrected, axis, calibration.fieldNt, calibration.dipRad),
  );
  if (!site && !first) {
    const largest = normal.reduce((best, part) => (Math.abs(part) > Math.abs(best) ? part : best), 0);
    return (toward ? dot(normal, toward) : largest) > 0 ? one : other;
  }
  const expected = site
    ? { altitudeRad: site.pole.altitudeRad, azimuthRad: [site.pole.azimuthRad - site.variationRad] }
    : first!;
  const surprise = (start: SwingStart): number =>
    Math.min(
      ...[0, 1].flatMap((which) =>
        expected.azimuthRad.map(
          (azimuthRad) =>
            ((start.altitudeRad - expected.altitudeRad) / usual.altitudeRad) ** 2 +
            (wrapPi(start.azimuthRad[which] - azimuthRad) / usual.azimuthRad) ** 2 +
            (norm(start.ironNt[which]) / usual.ironNt) ** 2,
        ),
      ),
    );
  return surprise(one) <= surprise(other) ? one : other;
}

/** How far a polar axis set up by hand, and the iron on it, usually are off (common practice). */
const usual = { altitudeRad: 5 * degree, azimuthRad: 20 * degree, ironNt: 30_000 };
