function groupSquared(residual: Float64Array, group: number, groupSize: number): number {
  let sum = 0;
  const end = Math.min((group + 1) * groupSize, residual.length);
  for (let i = group * groupSize; i < end; i += 1) sum += residual[i] ** 2;
  return sum;
}

/** Huber (1964): squared while a group is shorter than `threshold`, growing like its length beyond. */
export function lossOf(residual: Float64Array, groups: number, groupSize: number, threshold: number): number {
  let sum = 0;
  for (let group = 0; group < groups; group += 1) {
    const squared = groupSquared(residual, group, groupSize);
    const length = Math.sqrt(squared);
    sum += length <= threshold ? squared : 2 * threshold * length - threshold ** 2;
  }
  return sum;
}

/** The weights by which squared residuals have the slope of that loss. */
export function reweight(residual: Float64Array, weight: Float64Array, groupSize: number, threshold: number): void {
  for (let group = 0; group < weight.length; group += 1) {
    const length = Math.sqrt(groupSquared(residual, group, groupSize));
    weight[group] = length <= threshold ? 1 : threshold / length;
  }
}
