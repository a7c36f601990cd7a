import { degree } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';
import { nearNames, plainName } from '../nearNames.ts';
import list from './places.json' with { type: 'json' };

interface Place {
  name: string;
  country: string;
  /** Of a country whose states have codes of letters; else empty. */
  state: string;
  latitudeRad: number;
  longitudeRad: number;
}

/** Share of letters that a slip of the keys may get wrong; more makes another town of it. */
const mostWrongLetters = 1 / 3;
const mostTold = 8;

/** Credit line of the shipped list. */
export const placesSource = list.source;

const nameOf = (row: string): string => row.slice(0, row.indexOf('|'));
/** How a name is looked for: `St. Paul` is `Saint Paul`. */
const looked = (name: string): string => plainName(name).replace(/\bst (?=.)/g, 'saint ');

function placeOf(row: string): Place {
  const [name, country, state, latitudeDeg, longitudeDeg] = row.split('|');
  return {
    name,
    country,
    state,
    latitudeRad: Number(latitudeDeg) * degree,
    longitudeRad: Number(longitudeDeg) * degree,
  };
}

/** Rows by each way to call them: the name alone, or with its state's letters, its country's two letters, or both. */
function indexed(): Map<string, string[]> {
  const index = new Map<string, string[]>();
  for (const row of list.places) {
    const [name, country, state, , , other] = row.split('|');
    const ends = new Set(['', ` ${country}`, ...(state ? [` ${state}`, ` ${state} ${country}`] : [])]);
    for (const base of new Set([name, other ?? name].map(looked)))
      for (const end of ends) {
        const called = base + end.toLowerCase();
        index.set(called, [...(index.get(called) ?? []), row]);
      }
  }
  return index;
}
let index: Map<string, string[]> | undefined;

/**
 * A shipped place by its name, or by "name, state, CC" with letters of the state and the country. Throws Failure with the
 * choices where several have that name, or with near matches where none has.
 */
export function findPlace(text: string): Place {
  const found = placesMeant(text);
  if (found.length === 1) return found[0];
  if (found.length > 1) throw severalNamed(text, found);
  const [town] = text.split(',', 1);
  const called = town === text ? [] : placesMeant(town);
  if (called.length > 0) throw severalNamed(town, called);
  const near = nearNames(text, [...new Set(list.places.map(nameOf))], 3, mostWrongLetters);
  throw new Failure(
    exitCode.usage,
    `There is no town "${text}" in the shipped list of ${list.places.length} towns.`,
    near.length > 0
      ? `Did you mean ${near.join(', ')}? Otherwise name a larger town nearby, or give --lat and --lon.`
      : 'Name a larger town nearby, or read its latitude and longitude off a map or a phone, and give --lat and --lon.',
  );
}

function placesMeant(text: string): Place[] {
  index ??= indexed();
  return (index.get(looked(text)) ?? []).map(placeOf);
}

/** Nobody can know which of them is meant. */
function severalNamed(text: string, found: readonly Place[]): Failure {
  const told = found.slice(0, mostTold).map(({ name, state, country, latitudeRad, longitudeRad }) => {
    const [north, east] = [latitudeRad / degree, longitudeRad / degree];
    const where = `${Math.abs(north).toFixed(1)} ${north < 0 ? 'S' : 'N'}, ${Math.abs(east).toFixed(1)} ${east < 0 ? 'W' : 'E'}`;
    return `${[name.split(',')[0], state, country].filter(Boolean).join(', ')} (${where})`;
  });
  const more = found.length > mostTold ? ` and ${found.length - mostTold} more` : '';
  const [{ name, state, country }] = found;
  return new Failure(
    exitCode.usage,
    found.length === 1
      ? `The list has only ${told[0]} of that name.`
      : `${found.length} towns are called "${text}": ${told.join('; ')}${more}.`,
    `Say which: --place "${[name.split(',')[0], state, country].filter(Boolean).join(', ')}". Or give --lat and --lon.`,
  );
}
