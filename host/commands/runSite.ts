import { degree } from '../../calibration/angle.ts';
import type { Gate } from '../../calibration/gate.ts';
import { cautions } from '../words/cautions.ts';
import { exitCode, Failure } from '../failure.ts';
import { printJson, printResult, say } from '../output.ts';
import { saveSite } from '../store/site.ts';
import { bandSigmas } from '../words/reading.ts';
import { clockCautions } from '../site/clock.ts';
import { positionText } from '../site/coordinates.ts';
import { fieldAt, type SiteField } from '../site/field.ts';
import { fixFromPort } from '../link/gps.ts';
import { parseSectors } from '../site/horizon.ts';
import { parseInstant } from '../site/instant.ts';
import { placesSource } from '../site/places.ts';
import { polesOf, type Site } from '../site/site.ts';
import { requireSite, type SiteOptions } from './siteOptions.ts';
import { inDeg } from '../words/figures.ts';

export interface RunSiteOptions extends SiteOptions {
  date?: string;
  gps?: string;
  horizon?: string;
  trace?: boolean;
  port?: string;
  virtual?: string;
  seed?: string;
  calibration?: string;
  save?: boolean;
  json?: boolean;
}

const nt = (field: number): number => Number(field.toFixed(3));

/** The stop of the blackout zone; undefined elsewhere. */
function blackoutGate({ zone, horizontalNt }: SiteField): Gate | undefined {
  if (zone !== 'blackout') return undefined;
  return {
    verdict: 'stop',
    reason: 'horizontal field too weak for a compass',
    value: nt(horizontalNt),
    limit: 2000,
    unit: 'nT',
    nextAction: "Use sights, drift or the Sun's shadow; the compass does not work here.",
  };
}

async function siteAndDate(options: RunSiteOptions): Promise<{ site: Site; date: Date }> {
  const asked = options.date === undefined ? undefined : parseInstant(options.date);
  if (options.gps === undefined) return { site: await requireSite(options), date: asked ?? new Date() };
  if (options.lat ?? options.lon ?? options.position ?? options.place) {
    throw new Failure(exitCode.usage, 'The site is given twice.', 'Give coordinates or --gps, not both.');
  }
  const fix = await fixFromPort(options.gps);
  const site = { latitudeRad: fix.latitudeRad, longitudeRad: fix.longitudeRad, elevationM: fix.elevationM ?? 0 };
  const offsetS = fix.utc ? (Date.now() - fix.utc.getTime()) / 1000 : 0;
  if (Math.abs(offsetS) > 2) {
    say(`Caution: this computer's clock is ${offsetS.toFixed(0)} s off the receiver's time. Set it before any sight.`);
  }
  return { site, date: asked ?? fix.utc ?? new Date() };
}

/** The site with the horizon of the options; a place that is named anew does not inherit the old one's. */
async function withHorizon(site: Site, options: RunSiteOptions): Promise<Site> {
  if (options.horizon !== undefined && options.trace) {
    throw new Failure(exitCode.usage, 'The horizon is given twice.', 'Give --horizon or --trace, not both.');
  }
  if (options.horizon !== undefined) return { ...site, horizon: parseSectors(options.horizon) };
  if (!options.trace) return site;
  const { traceHorizon } = await import('./runTrace.ts');
  return { ...site, horizon: await traceHorizon(options, site) };
}

/** The `site` command: echoes what was understood and gives the pole and the field there. */
export async function runSite(options: RunSiteOptions): Promise<void> {
  const { site: place, date } = await siteAndDate(options);
  const site = await withHorizon(place, options);
  const field = fieldAt(site, date);
  const { truePole, refractedPole } = polesOf(site);
  const gate = blackoutGate(field);
  for (const caution of [...field.notes, ...(options.date === undefined ? await clockCautions() : [])]) {
    say(`Caution: ${caution}`);
  }
  if (options.save) await saveSite(site);

  if (options.json) {
    printJson({
      ...(site.name && { name: site.name }),
      understood: positionText(site),
      dateUtc: date.toISOString(),
      latitudeDeg: inDeg(site.latitudeRad),
      longitudeDeg: inDeg(site.longitudeRad),
      elevationM: site.elevationM,
      poleAltitudeDeg: inDeg(truePole.altitudeRad),
      poleAzimuthDeg: inDeg(truePole.azimuthRad),
      refractedPoleAltitudeDeg: inDeg(refractedPole.altitudeRad),
      variationDeg: inDeg(field.variationRad),
      sigmaVariationDeg: inDeg(field.sigmaVariationRad),
      dipDeg: inDeg(field.dipRad),
      sigmaDipDeg: inDeg(field.sigmaDipRad),
      fieldNt: nt(field.fieldNt),
      sigmaFieldNt: nt(field.sigmaFieldNt),
      horizontalNt: nt(field.horizontalNt),
      sigmaHorizontalNt: nt(field.sigmaHorizontalNt),
      northNt: nt(field.northNt),
      eastNt: nt(field.eastNt),
      downNt: nt(field.downNt),
      modelValidUntil: field.modelValidUntil,
      zone: field.zone,
      horizon: (site.horizon ?? []).map(({ fromAzimuthRad, toAzimuthRad, altitudeRad }) => ({
        fromAzimuthDeg: inDeg(fromAzimuthRad),
        toAzimuthDeg: inDeg(toAzimuthRad),
        altitudeDeg: inDeg(altitudeRad),
      })),
      notes: field.notes,
      ...(gate && { gate }),
    });
  } else {
    printResult(siteText(site, date, field));
  }
  if (options.save) say('Saved: other commands take this site from now on.');
  if (options.place) say(`Place from ${placesSource}`);
  if (gate) process.exitCode = exitCode.refused;
}

function siteText(site: Site, date: Date, field: SiteField): string {
  const { truePole, refractedPole } = polesOf(site);
  const angle = (angleRad: number, digits = 2): string => `${(angleRad / degree).toFixed(digits)}°`;
  const variation = `${angle(Math.abs(field.variationRad))} ${field.variationRad < 0 ? 'west' : 'east'}`;
  const whole = (angleRad: number): string => (angleRad / degree).toFixed(0);
  const hidden = (site.horizon ?? []).map(
    (sector) => `${whole(sector.fromAzimuthRad)}-${whole(sector.toAzimuthRad)}:${whole(sector.altitudeRad)}`,
  );
  return [
    `Site        ${site.name ? `${site.name}, ` : ''}${positionText(site)}, ${site.elevationM.toFixed(0)} m`,
    `Date        ${date.toISOString().slice(0, 16).replace('T', ' ')} UTC`,
    `True pole   altitude ${angle(truePole.altitudeRad, 3)}, azimuth ${angle(truePole.azimuthRad, 0)} (${
      site.latitudeRad < 0 ? 'south' : 'north'
    }); refracted ${angle(refractedPole.altitudeRad, 3)}`,
    `Variation   ${variation}, give or take ${angle(bandSigmas * field.sigmaVariationRad)}`,
    `Dip         ${angle(field.dipRad)}, give or take ${angle(bandSigmas * field.sigmaDipRad)}`,
    `Field       ${field.fieldNt.toFixed(0)} nT, give or take ${(bandSigmas * field.sigmaFieldNt).toFixed(0)}; horizontal ${field.horizontalNt.toFixed(0)} nT`,
    `Model       World Magnetic Model 2025, valid until ${field.modelValidUntil}`,
    `Horizon     ${hidden.length > 0 ? `hidden ${hidden.join(', ')}` : 'nothing marked as hidden'}`,
    cautions.magnetic,
  ].join('\n');
}
