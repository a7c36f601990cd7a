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
  );
  throw new Failure(
    exitCode.usage,
    `No place named "${text}" is in the shipped list of ${places.length} towns.`,
    `${near.length > 0 ? `Did you mean ${near.join(', ')}? ` : ''}Otherwise give --lat and --lon.`,
  );
}
