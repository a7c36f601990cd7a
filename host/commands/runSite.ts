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
import { texts } from './words/site.ts';

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
    reason: texts.fieldTooWeak,
    value: nt(horizontalNt),
    limit: 2000,
    unit: 'nT',
    nextAction: texts.useSights,
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
    say(texts.clockOff(offsetS.toFixed(0)));
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
  if (options.save) say(texts.saved);
  if (options.place) say(texts.placeFrom(placesSource));
  if (gate) process.exitCode = exitCode.refused;
}

function siteText(site: Site, date: Date, field: SiteField): string {
  const { truePole, refractedPole } = polesOf(site);
  const angle = (angleRad: number, digits = 2): string => `${(angleRad / degree).toFixed(digits)}°`;
  const variation = texts.variation(angle(Math.abs(field.variationRad)), field.variationRad < 0);
  const whole = (angleRad: number): string => (angleRad / degree).toFixed(0);
  const hidden = (site.horizon ?? []).map(
    (sector) => `${whole(sector.fromAzimuthRad)}-${whole(sector.toAzimuthRad)}:${whole(sector.altitudeRad)}`,
  );
  return [
    texts.site(site.name, positionText(site), site.elevationM.toFixed(0)),
    texts.date(date.toISOString().slice(0, 16).replace('T', ' ')),
    texts.pole(
      angle(truePole.altitudeRad, 3),
      angle(truePole.azimuthRad, 0),
      site.latitudeRad < 0,
      angle(refractedPole.altitudeRad, 3),
    ),
    texts.variationRow(variation, angle(bandSigmas * field.sigmaVariationRad)),
    texts.dip(angle(field.dipRad), angle(bandSigmas * field.sigmaDipRad)),
    texts.field(field.fieldNt.toFixed(0), (bandSigmas * field.sigmaFieldNt).toFixed(0), field.horizontalNt.toFixed(0)),
    texts.model(field.modelValidUntil),
    texts.horizon(hidden.length > 0, hidden.join(', ')),
    cautions.magnetic,
  ].join('\n');
}
