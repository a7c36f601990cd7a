import type { Columns, Triple } from './columns.ts';
import type { Sharing } from './sharing.ts';
import { shown } from './shown.ts';

/** More names are counted only. */
const mostNamed = 6;

const words = { accelerometer: 'acceleration', magnetometer: 'field', gyro: 'rates' } as const;
const isOwn = ({ names }: Triple): boolean => /^[amg][xyz]_[a-z0-9]+$/i.test(names[0].trim());

/** What was taken for what, in words, where the names are not this program's own: one sentence or none. */
export function readingNote(
  path: string,
  columns: Columns,
  { sharing, rateHz }: { sharing: Sharing; rateHz: number | undefined },
): string[] {
  const said: string[] = [];
  for (const sensor of ['accelerometer', 'magnetometer', 'gyro'] as const) {
    const triple = columns[sensor];
    if (triple === undefined || isOwn(triple)) continue;
    const [x, y, z] = triple.names.map((name) => shown(name));
    said.push(`${words[sensor]} "${x}", "${y}", "${z}" in ${triple.unit}${triple.isGuess ? ' (by its size)' : ''}`);
  }
  const { time } = columns;
  if (rateHz !== undefined) said.push(`${rateHz} rows a second`);
  else if (time !== undefined && time.name.trim().toLowerCase() !== 't_s') {
    said.push(`time "${shown(time.name)}" in ${time.unit}${time.isGuess ? ' (by its steps)' : ''}`);
  }
  if (sharing === 'repeated') said.push('rows that only repeat a reading of the slower magnetometer passed over');
  if (sharing === 'apart') {
    said.push('the acceleration at each reading of the magnetometer, on the line between its neighbours in time');
  }
  const others = columns.others.slice(0, mostNamed).map((name) => `"${shown(name)}"`);
  const more = columns.others.length - others.length;
  const rest = others.length === 0 ? '' : `; passed over: ${others.join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
  const sentence = said.length === 0 ? [] : [`${path}: taken as ${said.join('; ')}${rest}.`];
  const counts = (['accelerometer', 'magnetometer'] as const).filter(
    (sensor) => columns[sensor]?.isGuess && !columns[sensor].scaleKnown,
  );
  if (counts.length > 0) {
    sentence.push(
      `The ${counts.join(' and the ')} ${counts.length > 1 ? 'hold' : 'holds'} counts of unknown scale: a tumble calibrates them, but cannot check their strength; --columns names a unit.`,
    );
  }
  return sentence;
}
