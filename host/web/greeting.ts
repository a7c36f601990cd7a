import { degree } from '../../calibration/angle.ts';
import { boltTurn } from '../live/boltTurns.ts';
import type { HelloMessage, KnobsMessage, PushMessage } from './messages.ts';
import { linkMessageOf, needlesMessageOf } from './needlesPush.ts';
import type { Night } from './sheet/nightAtPage.ts';
import { sheetOf } from './sheet/nightSteps.ts';
import type { Sheet } from './sheet/sheet.ts';
import type { Viewers } from './viewers.ts';

const lookMs = 250;
/** A reading is none any more when it is older than a second, and than three usual intervals. */
const leastStaleS = 1;
const stalePeriods = 3;

const helloOf = ({ session, allowedRad, coming }: Night): HelloMessage => ({
  kind: 'hello',
  schema: 1,
  source: session.source,
  isVirtual: session.virtual !== undefined,
  pole: (session.site?.latitudeRad ?? 0) >= 0 ? 'north' : 'south',
  staleAfterS: Math.max(leastStaleS, stalePeriods / (session.hello?.()?.sampleHz ?? stalePeriods)),
  hasSite: session.site !== undefined,
  hasHands: session.virtual?.turnBolt !== undefined,
  ...(allowedRad !== undefined &&
    session.site && {
      allowed: {
        altitudeErrorDeg: allowedRad / degree,
        azimuthErrorDeg: allowedRad / Math.cos(session.site.latitudeRad) / degree,
      },
    }),
  ...(coming?.title && {
    next: { title: coming.title, reason: coming.reason, ...(coming.step && { sheet: sheetOf[coming.step] }) },
  }),
  notes: [...session.notes()],
});

const knobsOf = ({ knobs }: Night): KnobsMessage => ({
  kind: 'knobs',
  altitude: boltTurn(knobs.altitude),
  azimuth: boltTurn(knobs.azimuth),
});

/** Everything a new viewer needs to draw the whole page. */
export function greeting(night: Night, sheet: Sheet): PushMessage[] {
  const needles = night.session.latest();
  return [
    helloOf(night),
    linkMessageOf(night.session.link()),
    ...(needles ? [needlesMessageOf(needles)] : []),
    knobsOf(night),
    sheet.message(),
  ];
}

/** Pushes what changes seldom, at most four times a second and only when it did change; returns how to stop it. */
export function pushChanges(night: Night, sheet: Sheet, viewers: Viewers): () => void {
  const shown = new Map<string, string>();
  const timer = setInterval(() => {
    if (viewers.count === 0) return;
    for (const message of [helloOf(night), knobsOf(night), sheet.message()]) {
      const text = JSON.stringify(message);
      if (shown.get(message.kind) === text) continue;
      shown.set(message.kind, text);
      viewers.push(message);
    }
  }, lookMs);
  return () => clearInterval(timer);
}
