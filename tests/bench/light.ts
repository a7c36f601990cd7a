import type { Picture } from '../pages/png.ts';

/** Linear light of an sRGB level 0..255 (IEC 61966-2-1, equation of section 5.2). */
export const linear = (level: number): number => {
  const share = level / 255;
  return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
};

/**
 * Luminance as rods see it, from tristimulus values: Y (1.33 (1 + (Y + Z) / X) - 1.68), Ward Larson, Rushmeier and Piatko, "A visibility
 * matching tone reproduction operator for high dynamic range scenes", IEEE TVCG 3(4), 1997; from memory.
 */
export const scotopic = (x: number, y: number, z: number): number =>
  x > 0 ? y * (1.33 * (1 + (y + z) / x) - 1.68) : 0;

/** Photopic and scotopic light of a colour, linear sRGB 0..1; the matrix is that of IEC 61966-2-1. */
function lightOfColour(r: number, g: number, b: number): { photopic: number; rods: number } {
  const x = 0.4124 * r + 0.3576 * g + 0.1805 * b;
  const y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
  const z = 0.0193 * r + 0.1192 * g + 0.9505 * b;
  return { photopic: y, rods: scotopic(x, y, z) };
}

const white = lightOfColour(1, 1, 1);
const levels = Array.from({ length: 256 }, (_, level) => linear(level));

/** Brightest pixel and mean of a picture, each of a white screen's. */
export function lightOf({ rgb }: Picture): Record<string, string> {
  let [photopic, rods, peak, rodPeak] = [0, 0, 0, 0];
  const known = new Map<number, { photopic: number; rods: number }>();
  for (let at = 0; at < rgb.length; at += 3) {
    const key = (rgb[at] << 16) | (rgb[at + 1] << 8) | rgb[at + 2];
    const seen = known.get(key) ?? lightOfColour(levels[rgb[at]], levels[rgb[at + 1]], levels[rgb[at + 2]]);
    known.set(key, seen);
    photopic += seen.photopic;
    rods += seen.rods;
    peak = Math.max(peak, seen.photopic);
    rodPeak = Math.max(rodPeak, seen.rods / white.rods);
  }
  const pixels = rgb.length / 3;
  return {
    'peak, photopic': peak.toFixed(4),
    'peak, rods': rodPeak.toFixed(5),
    'mean, photopic': (photopic / pixels).toFixed(6),
    'mean, rods': (rods / pixels / white.rods).toFixed(7),
  };
}
