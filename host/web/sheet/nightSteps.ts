import type { NextStep } from '../../night/stepsOfNight.ts';
import type { StepName } from '../messages.ts';
import { AnswerSheet } from './answerSheet.ts';
import { BalanceSheet } from './balanceSheet.ts';
import { DriftSheet } from './driftSheet.ts';
import { EnoughSheet } from './enoughSheet.ts';
import { HorizonSheet } from './horizonSheet.ts';
import { LevelSheet } from './levelSheet.ts';
import { LoadSheet } from './loadSheet.ts';
import { LockSheet } from './lockSheet.ts';
import type { Night } from './nightAtPage.ts';
import { NudgeSheet } from './nudgeSheet.ts';
import type { SheetStep } from './sheet.ts';
import { SideSheet } from './sideSheet.ts';
import { SiteSheet } from './siteSheet.ts';
import { SightsSheet } from './sightsSheet.ts';
import { StandoffSheet } from './standoffSheet.ts';
import { StarNudgeSheet } from './starNudgeSheet.ts';
import { SunSheet } from './sunSheet.ts';
import { SwingSheet } from './swingSheet.ts';
import { TumbleSheet } from './tumbleSheet.ts';

/** The step of the sheet that does what comes next. */
export const sheetOf: Readonly<Record<NextStep['step'], StepName>> = {
  site: 'site',
  tumble: 'tumble',
  level: 'level',
  swing: 'swing',
  needles: 'nudge',
  load: 'load',
  balance: 'balance',
  sight: 'sights',
  sun: 'sun',
  enough: 'enough',
  nudge: 'starNudge',
  lock: 'lock',
  drift: 'drift',
  observe: 'side',
  sheet: 'answer',
  wait: 'sights',
};

/** The steps of the night, in the order in which one walks them: what takes the board off its clip comes before the swing. */
export const nightSteps = (night: Night): SheetStep[] => [
  new SiteSheet(night),
  new TumbleSheet(night),
  new HorizonSheet(night),
  new LevelSheet(night),
  new SwingSheet(night),
  new StandoffSheet(night),
  new NudgeSheet(night),
  new LockSheet(night),
  new LoadSheet(night),
  new BalanceSheet(night),
  new SightsSheet(night),
  new SunSheet(night),
  new DriftSheet(night),
  new StarNudgeSheet(night),
  new AnswerSheet(night),
  new EnoughSheet(night),
  new SideSheet(night),
];
