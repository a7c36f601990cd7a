export const offClipWords =
  'The board is off its clip, or sits in it differently than at the swing: it cannot show where the axis points.';
