import { arcminute, degree } from '../angle.ts';
import type { Gate } from '../gate.ts';
import { angleBetweenRad } from '../vector.ts';
import type { AdjustedSwing } from './adjustSwing.ts';
import { axisOf } from './frame.ts';
import type { SwingSite } from './types.ts';

interface Limits {
  caution: number;
  stop: number;
}

export const limits = {
  arcDeg: { caution: 100, stop: 85 },
  dwells: { caution: 6, stop: 4 },
  /** Rms of the whitened residuals of one chip. */
  scatter: { caution: 2.5, stop: 5 },
  placeSigmas: { caution: 3, stop: 8 },
  sigmaAxisArcmin: { caution: 3, stop: 60 },
  sigmaAzimuthDeg: { caution: 1, stop: 3 },
} satisfies Record<string, Limits>;

/** More than iron in a room does to a tumble's dip, and less than a few hundred kilometres do. */
const siteDipLimitDeg = 15;

/** Much less than the half turn that a reversal asks for, and more than any clip is off. */
const leastTurnDeg = 150;

/** Rolls closer than this count as one place of the axis. */
const distinctRad = 5 * degree;

/** Verdicts on a swing: enough places and arc, one circle each, the place, and what came out. */
export function swingGates(
  swing: AdjustedSwing,
  arcRad: number,
  rollRad: readonly number[],
  sigma: { axisRad: number; azimuthRad: number },
  site: SwingSite | undefined,
): Gate[] {
  return causesFirst(
    [...siteGates(swing, site), ...endForEndGates(swing)],
    [
      {
        ...atLeast(countPlaces(rollRad), limits.dwells),
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
      ...scatterGates(swing),
      placeGate(swing),
      {
        ...atMost(sigma.axisRad / arcminute, limits.sigmaAxisArcmin),
        reason: 'uncertainty of the polar axis in the board',
        unit: 'arcmin',
        nextAction: 'Turn further round, and let the axis rest longer at more places.',
      },
      // Without a site only the axis in the board is asked for, which an axis lying east to west tells as well as any.
      ...(site
        ? [
            {
              ...atMost(sigma.azimuthRad / degree, limits.sigmaAzimuthDeg),
              reason: 'uncertainty of the magnetic azimuth of the axis',
              unit: 'deg',
              nextAction: 'Swing a larger arc with more places, or repeat the tumble away from iron.',
            },
          ]
        : []),
    ],
  );
}

/** By how much the board was turned end for end, of 180 degrees that are asked for. */
export const turnGate = (turnedRad: number, nextAction: string): Gate => ({
  verdict: turnedRad / degree >= leastTurnDeg ? 'ok' : 'stop',
  reason: 'angle by which the board was turned end for end; half a turn is expected',
  value: turnedRad / degree,
  limit: leastTurnDeg,
  unit: 'deg',
  nextAction,
});

/** Each further clipping against the first: the axis must point the other way through the board. */
function endForEndGates({ model, adjustment, clippings }: AdjustedSwing): Gate[] {
  const axes = Array.from({ length: clippings }, (_, clipping) => axisOf(model.frameAt(adjustment.estimate, clipping)));
  return axes
    .slice(1)
    .map((axis) =>
      turnGate(
        angleBetweenRad(axes[0], axis),
        'Clip the board on end for end and swing again, or give up the second swing; the same rests twice tell nothing new.',
      ),
    );
}

/** Is the board where the site says it is? The dip is another one on the other side of the magnetic equator. */
export function siteGates({ calibration }: AdjustedSwing, site: SwingSite | undefined): Gate[] {
  if (!site) return [];
  const offDeg = Math.abs(calibration.dipRad - site.dipRad) / degree;
  const isOtherSide = Math.sign(calibration.dipRad) !== Math.sign(site.dipRad);
  return [
    {
      verdict: offDeg > siteDipLimitDeg ? 'stop' : 'ok',
      reason: 'dip of the field as the tumble saw it against that of the site by the magnetic model',
      value: offDeg,
      limit: siteDipLimitDeg,
      unit: 'deg',
      nextAction: isOtherSide
        ? 'The tumble was made on the other side of the magnetic equator: is the latitude north or south? Then check longitude and date.'
        : 'Check latitude, longitude and date of the site; else tumble again near the mount, away from iron.',
    },
  ];
}

/**
 * The checks that name a cause, then the others. Where a cause stops, the fit that went wrong with it tells nothing of its own,
 * least of all that something moved: its refusals point to the cause, its cautions are left out.
 */
export function causesFirst(causes: readonly Gate[], others: readonly Gate[]): Gate[] {
  if (!causes.some(({ verdict }) => verdict === 'stop')) return [...causes, ...others];
  const nextAction = 'This may follow from the refusal above: mend that first.';
  const restsOnFit = ({ unit, reason }: Gate): boolean => unit === 'sigmas' || reason.startsWith('uncertainty');
  return [
    ...causes,
    ...others
      .filter((gate) => gate.verdict !== 'caution' || !restsOnFit(gate))
      .map((gate) => (gate.verdict === 'stop' && restsOnFit(gate) ? { ...gate, nextAction } : gate)),
  ];
}

/** Do gravity and field fit an axis that stands still in both? */
export function scatterGates(swing: AdjustedSwing): Gate[] {
  const { gravity, field } = scatterOf(swing);
  return [
    {
      ...atMost(gravity, limits.scatter),
      reason: 'gravity about its circle: more means that the tripod or the clip moved',
      unit: 'sigmas',
      nextAction: 'Set the tripod firm, fasten the clip, and measure again without leaning on the mount.',
    },
    {
      ...atMost(field, limits.scatter),
      reason: 'the field about its circle: more means that iron which does not turn along came near, or moved',
      unit: 'sigmas',
      nextAction: 'Put away keys, phone, tools and lamp, keep the hands in one place, and measure again.',
    },
    {
      ...atMost(Math.sqrt(swing.misfit), limits.scatter),
      reason: 'all rests about one axis that stands still',
      unit: 'sigmas',
      nextAction:
        'Swing again: the mount, or the board in its clip, was moved on the way. If nothing moved, see that the tumble is of this board.',
    },
  ];
}

export const placeGate = ({ strengthPull, dipPull }: AdjustedSwing): Gate => ({
  ...atMost(Math.max(Math.abs(strengthPull), Math.abs(dipPull)), limits.placeSigmas),
  reason: 'strength or dip of the field at the mount against what tumble and magnetic model expect',
  unit: 'sigmas',
  nextAction: 'Iron near the clip bends the field: move the mount away from it, or take a stand-off measurement.',
});

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
