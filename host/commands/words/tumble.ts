/** What `tumble` says. */
export const texts = {
  map: 'Sides covered: arrow Z at the top, its tail below, arrow X in the middle.',
  oneSensorSaved: (file: string): string =>
    `Saved in ${file}: the correction of one sensor, for your own use. The other commands need both sensors.`,
  handsTumble: (source: string): string =>
    `Tumble: ${source}. Virtual hands carry it away from iron and turn it; there is nothing to press.`,
  takeBoard: (source: string, seconds: number): string =>
    `Tumble: ${source}. Take the board well away from iron; in ${seconds} s begin to turn it slowly through every attitude.`,
  forThisBoard: (boardId: string): string => `This is board ${boardId}: the calibration is saved for this board only.`,
  endedEarly: (
    seconds: string,
    readings: number,
    percent: string,
    wantedReadings: number,
    wantedPercent: number,
  ): string =>
    `The tumble ended early, after ${seconds} s: ${readings} readings and ${percent} percent of the sphere. A whole tumble has ${wantedReadings} readings and ${wantedPercent} percent.`,
  progress: (readings: number, percent: string, turn: string): string =>
    `${readings} readings, ${percent} percent of the sphere.${turn}`,
  enterEnds: (head: string, isEarly: boolean): string => `${head}\nEnter ends the tumble${isEarly ? ' early' : ''}.`,
  savedIn: (file: string): string => `Saved in ${file}.`,
  savedForBoard: (boardId: string): string =>
    `Saved for board ${boardId}. Next: clip it on and swing the axis: lodepole swing`,
  notSaved: 'Not saved (practice or file): your own calibration is unchanged. Use --out FILE to save it.',
  thenSwing: 'Next: clip the board on and swing the axis.',
};
