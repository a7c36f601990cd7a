import type { Hello } from '../../firmware-proto/wire.ts';
import { untoldChangeC } from '../../calibration/warmth.ts';
import { exitCode, Failure } from '../failure.ts';
import { boardKey, type BoardKey, type KeptCalibration } from './calibrationFile.ts';

/** A calibration made this much warmer or colder is used with a caution (consumer chips drift by some 0.2 mg a degree). */
const temperatureChangeC = 8;

const names = {
  boardId: 'board',
  accelerometer: 'accelerometer',
  magnetometer: 'magnetometer',
  firmware: 'firmware',
} as const;

/** What of the board is not the same, as a sentence; undefined when it fits. */
export function differs(kept: BoardKey | undefined, hello: Omit<Hello, 'kind'>): string | undefined {
  if (!kept) return 'it does not say which board it belongs to.';
  const key = keyThatDiffers(kept, hello);
  return key && `it belongs to ${names[key]} ${kept[key]}, and this is ${boardKey(hello)[key]}.`;
}

function keyThatDiffers(kept: BoardKey, hello: Omit<Hello, 'kind'>): keyof BoardKey | undefined {
  const now = boardKey(hello);
  return (Object.keys(names) as (keyof BoardKey)[]).find((key) => kept[key] !== now[key]);
}

/**
 * Of a calibration that the person named: what to be wary of. Throws Failure where it belongs to another board; another firmware
 * of the same board, or readings of an unnamed logger, are the person's own choice.
 */
export function cautionsOfNamed(path: string, kept: KeptCalibration, hello: Omit<Hello, 'kind'>): string[] {
  const mismatch = differs(kept.board, hello);
  if (!mismatch) return [];
  if (!kept.board || keyThatDiffers(kept.board, hello) === 'firmware') return [`Of ${path}: ${mismatch}`];
  throw new Failure(
    exitCode.badData,
    `${path} is not used: ${mismatch}`,
    'Name the calibration of this board, or tumble it: lodepole tumble --out FILE',
  );
}

/** Of a board now against when something of it was kept; without a thermometer by how long ago that was. 0 where a temperature is not known. */
export const changeC = (
  { temperatureC: keptC, savedUtc }: { temperatureC?: number; savedUtc: string },
  nowC: number | undefined,
  hello?: Pick<Hello, 'temperature'>,
): number => {
  if (hello?.temperature.cPerCount === 0) return untoldChangeC((Date.now() - Date.parse(savedUtc)) / 1000);
  return keptC === undefined || nowC === undefined ? 0 : nowC - keptC;
};

/** What is allowed for is worth a word from here on. */
const toldC = 3;

/** Why an old figure of a board without a thermometer is less sure. */
export function untoldCautions(what: string, kept: { savedUtc: string }, hello: Pick<Hello, 'temperature'>): string[] {
  const change = hello.temperature.cPerCount === 0 ? changeC(kept, undefined, hello) : 0;
  if (change < toldC) return [];
  return [
    `The board has no thermometer, and its ${what} is not fresh: the uncertainty allows for a temperature change of ${change.toFixed(0)} degrees. ` +
      'To trust the last arcminutes, repeat it.',
  ];
}

export function temperatureCautions(what: string, keptC: number | undefined, nowC: number | undefined): string[] {
  if (keptC === undefined || nowC === undefined) return [];
  const change = nowC - keptC;
  if (Math.abs(change) <= temperatureChangeC) return [];
  return [
    `The board is ${Math.abs(change).toFixed(0)} degrees ${change > 0 ? 'warmer' : 'colder'} than at its ${what} ` +
      `(limit ${temperatureChangeC} °C): repeat it before you trust the last arcminutes.`,
  ];
}
