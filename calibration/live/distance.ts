/**
 * Standard deviation of the distance from the pole, from the standard deviations of its two components on the sky, radians.
 * Far from the pole it is the component along the line to it: g' P g. At the pole the distance cannot be below zero and its
 * square has the mean trace(P). Between the two they are weighted by how much of the square of the distance is known.
 * @param across azimuth error times the cosine of the altitude
 */
export function sigmaDistanceRad(up: number, across: number, sigmaUp: number, sigmaAcross: number): number {
  const squared = up * up + across * across;
  const trace = sigmaUp * sigmaUp + sigmaAcross * sigmaAcross;
  if (squared === 0) return Math.sqrt(trace);
  const along = (up * up * sigmaUp * sigmaUp + across * across * sigmaAcross * sigmaAcross) / squared;
  const known = squared / (squared + trace);
  return Math.sqrt(known * along + (1 - known) * trace);
}
