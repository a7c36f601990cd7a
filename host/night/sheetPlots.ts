import { arcminute } from '../../calibration/angle.ts';
import { bandSigmas } from '../words/reading.ts';
import type { Rung } from './rungs.ts';

/** One component of the answer at one rung, arcminutes on the sky. */
interface Reading {
  arcmin: number;
  bandArcmin: number;
}

type Axis = 'altitude' | 'azimuth';

/** Along the horizon an azimuth counts more than on the sky, by the cosine of the altitude of the pole. */
function readingOf({ answer }: Rung, axis: Axis, latitudeRad: number): Reading {
  const across = axis === 'azimuth' ? Math.cos(latitudeRad) : 1;
  const [errorRad, variance] =
    axis === 'altitude'
      ? [answer.altitudeErrorRad, answer.axisCovariance[0]]
      : [answer.azimuthErrorRad, answer.axisCovariance[3]];
  return {
    arcmin: (errorRad * across) / arcminute,
    bandArcmin: (bandSigmas * Math.sqrt(variance) * across) / arcminute,
  };
}

/** Even below a minute or two, by decades beyond: the first rungs are a hundred times coarser than the last. */
const bent = (arcmin: number): number => Math.asinh(arcmin / 1.5);
const marks = [1, 3, 10, 30, 100, 300];

const round = (value: number): string => value.toFixed(1);
const text = (x: number, y: number, words: string, more = ''): string =>
  `<text x="${round(x)}" y="${round(y)}"${more}>${words}</text>`;

/** As attributes: the page that prints this allows no styles of its own. */
const looks = {
  band: 'fill="#ccc"',
  grid: 'stroke="#ddd" fill="none"',
  zero: 'stroke="#555" fill="none"',
  trace: 'stroke="#999" stroke-dasharray="3 3" fill="none"',
  ghost: 'stroke="#555" fill="none"',
  needle: 'stroke="#000" stroke-width="2.5" fill="none"',
  title: ' font-weight="bold"',
  small: ' font-size="10"',
} as const;

const font = 'font-family="Georgia, serif" font-size="11" fill="#111"';

const width = 640;
const [left, right] = [58, 16];

/** Those that lie within the scale and leave room for the words of the one before, pixels. */
function marksWithin(mostArcmin: number, heightOf: (arcmin: number) => number): number[] {
  const shown: number[] = [];
  for (const mark of marks) {
    const above = heightOf(shown.at(-1) ?? 0);
    if (mark <= mostArcmin && Math.abs(heightOf(mark) - above) > 11) shown.push(mark);
  }
  return [...shown.map((mark) => -mark).reverse(), 0, ...shown];
}

/** The answer of one axis over the night with its band, from rung to rung. */
function chart(rungs: readonly Rung[], axis: Axis, latitudeRad: number): string {
  const readings = rungs.map((rung) => readingOf(rung, axis, latitudeRad));
  const most = Math.max(2, ...readings.map(({ arcmin, bandArcmin }) => Math.abs(arcmin) + bandArcmin)) * 1.15;
  const height = 190;
  const [top, bottom] = [20, 34];
  const middle = (top + height - bottom) / 2;
  const y = (arcmin: number): number =>
    middle - (bent(Math.max(-most, Math.min(most, arcmin))) / bent(most)) * (middle - top);
  const step = (width - left - right) / rungs.length;
  const x = (index: number): number => left + (index + 0.5) * step;
  const [plus, minus] = axis === 'altitude' ? ['high', 'low'] : ['east', 'west'];
  const grid = marksWithin(most, y).map(
    (mark) =>
      `<path ${mark === 0 ? looks.zero : looks.grid} d="M${left} ${round(y(mark))}H${width - right}"/>` +
      text(
        left - 6,
        y(mark) + 4,
        mark === 0 ? '0' : `${Math.abs(mark)}′ ${mark > 0 ? plus : minus}`,
        ' text-anchor="end"',
      ),
  );
  const bands = readings.map(({ arcmin, bandArcmin }, index) => {
    const [high, low] = [y(arcmin + bandArcmin), y(arcmin - bandArcmin)];
    const half = Math.min(14, step * 0.35);
    return (
      `<rect ${looks.band} x="${round(x(index) - half)}" y="${round(high)}" width="${round(2 * half)}" height="${round(Math.max(1.5, low - high))}"/>` +
      `<path ${looks.needle} d="M${round(x(index) - half)} ${round(y(arcmin))}H${round(x(index) + half)}"/>`
    );
  });
  const path = readings
    .map(({ arcmin }, index) => `${index === 0 ? 'M' : 'L'}${round(x(index))} ${round(y(arcmin))}`)
    .join('');
  const label = axis === 'altitude' ? 'Altitude' : 'Azimuth, on the sky';
  const names = rungs.map(({ name, timeUtc }, index) => {
    const down = height - (rungs.length > 6 && index % 2 === 1 ? 4 : 18);
    return text(
      x(index),
      down,
      `${name === 'Nudge on a star' ? 'Nudge ★' : name} ${timeUtc.slice(11, 16)}`,
      ` text-anchor="middle"${looks.small}`,
    );
  });
  const said = readings.at(-1);
  return (
    `<svg viewBox="0 0 ${width} ${height}" ${font} role="img" aria-label="${label}, step by step; at the end ${said?.arcmin.toFixed(1)} arcminutes, give or take ${said?.bandArcmin.toFixed(1)}">` +
    text(left, 12, label, looks.title) +
    grid.join('') +
    `<path ${looks.trace} d="${path}"/>` +
    bands.join('') +
    names.join('') +
    '</svg>'
  );
}

/** Both needles as they stood at the first rung (thin) and at the last, each on its own even scale. */
function needles(first: Rung, last: Rung, latitudeRad: number): string {
  const rows = (['altitude', 'azimuth'] as const).map((axis, row) => {
    const [before, after] = [readingOf(first, axis, latitudeRad), readingOf(last, axis, latitudeRad)];
    const most = Math.max(1, Math.abs(after.arcmin) + 1.5 * after.bandArcmin) * 1.2;
    const [plus, minus] = axis === 'altitude' ? ['high', 'low'] : ['east', 'west'];
    const centre = (left + width - right) / 2;
    const reach = (width - left - right) / 2;
    const x = (arcmin: number): number => centre + (Math.max(-most, Math.min(most, arcmin)) / most) * reach;
    const y = 30 + row * 62;
    const isOff = Math.abs(before.arcmin) > most;
    return (
      `<path ${looks.zero} d="M${left} ${y}H${width - right}M${centre} ${y - 8}V${y + 8}"/>` +
      `<rect ${looks.band} x="${round(x(after.arcmin - after.bandArcmin))}" y="${y - 10}" width="${round(Math.max(1.5, x(after.arcmin + after.bandArcmin) - x(after.arcmin - after.bandArcmin)))}" height="20"/>` +
      (isOff ? '' : `<path ${looks.ghost} d="M${round(x(before.arcmin))} ${y - 14}V${y + 14}"/>`) +
      `<path ${looks.needle} d="M${round(x(after.arcmin))} ${y - 18}V${y + 18}"/>` +
      text(left, y - 18, axis === 'altitude' ? 'Altitude needle' : 'Azimuth needle, on the sky', looks.title) +
      text(left, y + 26, `${most.toFixed(1)}′ ${minus}`, looks.small) +
      text(width - right, y + 26, `${most.toFixed(1)}′ ${plus}`, ` text-anchor="end"${looks.small}`) +
      text(centre, y + 26, '0', ` text-anchor="middle"${looks.small}`)
    );
  });
  return `<svg viewBox="0 0 ${width} 130" ${font} role="img" aria-label="Both needles at the end of the night">${rows.join('')}</svg>`;
}

/** Drawings of the night as inline SVG; empty before anything was measured. */
export function sheetPlots(rungs: readonly Rung[], latitudeRad: number): string {
  const [first, last] = [rungs.at(0), rungs.at(-1)];
  if (!first || !last) return '';
  return [
    `<figure><figcaption>The needles at the end; the grey band is "give or take"${rungs.length > 1 ? ', the thin line the first reading where it lies within the scale' : ''}.</figcaption>${needles(first, last, latitudeRad)}</figure>`,
    `<figure><figcaption>The answer step by step; the grey band is "give or take". The scale is even near zero and shrinks farther out.</figcaption>${chart(rungs, 'altitude', latitudeRad)}${chart(rungs, 'azimuth', latitudeRad)}</figure>`,
  ].join('\n');
}
