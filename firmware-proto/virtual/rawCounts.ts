/** What a chip would hold in its output registers at one instant, in the chip's own axes. */
export interface RawCounts {
  accel: [number, number, number];
  field: [number, number, number];
  /** Only from a make of board with a gyro. */
  rate?: [number, number, number];
  temperature: number;
}
