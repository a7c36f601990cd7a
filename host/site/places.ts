import { degree } from '../../calibration/angle.ts';
import { exitCode, Failure } from '../failure.ts';
import { nearNames, plainName } from '../nearNames.ts';
import list from './places.json' with { type: 'json' };

interface Place {
  name: string;
  country: string;
  latitudeRad: number;
  longitudeRad: number;
}

const places = (list.places as [string, string, number, number][]).map(
  ([name, country, latitudeDeg, longitudeDeg]): Place => ({
    name,
    country,
    latitudeRad: latitudeDeg * degree,
    longitudeRad: longitudeDeg * degree,
  }),
);

/** Share of letters that a slip of the keys may get wrong; more makes another town of it. */
const mostWrongLetters = 1 / 3;

/** Credit line of the shipped list. */
export const placesSource = list.source;

/** A shipped place by its name, or by "name, CC" with its country's two letters. Throws Failure with near matches. */
export function findPlace(text: string): Place {
  const wanted = plainName(text);
  const found = places.find(
    ({ name, country }) => wanted === plainName(name) || wanted === plainName(`${name} ${country}`),
  );
  if (found) return found;
  const near = nearNames(
    text,
    places.map(({ name }) => name),
    3,
    mostWrongLetters,
  );
  throw new Failure(
    exitCode.usage,
    `There is no town "${text}" in the shipped list of ${places.length} towns.`,
    near.length > 0
      ? `Did you mean ${near.join(', ')}? Otherwise give --lat and --lon.`
      : 'Read its latitude and longitude off a map or a phone, and give --lat and --lon.',
  );
}
