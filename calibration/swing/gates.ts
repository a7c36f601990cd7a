import { arcminute, degree } from '../angle.ts';
import type { Gate } from '../gate.ts';
import type { PolarErrors } from '../polarAxis.ts';
import type { AdjustedSwing } from './adjustSwing.ts';
import { causesFirst, endForEndGates, poleGates, siteGates, stuckGates } from './causes.ts';
import { atMost, limits, type Limits } from './limits.ts';
import type { SwingSite } from './types.ts';

/** Rolls closer than this count as one place of the axis. */
const distinctRad = 5 * degree;

/** Verdicts on a swing: enough places and arc, one circle each, the place, and what came out. */
export function swingGates(
  swing: AdjustedSwing,
  arcRad: number,
  rollRad: readonly number[],
  sigma: { axisRad: number; azimuthRad: number },
  site: SwingSite | undefined,
  errors: PolarErrors | undefined,
): Gate[] {
  return causesFirst(
    [...siteGates(swing, site), ...stuckGates(swing), ...endForEndGates(swing), ...poleGates(swing, errors)],
    [
      {
        ...atLeast(countPlaces(rollRad), limits.dwells),
        reason: 'places at which the axis rested',
        unit: '',
        nextAction: 'Turn the axis on by 20 to 45 degrees and let it rest for two seconds. Repeat this.',
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
        isSigma: true,
        nextAction: 'Turn further round, and let the axis rest longer at more places.',
      },
      // Without a site only the axis in the board is asked for, which an axis lying east to west tells as well as any.
      ...(site
        ? [
            {
              ...atMost(sigma.azimuthRad / degree, limits.sigmaAzimuthDeg),
              reason: 'uncertainty of the magnetic azimuth of the axis',
              unit: 'deg',
              isSigma: true as const,
              nextAction: 'Swing a larger arc with more places, or repeat the tumble away from iron.',
            },
          ]
        : []),
    ],
  );
}

/** Do gravity and field fit an axis that stands still in both? */
export function scatterGates(swing: AdjustedSwing): Gate[] {
  const { gravity, field } = scatterOf(swing);
  const areRows = swing.held.every(({ dwell }) => dwell.samples === 1);
  const orRows = areRows
    ? ' If rows were recorded while the axis turned, delete them, or record ten rows a second.'
    : '';
  return [
    {
      ...atMost(gravity, limits.scatter),
      reason: 'scatter of gravity about its circle: more means that the tripod or the clip moved',
      unit: 'sigmas',
      nextAction: `Set the tripod firm, fasten the clip, and measure again without leaning on the mount.${orRows}`,
    },
    {
      ...atMost(field, limits.scatter),
      reason: 'scatter of the field about its circle: more means that iron off the turning part came near, or moved',
      unit: 'sigmas',
      nextAction: `Put away keys, phone, tools and lamp, keep the hands in one place, and measure again.${orRows}`,
    },
    {
      ...atMost(Math.sqrt(swing.misfit), limits.scatter),
      reason: 'all rests share one fixed axis',
      unit: 'sigmas',
      nextAction:
        'Swing again: the mount, or the board in its clip, was moved on the way. If nothing moved, check that the tumble is of this board.',
    },
  ];
}

export const placeGate = ({ strengthPull, dipPull }: AdjustedSwing): Gate => ({
  ...atMost(Math.max(Math.abs(strengthPull), Math.abs(dipPull)), limits.placeSigmas),
  reason: 'strength or dip of the field at the mount against what tumble and magnetic model expect',
  unit: 'sigmas',
  nextAction:
    'Iron near the clip bends the field: move the mount away from it, or clip the board on a spacer of wood and swing again. If there is none, check that the tumble is of this board.',
});

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
