import type { Counterweight, Part, Rig } from '../../../calibration/balance/rig.ts';
import { exitCode, Failure } from '../../failure.ts';
import { rigFile, type SavedRig } from '../../store/rig.ts';
import type { StepRequest } from '../messages.ts';
import { texts } from './words/balance.ts';

const number = String.raw`[+-]?\d+(?:\.\d+)?`;
const partForm = new RegExp(String.raw`^(.+?)\s+(${number})\s+(${number})\s+(${number})$`);
const weightForm = new RegExp(String.raw`^(${number})\s+(${number})\s*(?:-|to|\s)\s*(${number})$`);
const pairForm = new RegExp(String.raw`^(${number})[\s,;]+(${number})$`);

const listOf = (text: string): string[] =>
  text
    .split(/[;,\n]/)
    .map((each) => each.trim())
    .filter((each) => each !== '');

function refuse(what: string, text: string, example: string): never {
  throw new Failure(exitCode.usage, `${what} "${text}" is not understood.`, `Type ${example}.`);
}

function partOf(text: string): Part {
  const read = partForm.exec(text);
  if (!read) return refuse(texts.thePart, text, texts.partExample);
  const [massKg, alongMm, outMm] = read.slice(2).map(Number);
  return { name: read[1], massKg, alongMm, outMm };
}

function weightOf(text: string): Counterweight {
  const read = weightForm.exec(text);
  if (!read) return refuse(texts.theWeight, text, texts.weightExample);
  const [massKg, fromMm, toMm] = read.slice(1).map(Number);
  return { massKg, fromMm, toMm };
}

function pairOf(what: string, text: string, example: string): [number, number] {
  const read = pairForm.exec(text.trim());
  return read ? [Number(read[1]), Number(read[2])] : refuse(what, text, example);
}

/** A rig as it was typed into the fields of the page. Throws Failure where it cannot be read or does not fit. */
export function rigTyped({
  rig: name = '',
  parts = '',
  weights = '',
  shaft = '',
  travel = '',
}: StepRequest['fields']): SavedRig {
  const [massKg, centreMm] = pairOf(texts.theShaft, shaft, texts.shaftExample);
  const typed: Rig & { schema: 1 } = {
    schema: 1,
    name: name.trim() || 'rig',
    travelMm: pairOf(texts.theTravel, travel, texts.travelExample),
    parts: listOf(parts).map(partOf),
    counterweights: listOf(weights).map(weightOf),
    shaft: { massKg, centreMm },
  };
  const checked = rigFile.safeParse(typed);
  if (checked.success) return checked.data;
  throw new Failure(
    exitCode.badData,
    checked.error.issues.map(({ message }) => message).join('; ') + '.',
    'Give kilograms and millimetres.',
  );
}

/** The same fields, filled from a kept rig. */
export const fieldsOf = ({ name, parts, counterweights, shaft, travelMm }: SavedRig): StepRequest['fields'] => ({
  rig: name,
  parts: parts.map((part) => `${part.name} ${part.massKg ?? '?'} ${part.alongMm} ${part.outMm}`).join('; '),
  weights: counterweights.map(({ massKg, fromMm, toMm }) => `${massKg} ${fromMm}-${toMm}`).join('; '),
  shaft: `${shaft.massKg} ${shaft.centreMm}`,
  travel: travelMm.join(' '),
});
