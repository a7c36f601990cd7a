import { degree } from '../../calibration/angle.ts';
import { toNed, type Horizontal } from '../../calibration/polarAxis.ts';
import { azimuthBySun, usualShadowSigmas } from '../../calibration/sun.ts';
import { apply, transpose } from '../../calibration/vector.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import type { VirtualWorld } from '../../firmware-proto/virtual/world.ts';
import { isHidden } from '../site/horizon.ts';
import { placeOf } from '../sky/place.ts';
import { targetNamed } from '../sky/target.ts';

export interface ShadowSeen {
  utc: Date;
  /** From the board's x arrow toward its y arrow. */
  shadowRad: number;
  /** The virtual Sun stands as at another hour than the clock of the virtual sky. */
  isOtherHour: boolean;
}

/** What a person at a virtual mount sees with the Sun behind them: the shadow of a pin on the scale of the board's face. */
export interface PinShadow {
  /**
   * The shadow now, at `utc` where that is given; else, while none can be read, as it falls at the next instant within a day at
   * which one can. Undefined where there is none, or the board is off its clip.
   */
  see(utc?: Date): ShadowSeen | undefined;
  /** The same as an eye reads it: with its error, to half a degree. */
  read(utc?: Date): ShadowSeen | undefined;
}

/** Lower, the shadow is pale and long; along the pin it has no direction (common practice). */
const lowestSunRad = 8 * degree;
const overFaceRad = { from: 10 * degree, to: 75 * degree };
/** A shadow that tells less is not worth reading. */
const worstSigmaRad = 1.5 * degree;
const stepMs = 10 * 60_000;
const dayMs = 24 * 3_600_000;
/** Two days of them. */
const mostTried = 300;

/** @param clock of the virtual sky */
export function pinShadowOf(world: VirtualWorld, clock: () => Date): PinShadow {
  const random = new Random(world.seed ^ 0x73756e73);
  const site = { ...world.scene.place, horizon: world.scene.hidden };
  /** Where the Sun stands at the instants that are tried, which come again and again. */
  const tried = new Map<number, Horizontal>();
  let aheadMs = 0;

  const sunAt = (utcMs: number): Horizontal => {
    const { refractedAltitudeRad, azimuthRad } = placeOf(targetNamed('sun'), site, new Date(utcMs));
    return { altitudeRad: refractedAltitudeRad, azimuthRad };
  };

  const shadowOf = (sun: Horizontal): number | undefined => {
    const { pose } = world;
    if (pose.placement !== 'axis') return undefined;
    if (sun.altitudeRad < lowestSunRad || isHidden(site.horizon, sun.azimuthRad, sun.altitudeRad)) return undefined;
    const intoBoard = transpose(pose.attitude);
    const [x, y, z] = apply(intoBoard, toNed(sun));
    if (z < Math.sin(overFaceRad.from) || z > Math.sin(overFaceRad.to)) return undefined;
    const shadow = { shadowRad: Math.atan2(-y, -x), accelG: apply(intoBoard, [0, 0, -1]) };
    try {
      const { sigmaAzimuthRad } = azimuthBySun(shadow, sun, world.axisInBoard());
      return sigmaAzimuthRad < worstSigmaRad ? shadow.shadowRad : undefined;
    } catch (error) {
      if (!(error instanceof RangeError)) throw error;
      return undefined;
    }
  };

  const canBeRead = (utcMs: number): boolean => {
    const sun = tried.get(utcMs) ?? sunAt(utcMs);
    tried.set(utcMs, sun);
    return shadowOf(sun) !== undefined;
  };

  /** How far ahead of the clock the virtual Sun must stand for its shadow to be read, then and for a while. */
  const findAheadMs = (nowMs: number): number => {
    if (tried.size > mostTried) tried.clear();
    const firstMs = Math.ceil(nowMs / stepMs) * stepMs;
    for (let ms = firstMs; ms <= firstMs + dayMs; ms += stepMs)
      if (canBeRead(ms) && canBeRead(ms + stepMs)) return ms - nowMs;
    return 0;
  };

  const see = (given?: Date): ShadowSeen | undefined => {
    const nowMs = clock().getTime();
    const isReadable = (aheadOfMs: number): boolean => shadowOf(sunAt(nowMs + aheadOfMs)) !== undefined;
    if (!given && !isReadable(aheadMs)) aheadMs = isReadable(0) ? 0 : findAheadMs(nowMs);
    const utc = given ?? new Date(nowMs + aheadMs);
    const shadowRad = shadowOf(sunAt(utc.getTime()));
    return shadowRad === undefined ? undefined : { utc, shadowRad, isOtherHour: !given && aheadMs > 0 };
  };

  return {
    see,
    read(given) {
      const seen = see(given);
      if (!seen) return undefined;
      const readRad = seen.shadowRad + usualShadowSigmas.shadowRad * random.normal();
      return { ...seen, shadowRad: Math.round((2 * readRad) / degree) * (degree / 2) };
    },
  };
}
