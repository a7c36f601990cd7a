import { degree } from '../../calibration/angle.ts';
import type { AxisFigures, LiveSession, Needles } from '../live/session.ts';
import type { NeedlesMessage, PushMessage } from './messages.ts';
import type { Viewers } from './viewers.ts';

/** Shortest time between two pushes: one frame of a 60 Hz screen. */
const frameMs = 16;
/** All viewers together get at most about a thousand messages a second. */
const msPerViewer = 1;
const beatMs = 500;

/** To 0.00001 degree (0.036 arcsecond), far below anything that can be measured here. */
const inDegrees = (angleRad: number): number => Math.round((angleRad / degree) * 1e5) / 1e5;
const monotonicS = (): number => performance.now() / 1000;

const figuresDeg = (figures: AxisFigures) => ({
  altitudeErrorDeg: inDegrees(figures.altitudeErrorRad),
  azimuthErrorDeg: inDegrees(figures.azimuthErrorRad),
  distanceDeg: inDegrees(figures.distanceRad),
  sigmaAltitudeErrorDeg: inDegrees(figures.sigmaAltitudeErrorRad),
  sigmaAzimuthErrorDeg: inDegrees(figures.sigmaAzimuthErrorRad),
  sigmaDistanceDeg: inDegrees(figures.sigmaDistanceRad),
});

export const needlesMessageOf = (needles: Needles, nowS = monotonicS()): NeedlesMessage => ({
  kind: 'needles',
  timeUtc: new Date(needles.utcMs).toISOString(),
  sentS: Math.round(nowS * 1e4) / 1e4,
  ageS: Math.max(0, Math.round((nowS - needles.arrivalS) * 1e4) / 1e4),
  ...figuresDeg(needles),
  shown: figuresDeg(needles.shown),
  state: needles.state,
  isOffClip: needles.isOffClip,
  isAnchored: needles.isAnchored,
  temperatureC: needles.temperatureC ?? null,
  ...(needles.truth && {
    truth: {
      altitudeErrorDeg: inDegrees(needles.truth.altitudeErrorRad),
      azimuthErrorDeg: inDegrees(needles.truth.azimuthErrorRad),
      distanceDeg: inDegrees(needles.truth.distanceRad),
    },
  }),
});

/** Pushes needles and link to the viewers at once, but never faster than they can be drawn; returns how to stop it. */
export function pushNeedles(session: LiveSession, viewers: Viewers): () => void {
  let newest: Needles | undefined;
  let lastMs = -Infinity;
  let timer: NodeJS.Timeout | undefined;
  const send = (): void => {
    timer = undefined;
    lastMs = performance.now();
    if (newest) viewers.push(needlesMessageOf(newest));
  };
  const stops = [
    session.onNeedles((needles) => {
      newest = needles;
      if (timer !== undefined || viewers.count === 0) return;
      const waitMs = Math.max(frameMs, viewers.count * msPerViewer) - (performance.now() - lastMs);
      if (waitMs <= 0) send();
      else timer = setTimeout(send, waitMs);
    }),
    session.onLink((status) => viewers.push(linkMessageOf(status))),
  ];
  const beat = setInterval(() => viewers.push({ kind: 'beat' }), beatMs);
  return () => {
    for (const stop of stops) stop();
    clearTimeout(timer);
    clearInterval(beat);
  };
}

export const linkMessageOf = ({ state, words }: ReturnType<LiveSession['link']>): PushMessage => ({
  kind: 'link',
  state,
  words,
});
