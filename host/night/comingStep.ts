import { Failure } from '../failure.ts';
import { utcOf } from '../live/eyepiece.ts';
import type { LiveSession } from '../live/session.ts';
import { areHome, needlesHomeWords } from './needlesHome.ts';
import { nextStep } from './next.ts';
import type { NightLog } from './nightLog.ts';
import type { NextStep } from './stepsOfNight.ts';
import { keptTonight, tonightOf } from './tonight.ts';

/** The log is looked at so often, clock and sky more seldom. */
const everyMs = 250;
const skyEveryMs = 30_000;

/** Each step in a word or two. */
const titles: Record<NextStep['step'], string> = {
  site: 'site',
  tumble: 'tumble',
  level: 'level',
  swing: 'swing',
  needles: 'turn the bolts by the needles',
  load: 'put the load on',
  balance: 'balance',
  sight: 'sights',
  sun: 'azimuth by the Sun',
  enough: 'name your plan',
  nudge: 'nudge on a star',
  lock: 'lock the bolts',
  drift: 'drift',
  observe: 'observe',
  sheet: 'night sheet',
  wait: 'wait for the stars',
};

/** The next step of this evening, beside live needles: kept up to date while the log grows and the sky turns. */
export class ComingStep {
  private readonly session: LiveSession;
  private readonly log: NightLog;
  private readonly timer: NodeJS.Timeout;
  private found: NextStep | undefined;
  private foundMs = -Infinity;
  private foundFor = -1;

  constructor(session: LiveSession, log: NightLog) {
    this.session = session;
    this.log = log;
    this.timer = setInterval(() => void this.look(), everyMs);
    void this.look();
  }

  close(): void {
    clearInterval(this.timer);
  }

  /** `Next: swing.`; empty while nothing is known. */
  get title(): string {
    return this.found ? `Next: ${titles[this.found.step]}.` : '';
  }

  get step(): NextStep['step'] | undefined {
    return this.found?.step;
  }

  /** Of a nudge: where the axis is to stand; absent: at the pole. */
  get standOff(): NextStep['standOff'] {
    return this.found?.standOff;
  }

  get reason(): string {
    return this.found?.reason ?? '';
  }

  private async look(): Promise<void> {
    const { session } = this;
    await this.noteNeedles();
    const count = this.log.entries.length + (session.site ? 1 : 0) + (session.axisModel() ? 1 : 0);
    const nowMs = performance.now();
    if (count === this.foundFor && nowMs - this.foundMs < skyEveryMs) return;
    this.foundFor = count;
    this.foundMs = nowMs;
    try {
      // the virtual hands are still rehearsing: what comes next is told with the first needle
      const isRehearsing = session.virtual !== undefined && !session.axisModel();
      if (isRehearsing) return;
      this.found = nextStep(session.virtual ? this.practised() : await keptTonight(new Date(), session.clipping));
    } catch (error) {
      // what cannot be read is told where it is needed
      if (!(error instanceof Failure)) throw error;
      this.found = undefined;
    }
  }

  /** Needles that rest as near as they can tell are a step that is done. */
  private async noteNeedles(): Promise<void> {
    const needles = this.session.latest();
    if (this.found?.step !== 'needles' || !needles || !areHome(needles)) return;
    await this.log.noteStep('needles', needlesHomeWords(needles)).catch(() => {});
  }

  /** Of a practised evening nothing is kept: it goes by what the session itself did. */
  private practised(): ReturnType<typeof tonightOf> {
    const { session, log } = this;
    const now = utcOf(session);
    const { site } = session;
    // what was not rehearsed is told by the log
    const rehearsedMs = session.virtual?.calibration && now.getTime();
    return tonightOf({
      now,
      site,
      entries: log.entries,
      answer: site && log.answer(site.latitudeRad),
      plan: log.plan,
      tumbledMs: rehearsedMs,
      swungMs: rehearsedMs,
    });
  }
}
