import { correct } from '../../../calibration/correction.ts';
import { degree } from '../../../calibration/angle.ts';
import { pointingOf } from '../../../calibration/pointing.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { BoardSample } from '../../live/session.ts';
import { fieldAt } from '../../site/field.ts';
import { isHidden, parseSectors, type HorizonSector } from '../../site/horizon.ts';
import { HorizonTrace } from '../../site/traceHorizon.ts';
import { saveSite } from '../../store/site.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { modelInUse } from './gathering.ts';
import { blankView } from './blankView.ts';
import type { Night } from './night.ts';
import type { SheetStep } from './sheet.ts';
import { skylineOf } from './skyline.ts';

/** The board's x arrow, with which one points. */
const arrow = [1, 0, 0] as const;
const sweepS = 40;
const leastCoverage = 0.2;

interface Tracing {
  trace: HorizonTrace;
  end: () => void;
}

/** What hides the sky, typed or traced with the board; saved with the site. */
export class HorizonSheet implements SheetStep {
  readonly name = 'horizon';
  readonly #night: Night;
  #tracing: Tracing | undefined;
  #isKept = false;

  constructor(night: Night) {
    this.#night = night;
    night.onMoved(() => {
      this.close();
      this.#isKept = false;
    });
  }

  view(): StepView {
    const blank = blankView(this.name, 'Horizon');
    const { session } = this.#night;
    if (!session.site)
      return { ...blank, toDo: ['Give the site first.'], howSure: 'Stars behind trees are not recommended.' };
    const { site } = this.#night;
    const sectors = site.horizon ?? [];
    const coverage = this.#tracing?.trace.coverage();
    if (coverage !== undefined)
      return {
        ...blank,
        status: 'under way',
        figure: `${(100 * coverage).toFixed(0)} percent`,
        toDo: ['Point the x arrow of the board at the tree line and sweep along it, slowly, once round.'],
        howSure: 'Two degrees are added to what was traced.',
        actions: [
          { name: 'finish', label: 'Finish' },
          { name: 'cancel', label: 'Give up' },
        ],
      };
    return {
      ...blank,
      status: sectors.length > 0 ? 'done' : 'to do',
      figure: sectors.length > 0 ? `${sectors.length} stretches hidden` : '',
      toDo: [
        this.#isKept
          ? 'Kept with the site: stars behind it are not recommended.'
          : 'Say what hides the sky, so that only stars that can be seen are recommended.',
        'Type it, or trace it: take the board in the hand before it is clipped on, and sweep its arrow along the tree line.',
      ],
      howSure: 'A star that is recommended and cannot be seen may be passed over: type another one.',
      next: 'Level the base, or go on to the swing.',
      fields: [
        {
          name: 'sectors',
          label: 'Hidden: from-to:altitude, clockwise',
          value: sectors.map(sectorText).join(', '),
          hint: '330-60:55, 120-180:20',
        },
      ],
      actions: [
        { name: 'keep', label: 'Keep what is typed' },
        { name: 'trace', label: 'Trace it' },
        ...(session.hands ? [{ name: 'hands', label: 'Hands sweep the board', byHands: true }] : []),
      ],
      drawing: skylineOf(site, [], undefined),
    };
  }

  async act({ action, fields }: StepRequest): Promise<void> {
    if (action === 'keep') await this.#keep(parseSectors(fields.sectors ?? ''));
    else if (action === 'finish') await this.#finish();
    else if (action === 'cancel') this.close();
    else {
      this.#start();
      if (action === 'hands') await this.#byHands();
    }
  }

  close(): void {
    this.#tracing?.end();
    this.#tracing = undefined;
  }

  #start(): void {
    const { session, site } = this.#night;
    const { correction } = modelInUse(session);
    this.close();
    const { variationRad } = fieldAt(site, this.#night.now());
    const trace = new HorizonTrace();
    const offer = ({ accelG, fieldNt }: BoardSample): void => {
      const gravity = correct(correction.accelerometer, accelG);
      trace.offer(pointingOf(arrow, gravity, correct(correction.magnetometer, fieldNt), variationRad));
    };
    this.#tracing = { trace, end: session.onSample(offer) };
  }

  /** Virtual hands follow the skyline of the scene. */
  async #byHands(): Promise<void> {
    const { hands, session } = this.#night;
    const hidden = session.site?.horizon;
    hands.sweep((azimuthRad) => {
      let altitudeDeg = 0;
      while (altitudeDeg < 85 && isHidden(hidden, azimuthRad, altitudeDeg * degree)) altitudeDeg += 1;
      return altitudeDeg * degree;
    }, sweepS);
    await hands.whenDone();
    await this.#finish();
    hands.clip();
  }

  async #finish(): Promise<void> {
    const { trace } = this.#tracing ?? {};
    this.close();
    if (!trace) return;
    if (trace.coverage() < leastCoverage)
      throw new Failure(
        exitCode.refused,
        `Only ${(100 * trace.coverage()).toFixed(0)} percent of the horizon was swept, at least ${100 * leastCoverage} are needed.`,
        'Sweep along what hides the sky, or type it.',
      );
    await this.#keep(trace.sectors());
  }

  async #keep(sectors: HorizonSector[]): Promise<void> {
    this.#night.horizon = sectors;
    this.#isKept = true;
    if (!this.#night.session.isVirtual) await saveSite(this.#night.site);
  }
}

const sectorText = ({ fromAzimuthRad, toAzimuthRad, altitudeRad }: HorizonSector): string =>
  `${Math.round(fromAzimuthRad / degree)}-${Math.round(toAzimuthRad / degree)}:${Math.round(altitudeRad / degree)}`;
