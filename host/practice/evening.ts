import { arcminute } from '../../calibration/angle.ts';
import { lockAhead, type Ahead } from '../../calibration/nudge/ahead.ts';
import { habitOf, type SeenShift } from '../../calibration/nudge/habit.ts';
import { bestNudge, bringHome, readCovariance } from './bringHome.ts';
import type { VirtualNight } from './rehearseNight.ts';

const sightCount = 6;
/** Of each of two stars: once, as long as is usual; and longer where the axis stands near, which tells it twice as well. */
const watchMinutes = 5;
const proofMinutes = 10;
const mostLockings = 8;
/** What is not known of the axis may make this much of what a correction leaves; above it a watch comes first, unless the axis stands far off. */
const surePart = 0.6;
const farTimes = 2;
/** The answer is sure enough to leave the bolts, one sigma. */
const provedRad = 1.1 * arcminute;

/** How a virtual evening goes: by its own advice; the same without a correction after locking; or by the needles alone. */
export type EveningWay = 'advised' | 'uncorrected' | 'needles';

/** From the first needles to the axis locked and loaded, by virtual hands that see needles, clock and eyepiece, never the truth. */
export function walkEvening(
  night: VirtualNight,
  way: EveningWay = 'advised',
  tell: (line: string) => void = () => {},
): void {
  tell('The needles bring the axis near; then the instrument goes on, and six stars are sighted.');
  night.nudge(5 * arcminute);
  night.noteCompass();
  night.load();
  night.takeSights(sightCount);
  night.takeOver();
  if (way === 'needles') byNeedles(night);
  else if (way === 'uncorrected') uncorrected(night);
  else advised(night, tell);
}

function byNeedles(night: VirtualNight): void {
  night.nudge(2 * arcminute);
  night.watchDrift(watchMinutes);
  night.takeOver();
  night.nudge(1.5 * arcminute);
  night.lock();
}

function uncorrected(night: VirtualNight): void {
  bringHome(night, false);
  night.watchDrift(watchMinutes);
  night.takeOver();
  bringHome(night, true);
}

/** Lock, look, correct, until nothing that could be done is expected to bring the axis nearer. */
function advised(night: VirtualNight, tell: (line: string) => void): void {
  const lockings: SeenShift[] = [];
  while (lockings.length < mostLockings) {
    const ahead = aheadOf(night, lockings);
    const { sigmaDistanceRad } = night.answer();
    const isSure = sigmaDistanceRad < surePart * ahead.afterRad || ahead.nowRad > farTimes * ahead.afterRad;
    const expected = `Expected distance from the pole ${inWords(ahead.nowRad)}, after a correction ${inWords(ahead.afterRad)}`;
    if (ahead.isNearer && isSure) {
      tell(
        `${expected}: ${lockings.length === 0 ? 'nudge on a star and lock' : 'loosen, nudge on a star, set off by what locking does, lock again'}.`,
      );
      const locking = bringHome(night, true, ahead.standOff);
      if (locking) lockings.push(locking);
    } else if (sigmaDistanceRad < provedRad) {
      night.say(`${expected}: the bolts stay as they are.`);
      tell(`${expected}: the bolts stay as they are.`);
      return;
    } else {
      tell(`${expected}: first the drift of two stars, ${proofMinutes} minutes each.`);
      night.watchDrift(proofMinutes);
    }
    night.takeOver();
  }
}

const inWords = (rad: number): string => `${(rad / arcminute).toFixed(1)}′`;

function aheadOf(night: VirtualNight, lockings: readonly SeenShift[]): Ahead {
  const axis = night.answer();
  const { latitudeRad } = night.site;
  return lockAhead(axis, habitOf(lockings), readCovariance(bestNudge(night, axis), latitudeRad), latitudeRad);
}
