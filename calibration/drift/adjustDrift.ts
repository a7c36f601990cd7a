import { adjust } from '../adjust.ts';
import { arcsecond } from '../angle.ts';
import type { Vector3 } from '../vector.ts';
import { mountDeclination } from './driftModel.ts';

interface DriftReading {
  timeS: number;
  /** Direction of the star then, refraction included, unit vector north-east-down. */
  starNed: Vector3;
  /** How far the star stands north of where the watch began, in the field of the mount. */
  northRad: number;
}

/** One star watched for some minutes while the mount follows the sky. */
export interface DriftWatch {
  readings: readonly DriftReading[];
  /** Standard deviation of one reading; absent: taken from the scatter about the line. */
  sigmaRad?: number;
  /** No reading is taken for better than this, whatever the scatter shows. */
  floorRad?: number;
}

/** Straight line through the readings of one watch. */
export interface DriftLine {
  /** Northward drift. */
  rateRadPerS: number;
  sigmaRateRadPerS: number;
  /** Of one reading: stated, or found from the scatter. */
  sigmaRad: number;
  spanS: number;
}

const smallestSigmaRad = 0.3 * arcsecond;

/**
 * Least-squares line with its error. Without a stated sigma the scatter gives it, widened for the few readings that it
 * rests on (variance of Student's t). Throws RangeError for fewer than 3 readings (5 without a sigma) or no time between them.
 */
export function fitDriftLine({ readings, sigmaRad, floorRad = smallestSigmaRad }: DriftWatch): DriftLine {
  const n = readings.length;
  const needed = sigmaRad === undefined ? 5 : 3;
  if (n < needed) throw new RangeError(`drift: ${n} readings, ${needed} are needed`);
  const meanT = readings.reduce((sum, { timeS }) => sum + timeS, 0) / n;
  const meanY = readings.reduce((sum, { northRad }) => sum + northRad, 0) / n;
  let tt = 0;
  let ty = 0;
  for (const { timeS, northRad } of readings) {
    tt += (timeS - meanT) ** 2;
    ty += (timeS - meanT) * (northRad - meanY);
  }
  if (!(tt > 0)) throw new RangeError('drift: all readings are of one instant');
  const rateRadPerS = ty / tt;
  let sigma = sigmaRad && Math.max(sigmaRad, floorRad);
  if (sigma === undefined) {
    const scatter = readings.reduce(
      (sum, { timeS, northRad }) => sum + (northRad - meanY - rateRadPerS * (timeS - meanT)) ** 2,
      0,
    );
    const freedoms = n - 2;
    sigma = Math.max(Math.sqrt(scatter / freedoms) * Math.sqrt(freedoms / Math.max(freedoms - 2, 0.5)), floorRad);
  }
  const times = readings.map(({ timeS }) => timeS);
  return {
    rateRadPerS,
    sigmaRateRadPerS: sigma / Math.sqrt(tt),
    sigmaRad: sigma,
    spanS: Math.max(...times) - Math.min(...times),
  };
}

interface DriftPrior {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  sigmaAltitudeErrorRad: number;
  sigmaAzimuthErrorRad: number;
}

export interface DriftAdjustment {
  altitudeErrorRad: number;
  azimuthErrorRad: number;
  /** Row-major 2 x 2 of altitude and azimuth error. */
  axisCovariance: readonly [number, number, number, number];
  lines: readonly DriftLine[];
  chiSquared: number;
  degreesOfFreedom: number;
}

/** The errors of the axis are the first unknowns, then where each star stood at its first reading. */
const axisUnknowns = 2;
const offsetSigmaRad = 0.1;

/**
 * Errors of the polar axis that explain the drift of one or more stars, by exact geometry. One star fixes only one
 * direction: the other stays at the prior. Throws RangeError as `fitDriftLine`.
 */
export function adjustDrift(watches: readonly DriftWatch[], latitudeRad: number, prior: DriftPrior): DriftAdjustment {
  const lines = watches.map(fitDriftLine);
  const zero = { altitudeErrorRad: 0, azimuthErrorRad: 0 };
  const rows = watches.flatMap(({ readings }, star) => {
    const first = mountDeclination(readings[0].starNed, latitudeRad, zero).declinationRad;
    return readings.map((reading) => ({ ...reading, star, first, sigma: lines[star].sigmaRad }));
  });
  const unknowns = axisUnknowns + watches.length;
  const model = {
    unknowns,
    residuals: rows.length,
    evaluate(unknown: Float64Array, residual: Float64Array, jacobian: Float64Array): void {
      const errors = { altitudeErrorRad: unknown[0], azimuthErrorRad: unknown[1] };
      rows.forEach(({ starNed, northRad, star, first, sigma }, i) => {
        const seen = mountDeclination(starNed, latitudeRad, errors);
        residual[i] = (northRad - (seen.declinationRad - first) - unknown[axisUnknowns + star]) / sigma;
        const row = i * unknowns;
        jacobian[row] = -seen.byAltitude / sigma;
        jacobian[row + 1] = -seen.byAzimuth / sigma;
        jacobian[row + axisUnknowns + star] = -1 / sigma;
      });
    },
  };
  const offsets = watches.map(() => 0);
  const mean = [prior.altitudeErrorRad, prior.azimuthErrorRad, ...offsets];
  const sigma = [prior.sigmaAltitudeErrorRad, prior.sigmaAzimuthErrorRad, ...offsets.map(() => offsetSigmaRad)];
  const fit = adjust(model, mean, { prior: { mean, sigma }, tolerance: 1e-8 });
  const c = fit.covariance;
  return {
    altitudeErrorRad: fit.estimate[0],
    azimuthErrorRad: fit.estimate[1],
    axisCovariance: [c[0], c[1], c[unknowns], c[unknowns + 1]],
    lines,
    chiSquared: fit.chiSquared,
    degreesOfFreedom: rows.length - watches.length,
  };
}
