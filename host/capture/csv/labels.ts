/** The clock that a serial monitor puts before each line. */
const clock = /^\d{1,2}:\d{2}:\d{2}[.,]\d+ -> /gm;
/** ax: 0.1 or Acc X = 0.1 */
const label = /(\p{L}[^:=,;|\t\r\n]*?)\s*[:=]\s*(?=[+-]?[.\d])/gu;

/** The names that stand before each number of two lines alike, as sketches print them for a person; undefined where there are none. */
export function labelsIn([first = '', second = first]: readonly string[]): string[] | undefined {
  const [names, again] = [first, second].map((line) =>
    [...line.replaceAll(clock, '').matchAll(label)].map(([, name]) => name),
  );
  return names.length > 2 && names.join('\n') === again.join('\n') ? names : undefined;
}

/** Whether a line begins with the clock of a serial monitor. */
export const hasClock = (line: string): boolean => line.search(clock) === 0;

/** Lines without such names and clocks. */
export const withoutLabels = (text: string, hasLabels: boolean): string => {
  const bare = text.replaceAll(clock, '');
  return hasLabels ? bare.replaceAll(label, '') : bare;
};
