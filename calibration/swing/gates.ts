import { degree } from '../angle.ts';
import type { Gate } from '../gate.ts';
import type { AdjustedSwing } from './adjustSwing.ts';

interface Limits {
  caution: number;
  stop: number;
}

const limits = {
  arcDeg: { caution: 100, stop: 85 },
  dwells: { caution: 6, stop: 4 },
  /** Rms of the whitened residuals of one chip. */
  scatter: { caution: 2.5, stop: 5 },
  placeSigmas: { caution: 3, stop: 8 },
  sigmaAzimuthDeg: { caution: 1, stop: 3 },
} satisfies Record<string, Limits>;

/** Rolls closer than this count as one place of the axis. */
const distinctRad = 5 * degree;

export function swingGates(
  swing: AdjustedSwing,
  arcRad: number,
  rollRad: readonly number[],
  covariance: readonly number[],
  hasSite: boolean,
): Gate[] {
  const places = countPlaces(rollRad);
  const { gravity, field } = scatterOf(swing);
  const pulled = Math.max(Math.abs(swing.strengthPull), Math.abs(swing.dipPull));
  return [
    {
      ...atLeast(places, limits.dwells),
      reason: 'places at which the axis rested',
      unit: '',
      nextAction: 'Turn the axis on by 20 to 45 degrees, let it rest for two seconds, and again.',
    },
    {
      ...atLeast(arcRad / degree, limits.arcDeg),
      reason: 'arc that the axis was turned through',
      unit: 'deg',
      nextAction: 'Turn the axis further, as far as the mount allows without meeting the tripod.',
    },
    {
      ...atMost(gravity, limits.scatter),
      reason: 'gravity does not run on one circle: the tripod or the clip moved during the swing',
      unit: 'sigmas',
      nextAction: 'Set the tripod firm, fasten the clip, and swing again without leaning on the mount.',
    },
    {
      ...atMost(field, limits.scatter),
      reason: 'the field does not run on one circle: iron that does not turn along came near, or moved',
      unit: 'sigmas',
      nextAction: 'Put away keys, phone, tools and lamp, keep the hands in one place, and swing again.',
    },
    {
      ...atMost(pulled, limits.placeSigmas),
      reason: 'strength or dip of the field at the mount is not what the tumble and the magnetic model expect',
      unit: 'sigmas',
      nextAction: 'Iron near the clip bends the field: move the mount away from it, or take a stand-off measurement.',
    },
    {
      // Without a site only the axis in the board is asked for, which an axis lying east to west tells as well as any.
      ...atMost(Math.sqrt(covariance[3]) / degree, {
        ...limits.sigmaAzimuthDeg,
        ...(hasSite ? {} : { stop: Infinity }),
      }),
      reason: 'uncertainty of the magnetic azimuth of the axis',
      unit: 'deg',
      nextAction: 'Swing a larger arc with more places, or repeat the tumble away from iron.',
    },
  ];
}

const atMost = (value: number, { caution, stop }: Limits): Pick<Gate, 'verdict' | 'value' | 'limit'> =>
  !(value <= stop)
    ? { verdict: 'stop', value, limit: stop }
    : { verdict: value > caution ? 'caution' : 'ok', value, limit: caution };

const atLeast = (value: number, { caution, stop }: Limits): Pick<Gate, 'verdict' | 'value' | 'limit'> =>
  !(value >= stop)
    ? { verdict: 'stop', value, limit: stop }
    : { verdict: value < caution ? 'caution' : 'ok', value, limit: caution };

function countPlaces(rollRad: readonly number[]): number {
  const places: number[] = [];
  for (const roll of rollRad) {
    if (places.every((place) => Math.cos(roll - place) < Math.cos(distinctRad))) places.push(roll);
  }
  return places.length;
}

/** Rms of the residuals over their expected size after the fit, gravity and field apart. */
function scatterOf({ adjustment }: AdjustedSwing): { gravity: number; field: number } {
  const { normalisedResidual: r } = adjustment;
  let [gravity, field] = [0, 0];
  for (let i = 0; i < r.length; i += 1) {
    if (i % 6 < 3) gravity += r[i] ** 2;
    else field += r[i] ** 2;
  }
  const each = r.length / 2;
  return { gravity: Math.sqrt(gravity / each), field: Math.sqrt(field / each) };
}
