import { printable } from '../../output.ts';
import type { Columns, Triple } from './columns.ts';
import type { Sharing } from './sharing.ts';

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
    const [x, y, z] = triple.names.map((name) => printable(name.slice(0, 40)));
    said.push(`${words[sensor]} "${x}", "${y}", "${z}" in ${triple.unit}${triple.isGuess ? ' (by its size)' : ''}`);
  }
  const { time } = columns;
  if (rateHz !== undefined) said.push(`${rateHz} rows a second`);
  else if (time !== undefined && time.name.trim().toLowerCase() !== 't_s') {
    said.push(`time "${printable(time.name.slice(0, 40))}" in ${time.unit}${time.isGuess ? ' (by its steps)' : ''}`);
  }
  if (sharing === 'repeated') said.push('rows that only repeat a reading of the slower magnetometer passed over');
  if (sharing === 'apart') {
    said.push('the acceleration at each reading of the magnetometer, on the line between its neighbours in time');
  }
  const sentence = said.length === 0 ? [] : [`${path}: taken as ${said.join('; ')}.`];
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
