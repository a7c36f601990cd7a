import { arcminute, degree } from '../../calibration/angle.ts';
import type { AxisErrors } from '../../calibration/drift/driftModel.ts';
import type { AxisKnown } from '../../calibration/nudge/ahead.ts';
import { readingSigma } from '../../calibration/nudge/gates.ts';
import { readShift } from '../../calibration/nudge/readShift.ts';
import { home, wayInField } from '../../calibration/nudge/starAfter.ts';
import { exitCode, Failure } from '../failure.ts';
import { nudgeStars, planStarNudge, type NudgeEye, type NudgePlan } from '../steps/starNudge.ts';
import type { VirtualNight } from './rehearseNight.ts';
import { StarInField, type Look } from './starInField.ts';

/** The eyepieces at hand; the one of more power is read better, and takes a shorter way. */
const fieldsArcmin = [40, 20];
/** What virtual hands believe of a turn, and how finely they turn while they look. */
const believedRadPerTurn = 1.2 * degree;
const touchTurns = 0.005;
const mostLooks = 10;
/** How often a careful look that finds the star beside its place lets them turn once more. */
const mostTouches = 3;

const eyes: readonly NudgeEye[] = fieldsArcmin.map((field) => ({
  fieldRad: field * arcminute,
  sigmaReadRad: readingSigma.inField(field * arcminute),
}));

/** The star and the eyepiece that leave the axis nearest to `aim`. Throws Failure where no star does. */
function bestNudge(night: VirtualNight, axis: AxisKnown, aim: AxisErrors): NudgePlan {
  const plans = eyes.flatMap((eye) => {
    const star = nudgeStars(night.site, night.now(), axis, eye.fieldRad).at(0)?.star;
    return star ? [planStarNudge(star, night.site, night.now(), axis, eye, aim)] : [];
  });
  const [best] = plans
    .filter(({ gates }) => gates.every(({ verdict }) => verdict !== 'stop'))
    .sort((one, other) => one.expectedAfterRad - other.expectedAfterRad);
  if (!best) throw new Failure(exitCode.refused, 'No listed star suits a nudge now.', 'Nudge by the needles.');
  return best;
}

/** A star that is still in the field after a nudge, and how it was read before and last. */
export interface StarHeld {
  star: StarInField;
  first: Look;
  last: Look;
}

/**
 * Virtual hands nudge on a star until the axis stands at `aim`, altitude bolt first; what star and needles tell goes into the log.
 * Returns each step that the way was split into; the star of the last is still in the field.
 */
export function nudgeOnStar(night: VirtualNight, aim: AxisErrors = home): StarHeld[] {
  const held: StarHeld[] = [];
  for (;;) {
    const known = night.answer();
    const plan = bestNudge(night, known, aim);
    const share = 1 / plan.steps.length;
    const star = new StarInField(night, plan.star, plan.eye);
    const before = star.look();
    loosen(night);
    const part = (from: number, to: number): number => from + share * (to - from);
    const end = {
      altitudeErrorRad: part(known.altitudeErrorRad, aim.altitudeErrorRad),
      azimuthErrorRad: part(known.azimuthErrorRad, aim.azimuthErrorRad),
    };
    let last = before;
    for (let touches = 0; touches < mostTouches; touches += 1) {
      turnTo(night, star, plan.eye, before, known, end);
      last = star.look();
      const { altitudeShiftRad, azimuthShiftRad } = star.between(before, last, known);
      const offAltitude = known.altitudeErrorRad + altitudeShiftRad - end.altitudeErrorRad;
      const offAzimuth = known.azimuthErrorRad + azimuthShiftRad - end.azimuthErrorRad;
      if (Math.hypot(offAltitude, offAzimuth * Math.cos(night.site.latitudeRad)) < plan.eye.sigmaReadRad) break;
    }
    night.log.push(star.shiftEntry(before, last, known, 'star'));
    held.push({ star, first: before, last });
    if (plan.steps.length === 1) return held;
    night.stopDrive();
  }
}

/** Both bolts are tightened while the star is watched; what that did goes into the log. Returns the last look. */
export function lockOnStar(night: VirtualNight, { star, last }: StarHeld): Look {
  const known = night.answer();
  night.world.hands.lock('altitude');
  night.watch(night.world.hands.lock('azimuth'));
  const locked = star.look();
  night.log.push({ ...star.shiftEntry(last, locked, known, 'locking'), goesOn: true });
  night.stopDrive();
  return locked;
}

function loosen(night: VirtualNight): void {
  const { hands } = night.world;
  if (!hands.haveLocked()) return;
  hands.unlock('altitude');
  night.watch(hands.unlock('azimuth'));
}

function turnTo(
  night: VirtualNight,
  star: StarInField,
  eye: NudgeEye,
  before: Look,
  from: AxisErrors,
  aim: AxisErrors,
): void {
  const left = (bolt: 'altitude' | 'azimuth'): number => {
    const way = wayInField(before.place, star.read());
    const shift = readShift(star.starNed, night.site.latitudeRad, from, way, eye.sigmaReadRad);
    return bolt === 'altitude'
      ? aim.altitudeErrorRad - from.altitudeErrorRad - shift.altitudeShiftRad
      : aim.azimuthErrorRad - from.azimuthErrorRad - shift.azimuthShiftRad;
  };
  for (const bolt of ['altitude', 'azimuth', 'altitude'] as const) {
    for (let looks = 0; looks < mostLooks; looks += 1) {
      night.watch(night.world.timeS + 3);
      const leftRad = left(bolt);
      if (Math.abs(leftRad) < eye.sigmaReadRad) break;
      const turns = leftRad / believedRadPerTurn + touchTurns * night.random.normal();
      night.watch(night.world.hands.turnBolt(bolt, turns) + 1);
    }
  }
}
