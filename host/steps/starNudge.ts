import { arcminute, degree } from '../../calibration/angle.ts';
import type { AxisErrors } from '../../calibration/drift/driftModel.ts';
import type { Gate } from '../../calibration/gate.ts';
import { rankNudgeStars } from '../../calibration/nudge/bestStar.ts';
import { expectedDistanceRad } from '../../calibration/nudge/expected.ts';
import { nudgeGates, stepsInField } from '../../calibration/nudge/gates.ts';
import { readShift, sigmaPlaceRad } from '../../calibration/nudge/readShift.ts';
import { home, shiftRad, starAfter, type FieldPlace } from '../../calibration/nudge/starAfter.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import { isHidden } from '../site/horizon.ts';
import type { Site } from '../site/site.ts';
import { placeOf, type Place } from '../sky/place.ts';
import { whyNotNow } from '../sky/mayTake.ts';
import type { Star } from '../sky/stars.ts';
import { seenDirection, starsToTake, whereWords } from '../sky/visible.ts';

export interface NudgeAxis extends AxisErrors {
  /** Row-major 2 x 2 of altitude and azimuth error; zeros where the errors are taken as given. */
  axisCovariance: readonly [number, number, number, number];
}

export interface NudgeEye {
  /** The whole true field; Infinity where it was not told. */
  fieldRad: number;
  /** Of one reading of a place in the field, in each direction. */
  sigmaReadRad: number;
}

/** Where a star that is centred now comes to stand while the bolts bring the axis home, or to the errors of `aim`. */
export interface NudgePlan {
  star: Star;
  utc: Date;
  place: Place;
  starNed: Vector3;
  axis: NudgeAxis;
  aim: AxisErrors;
  eye: NudgeEye;
  whole: FieldPlace;
  byAltitudeBolt: FieldPlace;
  byAzimuthBolt: FieldPlace;
  /** Each from the centre of the field, the star centred anew before it; one where the field takes the whole way. */
  steps: readonly { afterAltitude: FieldPlace; home: FieldPlace }[];
  sigmaShiftRad: number;
  /** Mean of all that may be, before and after. */
  expectedBeforeRad: number;
  expectedAfterRad: number;
  gates: readonly Gate[];
}

/** Where nobody told what the eye can read: an arcminute, as in a field of 40 arcminutes (common practice). */
export const usualSigmaReadRad = arcminute;
/** The drive runs on while the bolts are turned, and the axis drifts with what it is off; about a minute (assumed). */
const drivenRadPerRad = (60 * 2 * Math.PI) / 86_164;

export function planStarNudge(
  star: Star,
  site: Site,
  utc: Date,
  axis: NudgeAxis,
  eye: NudgeEye,
  aim: AxisErrors = home,
): NudgePlan {
  const place = placeOf({ kind: 'star', star }, site, utc);
  const starNed = seenDirection(place);
  const { latitudeRad } = site;
  const way = wayBetween(starNed, latitudeRad, axis, aim);
  const farthest = Math.max(shiftRad(way.home), shiftRad(way.afterAltitude));
  const count = Math.min(stepsInField(farthest, eye.fieldRad), mostSteps);
  const part = (from: number, to: number, i: number): number => from + ((to - from) * i) / count;
  const standing = (i: number): AxisErrors => ({
    altitudeErrorRad: part(axis.altitudeErrorRad, aim.altitudeErrorRad, i),
    azimuthErrorRad: part(axis.azimuthErrorRad, aim.azimuthErrorRad, i),
  });
  /** From where it is to stand, since it is left there on purpose. */
  const off: AxisErrors = {
    altitudeErrorRad: axis.altitudeErrorRad - aim.altitudeErrorRad,
    azimuthErrorRad: axis.azimuthErrorRad - aim.azimuthErrorRad,
  };
  return {
    star,
    utc,
    place,
    starNed,
    axis,
    aim,
    eye,
    whole: way.home,
    byAltitudeBolt: way.afterAltitude,
    byAzimuthBolt: starAfter(starNed, latitudeRad, axis, { ...axis, azimuthErrorRad: aim.azimuthErrorRad }),
    steps: Array.from({ length: count }, (_, i) => wayBetween(starNed, latitudeRad, standing(i), standing(i + 1))),
    sigmaShiftRad: Math.hypot(
      sigmaPlaceRad(starNed, latitudeRad, off, axis.axisCovariance, way.home),
      drivenRadPerRad * shiftRad(way.home),
    ),
    expectedBeforeRad: expectedDistanceRad(off, axis.axisCovariance, latitudeRad),
    expectedAfterRad: afterRad(starNed, latitudeRad, axis, aim, count, eye.sigmaReadRad),
    gates: [
      ...lightGate(star, site, utc),
      ...nudgeGates(starNed, latitudeRad, axis),
      ...horizonGate(site, place),
      ...stepsGate(farthest, eye.fieldRad),
    ],
  };
}

const mostSteps = 8;

function wayBetween(starNed: Vector3, latitudeRad: number, from: AxisErrors, to: AxisErrors) {
  return {
    afterAltitude: starAfter(starNed, latitudeRad, from, { ...from, altitudeErrorRad: to.altitudeErrorRad }),
    home: starAfter(starNed, latitudeRad, from, to),
  };
}

/** Each step is centred and read anew, and adds its errors. */
function afterRad(
  starNed: Vector3,
  latitudeRad: number,
  axis: NudgeAxis,
  aim: AxisErrors,
  steps: number,
  sigmaReadRad: number,
): number {
  const { altitudeErrorRad, azimuthErrorRad, axisCovariance: before } = axis;
  const place = starAfter(starNed, latitudeRad, axis, aim);
  const { covariance } = readShift(
    starNed,
    latitudeRad,
    { altitudeErrorRad, azimuthErrorRad },
    place,
    sigmaReadRad * Math.SQRT2 * Math.sqrt(steps),
  );
  const after = [before[0] + covariance[0], 0, 0, before[3] + covariance[3]] as const;
  return expectedDistanceRad(home, after, latitudeRad);
}

/** By day and in twilight: whether this star may be taken. */
function lightGate(star: Star, site: Site, utc: Date): Gate[] {
  const notNow = whyNotNow({ kind: 'star', star }, site, utc);
  if (!notNow) return [];
  const { sunAltitudeRad, reason, whatToDo } = notNow;
  return [
    {
      verdict: 'stop',
      reason: `${reason.replace(/[.]$/, '')}; altitude of the Sun`,
      value: sunAltitudeRad / degree,
      limit: -1,
      unit: 'deg',
      nextAction: whatToDo,
    },
  ];
}

const horizonGate = (site: Site, { azimuthRad, refractedAltitudeRad }: Place): Gate[] =>
  refractedAltitudeRad > 0 && isHidden(site.horizon, azimuthRad, refractedAltitudeRad)
    ? [
        {
          verdict: 'caution',
          reason: 'the star stands behind what is marked on the horizon',
          value: refractedAltitudeRad / degree,
          limit: refractedAltitudeRad / degree,
          unit: 'deg',
          nextAction: 'If you cannot see it, take another: lodepole nudge --list.',
        },
      ]
    : [];

function stepsGate(farthestRad: number, fieldRad: number): Gate[] {
  const steps = stepsInField(farthestRad, fieldRad);
  return steps <= mostSteps
    ? []
    : [
        {
          verdict: 'stop',
          reason: 'the error is too large for this field: steps needed',
          value: steps,
          limit: mostSteps,
          unit: '',
          nextAction: 'Use the finder or an eyepiece of less power, or nudge by the needles first.',
        },
      ];
}

/** No nudge is advised whose expected result is farther from the pole than the axis stands now. */
export const isNudgeAdvised = ({ expectedBeforeRad, expectedAfterRad, gates }: NudgePlan): boolean =>
  expectedAfterRad < expectedBeforeRad && gates.every(({ verdict }) => verdict !== 'stop');

interface NudgeChoice {
  star: Star;
  where: string;
  shiftRad: number;
  /** Error of the axis for one of reading. */
  spread: number;
}

/** Stars that do for a nudge now, best first: those whose whole way stays in the field before others. */
export function nudgeStars(site: Site, utc: Date, axis: NudgeAxis, fieldRad: number): NudgeChoice[] {
  const seen = starsToTake(site, utc).filter(({ starNed }) =>
    nudgeGates(starNed, site.latitudeRad, axis).every(({ verdict }) => verdict === 'ok'),
  );
  return rankNudgeStars(
    seen.map(({ starNed }) => starNed),
    site.latitudeRad,
    axis,
    fieldRad / 2,
  ).map(({ index, worth, shiftRad: way }) => ({
    star: seen[index].star,
    where: whereWords(seen[index].place),
    shiftRad: way,
    spread: worth.spread,
  }));
}
