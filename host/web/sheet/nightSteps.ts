import { LevelStep } from './levelStep.ts';
import { LockStep } from './lockStep.ts';
import type { Night } from './night.ts';
import { NudgeStep } from './nudgeStep.ts';
import type { SheetStep } from './sheet.ts';
import { SiteStep } from './siteStep.ts';
import { skySteps } from './skySteps.ts';

/** The steps of the night, in the order in which one walks them. */
export function nightSteps(night: Night): SheetStep[] {
  return [new SiteStep(night), new LevelStep(night), new NudgeStep(night), new LockStep(night), ...skySteps()];
}
