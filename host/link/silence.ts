import type { LinkCounters } from './counters.ts';
import type { LineIntake } from './lineIntake.ts';

/** Bytes and lines that came since a moment. */
export interface Heard {
  bytes: number;
  noise: number;
  overLong: number;
  foreign: number;
  damaged: number;
  samples: number;
}

export const heardNow = (bytes: number, counters: LinkCounters): Heard => ({
  bytes,
  noise: counters.noise,
  overLong: counters.overLong,
  foreign: counters.foreign,
  damaged: counters.torn + counters.badCrc + counters.malformed,
  samples: counters.beforeHello + counters.samples,
});

export type Silence = 'nothing' | 'wrongSpeed' | 'foreign' | 'damaged' | 'noHello' | 'otherProtocol' | 'badHello';

/** Why no sample comes from an open port, from what was heard on it between two moments. */
export function kindOfSilence(before: Heard, now: Heard, intake: LineIntake): Silence {
  if (intake.otherProtocol !== undefined) return 'otherProtocol';
  if (intake.helloFault !== undefined && intake.hello === undefined) return 'badHello';
  const since = (key: keyof Heard): number => now[key] - before[key];
  if (since('bytes') === 0) return 'nothing';
  if (since('samples') > 0) return 'noHello';
  const lines = since('noise') + since('overLong') + since('foreign') + since('damaged');
  // At a wrong speed line ends are rare: bytes without lines, or lines that are not text.
  if (lines === 0 || since('noise') + since('overLong') > lines / 2) return 'wrongSpeed';
  return since('damaged') > since('foreign') ? 'damaged' : 'foreign';
}

const flash = 'flash the firmware (firmware-proto/README.md)';

/** What the user is told when a port that opened gives no samples. */
export function wordsForSilence(kind: Silence, name: string, intake: LineIntake): string {
  switch (kind) {
    case 'nothing':
      return `${name} is open but nothing arrives: check that the cable carries data and the board has power, or ${flash}.`;
    case 'wrongSpeed':
      return `${name} sends bytes that are not text: its speed is not 115200 baud, or it is another device. Set the board's speed, choose another port with --port, or ${flash}.`;
    case 'foreign':
      return `${name} sends text, but not the board's: another device, or another program on the board. Choose another port with --port, or ${flash}.`;
    case 'damaged':
      return `${name} sends lines that arrive damaged: use a shorter cable, leave out the hub, and keep it away from motors.`;
    case 'noHello':
      return `${name} sends samples but does not identify itself, so their scale is not known: press the board's reset button, or ${flash}.`;
    case 'otherProtocol':
      return `${name} speaks protocol version ${intake.otherProtocol}, this program version 1: no needle is shown. Update this program, or ${flash}.`;
    case 'badHello':
      return `${name} does not identify itself correctly (${intake.helloFault}): correct the firmware's settings and ${flash}.`;
  }
}
