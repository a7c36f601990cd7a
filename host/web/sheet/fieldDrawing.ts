import { arcminute } from '../../../calibration/angle.ts';
import type { FieldPlace } from '../../../calibration/nudge/starAfter.ts';
import type { NudgeEye } from '../../steps/starNudge.ts';
import { rounded } from '../../words/figures.ts';
import type { Drawing } from '../messages.ts';

const inArcmin = ({ northRad, eastRad }: FieldPlace) => ({
  north: rounded(northRad / arcminute, 2),
  east: rounded(eastRad / arcminute, 2),
});

/** The field of an eyepiece with places in it, each as sure as it is read, and the star where it is seen. */
export function fieldDrawing(
  { fieldRad, sigmaReadRad }: NudgeEye,
  mirrored: boolean,
  places: readonly { label: string; at: FieldPlace }[],
  star: FieldPlace | undefined,
): Drawing {
  const sigma = rounded(sigmaReadRad / arcminute, 2);
  return {
    kind: 'field',
    radius: rounded(fieldRad / 2 / arcminute, 2),
    mirrored,
    places: places.map(({ label, at }) => ({ label, ...inArcmin(at), sigma })),
    ...(star && { star: inArcmin(star) }),
  };
}
