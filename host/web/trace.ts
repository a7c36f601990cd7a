import type { LiveSession, Needles } from '../live/session.ts';
import type { TracePoint } from './messages.ts';
import { needlesMessageOf } from './needlesPush.ts';

const intervalS = 1;
const keptPoints = 900;

const pointOf = (needles: Needles): TracePoint => {
  const message = needlesMessageOf(needles);
  return {
    timeUtc: message.timeUtc,
    altitudeErrorDeg: message.altitudeErrorDeg,
    azimuthErrorDeg: message.azimuthErrorDeg,
    sigmaAltitudeErrorDeg: message.shown.sigmaAltitudeErrorDeg,
    sigmaAzimuthErrorDeg: message.shown.sigmaAzimuthErrorDeg,
    state: message.state,
  };
};

/** One point a second of the last quarter of an hour. */
export class Trace {
  readonly points: TracePoint[] = [];
  private readonly stop: () => void;
  private lastS = -Infinity;

  constructor(session: LiveSession) {
    this.stop = session.onNeedles((needles) => {
      if (needles.isOffClip || needles.arrivalS - this.lastS < intervalS) return;
      this.lastS = needles.arrivalS;
      this.points.push(pointOf(needles));
      if (this.points.length > keptPoints) this.points.shift();
    });
  }

  close(): void {
    this.stop();
  }
}
