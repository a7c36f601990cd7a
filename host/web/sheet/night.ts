import { answerOf, type AxisEstimate } from '../../../calibration/answer.ts';
import type { Knob } from '../../../calibration/knob.ts';
import type { TumbleCalibration } from '../../../calibration/tumble/types.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { LiveSession, Needles } from '../../live/session.ts';
import type { Site } from '../../site/site.ts';
import { keepEstimate } from '../../store/night.ts';
import { findCalibration } from '../../store/profile.ts';
import type { Axis } from '../../words/reading.ts';

type Hello = NonNullable<ReturnType<NonNullable<LiveSession['hello']>>>;

const restS = 1.5;
const restLimitMs = 20_000;

/** What the steps of one night share. */
export class Night {
  readonly session: LiveSession;
  /** Tonight's tumble. */
  calibration: TumbleCalibration | undefined;
  /** Between the two errors of what the needles carry on. */
  #correlation = 0;
  readonly knobs: Partial<Record<Axis, Knob>>;

  constructor(session: LiveSession) {
    this.session = session;
    this.knobs = session.knobs ?? {};
  }

  get hands(): NonNullable<LiveSession['hands']> {
    const { hands } = this.session;
    if (!hands) throw new Failure(exitCode.usage, 'Only a virtual mount has virtual hands.', 'Do it with your own.');
    return hands;
  }

  get site(): Site {
    const { site } = this.session;
    if (!site) throw new Failure(exitCode.usage, 'The site is not known.', 'Give it in the first step.');
    return site;
  }

  get hello(): Hello {
    const hello = this.session.hello?.();
    if (!hello) throw new Failure(exitCode.noBoard, 'The board has not said hello yet.', 'Wait until it answers.');
    return hello;
  }

  /**
   * From now on the needles carry on what was measured on the sky. Sights rest on the compass and take its place; drift
   * joins what the needles show.
   */
  async believe(measured: AxisEstimate): Promise<void> {
    const { session, site } = this;
    const shown = await this.atRest();
    const estimates = measured.kind === 'sights' ? [measured] : [measured, this.#carried(shown)];
    const { altitudeErrorRad, azimuthErrorRad, axisCovariance } = answerOf(estimates, site.latitudeRad, Date.now());
    const [sigmaAltitudeErrorRad, sigmaAzimuthErrorRad] = [Math.sqrt(axisCovariance[0]), Math.sqrt(axisCovariance[3])];
    this.#correlation = axisCovariance[1] / (sigmaAltitudeErrorRad * sigmaAzimuthErrorRad);
    session.anchorTo?.({ altitudeErrorRad, azimuthErrorRad, sigmaAltitudeErrorRad, sigmaAzimuthErrorRad });
    if (!session.isVirtual) await keepEstimate(measured, { restsOnCompass: measured.kind === 'sights' });
  }

  /** What the needles show, as one more measurement. */
  #carried(shown: Needles): AxisEstimate {
    const { altitudeErrorRad, azimuthErrorRad, sigmaAltitudeErrorRad: a, sigmaAzimuthErrorRad: x } = shown;
    const between = this.#correlation * a * x;
    return {
      kind: 'compass',
      utcMs: shown.utcMs,
      altitudeErrorRad,
      azimuthErrorRad,
      axisCovariance: [a ** 2, between, between, x ** 2],
    };
  }

  /** The needles once they have rested for a second and a half. Throws Failure when they do not. */
  atRest(): Promise<Needles> {
    const { session } = this;
    return new Promise((resolve, reject) => {
      let sinceS: number | undefined;
      const end = (): void => {
        clearTimeout(timer);
        stop();
      };
      const stop = session.onNeedles((needles) => {
        const rests = needles.state === 'still' || needles.state === 'disturbed';
        sinceS = rests ? (sinceS ?? needles.arrivalS) : undefined;
        if (sinceS === undefined || needles.arrivalS - sinceS < restS) return;
        end();
        resolve(needles);
      });
      const timer = setTimeout(() => {
        end();
        reject(new Failure(exitCode.badData, 'The needles did not come to rest.', 'Take your hands off the mount.'));
      }, restLimitMs);
    });
  }

  /** Tonight's calibration, else the one that is kept for this board. Throws Failure when there is none. */
  async calibrationToUse(): Promise<TumbleCalibration> {
    if (this.calibration) return this.calibration;
    const kept = await findCalibration(this.hello, this.session.latest()?.temperatureC);
    if ('calibration' in kept) return kept.calibration;
    throw new Failure(exitCode.usage, kept.reason, 'Do the tumble first, then this step.');
  }
}
