export const offClipWords =
  'The board is off its clip, or sits in it otherwise than it was swung: it does not tell where the axis points.';
