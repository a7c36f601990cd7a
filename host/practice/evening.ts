import { arcminute } from '../../calibration/angle.ts';
import { allowedForExposure } from '../../calibration/enough.ts';
import { nextStep } from '../night/next.ts';
import type { NextStep } from '../night/stepsOfNight.ts';
import type { Plan } from '../store/plan.ts';
import { lockOnStar, nudgeOnStar, type StarHeld } from './bringHome.ts';
import type { VirtualNight } from './rehearseNight.ts';
import { texts } from './words.ts';

const sightCount = 6;
/** Of each of two stars. */
const driftMinutes = 10;
const nearByNeedlesRad = 5 * arcminute;
/** However it goes, an evening ends. */
const mostSteps = 60;

const exposure = {
  exposureS: 300,
  focalLengthM: 0.52,
  declinationRad: 0,
  smearM: 3.8e-6,
  cornerRad: 0.02,
  guided: false,
};
/** What the virtual observer wants to do: it asks more of the axis than most. */
export const strictPlan: Plan = {
  allowedRad: allowedForExposure(exposure).distanceRad,
  words: 'exposures of 300 s at 520 mm, unguided',
};

/**
 * From the first needles to the axis locked and loaded, the stars watched and the sheet printed, by virtual hands that see needles,
 * clock and eyepiece, never the truth, and do what `nextStep` says and nothing else. Throws Failure where no star is left.
 */
export function walkEvening(night: VirtualNight, plan = strictPlan, tell: (step: NextStep) => void = () => {}): void {
  let named: Plan | undefined;
  let held: StarHeld | undefined;
  for (let steps = 0; steps < mostSteps; steps += 1) {
    const coming = nextStep(night.tonight(named));
    tell(coming);
    const { step } = coming;
    if (step === 'needles') {
      night.nudge(nearByNeedlesRad);
      night.noteCompass();
    } else if (step === 'load') night.load();
    else if (step === 'balance') {
      night.say(texts.balanced, 'balance');
    } else if (step === 'sight') night.takeSights(sightCount);
    else if (step === 'enough') {
      named = plan;
      night.say(texts.plan(plan.words), 'enough');
    } else if (step === 'drift') night.watchDrift(driftMinutes);
    else if (step === 'nudge') held = nudgeOnStar(night, coming.standOff).at(-1);
    else if (step === 'lock') {
      if (held) lockOnStar(night, held);
      else night.lock();
    } else if (step === 'observe' || step === 'sheet') {
      night.say(`${coming.reason}`, step);
      if (step === 'sheet') return;
    } else return;
    if (step !== 'nudge') held = undefined;
    if (step === 'sight' || step === 'drift' || step === 'lock') night.takeOver();
  }
}
