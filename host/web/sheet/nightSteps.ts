import type { LiveSession } from '../../live/session.ts';
import { NudgeStep } from './nudgeStep.ts';
import type { SheetStep } from './sheet.ts';

/** The steps of the night, in the order in which one walks them. */
export const nightSteps = (session: LiveSession): SheetStep[] => [new NudgeStep(session)];
