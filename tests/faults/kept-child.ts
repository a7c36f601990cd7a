// Keeps entries of a night, a mount's bolts and a site, one after the other, and says which are acknowledged: TAG COUNT AXIS.
import { once } from 'node:events';
import { keepInNight } from '../../host/night/nightFile.ts';
import { KeptKnobs } from '../../host/store/knobs.ts';
import { saveSite } from '../../host/store/site.ts';

const [tag, count, axis] = process.argv.slice(2) as [string, string, 'altitude' | 'azimuth'];
const site = { latitudeRad: 0.82, longitudeRad: 0.3, elevationM: 210 };
const knobs = await KeptKnobs.of({}, site);
const tell = (word: string) => new Promise((done) => process.stdout.write(`${word}\n`, done));
await tell('ready');
await once(process.stdin, 'data');
// whoever started it is gone
process.stdin.once('end', () => process.exit());
for (let i = 1; i <= Number(count); i++) {
  await keepInNight({ kind: 'note', timeUtc: new Date().toISOString(), words: `${tag} ${i}` });
  knobs[axis] = {
    radPerTurn: i / 1000,
    sigmaRadPerTurn: 1e-4,
    backlashTurns: 0.2,
    sigmaBacklashTurns: 0.1,
    lastWay: 1,
  };
  await knobs.saved;
  await saveSite({ ...site, name: `${tag} ${i}` });
  await tell(String(i));
}
process.exit();
