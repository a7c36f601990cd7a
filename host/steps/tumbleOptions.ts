import type { TumbleOptions } from '../../calibration/tumble/types.ts';
import type { Hello } from '../../firmware-proto/wire.ts';
import { fieldAt } from '../site/field.ts';
import type { Site } from '../site/site.ts';

/** What the magnetic model and the chips' scales say beforehand. */
export function tumbleOptions(site: Site | undefined, hello: Hello | undefined, date = new Date()): TumbleOptions {
  const field = site && fieldAt(site, date);
  const fullCount = 32_767;
  return {
    site: field && {
      fieldNt: field.fieldNt,
      sigmaFieldNt: field.sigmaFieldNt,
      dipRad: field.dipRad,
      sigmaDipRad: field.sigmaDipRad,
    },
    fullScale: hello && {
      accelG: hello.accelerometer.gPerCount * fullCount,
      fieldNt: hello.magnetometer.ntPerCount * fullCount,
    },
  };
}
