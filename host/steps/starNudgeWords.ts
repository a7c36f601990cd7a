import { arcminute } from '../../calibration/angle.ts';
import { shiftRad, type FieldPlace } from '../../calibration/nudge/starAfter.ts';
import { rounded } from '../words/figures.ts';
import { bandSigmas } from '../words/reading.ts';
import { isNudgeAdvised, type NudgePlan } from './starNudge.ts';
import { cautions } from '../words/cautions.ts';
import { texts } from './words/starNudge.ts';

/** How a place in the field is told beside arcminutes. */
export interface FieldUnit {
  name: 'divisions' | 'pixels';
  sizeRad: number;
}

/** A diagonal shows the field as in a mirror. */
export interface Picture {
  mirrored: boolean;
  unit?: FieldUnit;
}

const arcmin = (rad: number): string => {
  const size = Math.abs(rad / arcminute);
  return `${size.toFixed(size < 10 ? 1 : 0)}′`;
};

/**
 * Hour on a clock's face held so that a star drifts toward 3 with the drive stopped: straight, north is then at 12; in a mirror,
 * at 6. Whole hours.
 */
export function clockHour({ northRad, eastRad }: FieldPlace, mirrored: boolean): number {
  const upRad = mirrored ? -northRad : northRad;
  const hour = Math.round((Math.atan2(-eastRad, upRad) / Math.PI) * 6);
  return ((hour + 11) % 12) + 1;
}

const parts = ({ northRad, eastRad }: FieldPlace): string =>
  `${arcmin(northRad)} ${northRad >= 0 ? 'north' : 'south'}, ${arcmin(eastRad)} ${eastRad >= 0 ? 'east' : 'west'}`;

/** "12′ from the centre toward 7 o'clock (11′ south, 4.2′ east), 60 % of the way to the edge". */
export function placeWords(place: FieldPlace, fieldRad: number, { mirrored, unit }: Picture): string {
  const way = shiftRad(place);
  if (way < 0.05 * arcminute) return texts.inCentre;
  const more = [
    ...(Number.isFinite(fieldRad) ? [texts.wayToEdge(((200 * way) / fieldRad).toFixed(0))] : []),
    ...(unit ? [`${(way / unit.sizeRad).toFixed(1)} ${unit.name}`] : []),
  ];
  return [texts.fromCentre(arcmin(way), clockHour(place, mirrored), parts(place)), ...more].join(', ');
}

export const nudgeCautions = [cautions.sun, cautions.fingers, cautions.clutch] as const;

export const clockWords = (mirrored: boolean): string => texts.findWest(mirrored);

/** One instruction after the other, then what to expect; the cautions come before. */
export function nudgeWords(plan: NudgePlan, picture: Picture): string[] {
  const { star, steps, eye, expectedBeforeRad, expectedAfterRad, sigmaShiftRad } = plan;
  const expected = texts.expected(arcmin(expectedBeforeRad), arcmin(expectedAfterRad));
  if (!isNudgeAdvised(plan)) return [texts.leaveBolts(expected)];
  const turns = steps.flatMap(({ afterAltitude, home }, i) => [
    texts.centre(steps.length > 1, i + 1, steps.length, star.name),
    texts.turnAltitude(placeWords(afterAltitude, eye.fieldRad, picture)),
    texts.turnAzimuth(placeWords(home, eye.fieldRad, picture)),
  ]);
  return [
    clockWords(picture.mirrored),
    ...turns,
    texts.howSure(arcmin(bandSigmas * sigmaShiftRad)),
    expected,
    texts.doItSoon,
  ];
}

const both = ({ northRad, eastRad }: FieldPlace): { northArcmin: number; eastArcmin: number } => ({
  northArcmin: rounded(northRad / arcminute, 4),
  eastArcmin: rounded(eastRad / arcminute, 4),
});

/** The keys of the contract, with parts of the field, divisions or pixels where they are known. */
export function nudgeJson(plan: NudgePlan, { mirrored, unit }: Picture): Record<string, unknown> {
  const { star, utc, whole, eye, steps } = plan;
  const inUnit = ({ northRad, eastRad }: FieldPlace) => ({
    ...(Number.isFinite(eye.fieldRad) && {
      northFieldParts: rounded(northRad / eye.fieldRad, 4),
      eastFieldParts: rounded(eastRad / eye.fieldRad, 4),
    }),
    ...(unit && {
      [unit.name === 'divisions' ? 'northDivisions' : 'northPixels']: rounded(northRad / unit.sizeRad, 3),
      [unit.name === 'divisions' ? 'eastDivisions' : 'eastPixels']: rounded(eastRad / unit.sizeRad, 3),
    }),
  });
  return {
    star: star.name,
    timeUtc: utc.toISOString(),
    ...both(whole),
    ...inUnit(whole),
    shiftArcmin: rounded(shiftRad(whole) / arcminute, 4),
    sigmaShiftArcmin: rounded(plan.sigmaShiftRad / arcminute, 4),
    byAltitudeBolt: both(plan.byAltitudeBolt),
    byAzimuthBolt: both(plan.byAzimuthBolt),
    clockHour: clockHour(whole, mirrored),
    mirrored,
    advised: isNudgeAdvised(plan),
    expectedBeforeArcmin: rounded(plan.expectedBeforeRad / arcminute, 3),
    expectedAfterArcmin: rounded(plan.expectedAfterRad / arcminute, 3),
    steps: steps.map(({ afterAltitude, home }) => ({ afterAltitudeBolt: both(afterAltitude), ...both(home) })),
  };
}
