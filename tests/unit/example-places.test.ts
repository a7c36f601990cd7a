// The places of examples are our own: none has a latitude or a variation that the trade states somewhere as its own figure.
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { degree } from '../../calibration/angle.ts';
import { scenes } from '../../firmware-proto/virtual/scenes.ts';
import { fieldAt } from '../../host/site/field.ts';

const root = new URL('../../', import.meta.url).pathname;
const texts = ['host', 'calibration', 'firmware-proto']
  .flatMap((room) => readdirSync(join(root, room), { recursive: true }).map((name) => join(room, String(name))))
  .filter((name) => /\.(ts|tsx|md)$/.test(name))
  .concat('README.md');

it('examples and scenes stand 44 to 49 degrees north or in the south, with a variation that is not 2 to 6 degrees', () => {
  const places = texts.flatMap((name) =>
    [...readFileSync(join(root, name), 'utf8').matchAll(/--lat[ =](-?[\d.]+) --lon[ =](-?[\d.]+)/g)].map(
      ([, latitude, longitude]) => ({ name, latitudeDeg: Number(latitude), longitudeDeg: Number(longitude) }),
    ),
  );
  expect(places.length).toBeGreaterThan(9);
  const known = Object.entries(scenes).map(([name, { place }]) => ({
    name,
    latitudeDeg: place.latitudeRad / degree,
    longitudeDeg: place.longitudeRad / degree,
  }));
  for (const { name, latitudeDeg, longitudeDeg } of [...places, ...known]) {
    const site = { latitudeRad: latitudeDeg * degree, longitudeRad: longitudeDeg * degree, elevationM: 0 };
    if (latitudeDeg > 0) expect(Math.abs(latitudeDeg - 46.5), name).toBeLessThan(2.5);
    const variationDeg = fieldAt(site, new Date('2026-11-29T00:00:00Z')).variationRad / degree;
    expect(Math.abs(Math.abs(variationDeg) - 4), `${name}: ${variationDeg.toFixed(1)}`).toBeGreaterThan(2);
  }
});
