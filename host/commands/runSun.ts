import { degree, wrapTwoPi } from '../../calibration/angle.ts';
import type { Vector3 } from '../../calibration/vector.ts';
import type { SightOptions } from './sightOptions.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import { gravityAtRest } from '../live/gravityAtRest.ts';
import type { ShadowSeen } from '../live/pinShadow.ts';
import type { Needles, VirtualMount } from '../live/session.ts';
import { printJson, printResult, say } from '../output.ts';
import { parseInstant } from '../site/instant.ts';
import { keepSunDeviation } from '../store/deviation.ts';
import { requireSite } from './siteOptions.ts';
import type { Site } from '../site/site.ts';
import { minuteWords } from '../sky/starlight.ts';
import { inDeg } from '../words/figures.ts';
import { sayCautions } from './sayCautions.ts';
import { openForStep } from './stepOptions.ts';
import { keepEstimate } from '../night/nightFile.ts';
import { instructionWords } from '../words/instruction.ts';
import { bandSigmas, plainAngle, sideOf } from '../words/reading.ts';
import { truthWords } from '../words/truth.ts';
import { firstModel, needlesAtRest } from './boardAtRest.ts';
import { cautions } from '../words/cautions.ts';
import { truthJson } from '../steps/sightReport.ts';
import { parseAxis, parseGravity } from '../steps/sightsFile.ts';
import { judgeShadow, requireLikely, requireShadow, sunEstimate } from '../steps/sunSight.ts';
import { shadowScale } from '../terminal/shadowScale.ts';
import { texts } from './words/sun.ts';

interface Taken {
  accelG: Vector3;
  axisInBoard: Vector3;
  utc: Date;
  shadowRad: number;
  site: Site;
  /** What the needles showed at the same time. */
  needles?: Needles;
}

/** `sight --sun`: the azimuth of the polar axis from the shadow of a pin, with the caution in view. */
export async function runSun(options: SightOptions): Promise<ExitCode> {
  sayCautions(cautions.sun, cautions.shadow);
  if (options.keep && options.virtual !== undefined)
    throw new Failure(exitCode.usage, 'An invented scene keeps nothing.', 'Leave out --keep, or --virtual.');
  const givenRad = givenShadow(options);
  const taken = options.gravity === undefined ? await takeNow(options, givenRad) : await takeGiven(options, givenRad);
  const { site, needles, shadowRad, utc } = taken;
  const found = judgeShadow(taken, site);
  const { sun, azimuthErrorRad } = found;
  const deviationRad = needles && needles.azimuthErrorRad - azimuthErrorRad;
  requireLikely(deviationRad);
  if (options.keep) {
    say(await keepEstimate({ ...sunEstimate(found), utcMs: utc.getTime() }));
    if (deviationRad !== undefined) await keepSunDeviation(site, deviationRad, found.sigmaAzimuthRad, utc);
  }
  const [errorDeg, sigmaDeg] = [azimuthErrorRad / degree, found.sigmaAzimuthRad / degree];
  const band = bandSigmas * sigmaDeg;
  const words = [
    texts.bySun(plainAngle(errorDeg, band), sideOf('azimuth', errorDeg), plainAngle(band, band)),
    instructionWords('azimuth', errorDeg, sigmaDeg),
    ...(deviationRad === undefined
      ? []
      : [texts.compassWas(plainAngle(deviationRad / degree, band), sideOf('azimuth', deviationRad))]),
    ...(needles?.truth ? [truthWords(needles.truth)] : []),
    cautions.sun,
  ];
  if (options.json) {
    printJson({
      kind: 'sun',
      timeUtc: utc.toISOString(),
      shadowDeg: inDeg(wrapTwoPi(shadowRad)),
      sunAltitudeDeg: inDeg(sun.altitudeRad),
      sunAzimuthDeg: inDeg(sun.azimuthRad),
      axisAzimuthDeg: inDeg(found.axisAzimuthRad),
      sigmaAxisAzimuthDeg: inDeg(found.sigmaAzimuthRad),
      azimuthErrorDeg: inDeg(azimuthErrorRad),
      sigmaAzimuthErrorDeg: inDeg(found.sigmaAzimuthRad),
      ...(deviationRad !== undefined && {
        deviationDeg: inDeg(deviationRad),
        sigmaDeviationDeg: inDeg(found.sigmaAzimuthRad),
      }),
      ...(needles?.truth && { truth: truthJson(needles.truth) }),
      words: words.join(' '),
    });
  } else for (const line of words) printResult(line);
  if (options.virtual !== undefined) say(texts.practised);
  return exitCode.done;
}

/** Undefined where none is given and the virtual eye may read it. */
function givenShadow({ shadow, virtual, gravity }: SightOptions): number | undefined {
  if (shadow === undefined && virtual !== undefined && gravity === undefined) return undefined;
  const shadowDeg = shadow === undefined || shadow.trim() === '' ? NaN : Number(shadow);
  if (Number.isFinite(shadowDeg)) return shadowDeg * degree;
  throw new Failure(
    exitCode.usage,
    'Where the shadow falls is not given.',
    'Read it on the board from the x arrow toward the y arrow, in degrees: --shadow 132.5',
  );
}

async function takeGiven(options: SightOptions, shadowRad: number | undefined): Promise<Taken> {
  if (options.axis === undefined || shadowRad === undefined) {
    throw new Failure(
      exitCode.usage,
      'The direction of the polar axis along the board is not given.',
      'Give --axis x,y,z.',
    );
  }
  const axisInBoard = parseAxis(options.axis);
  const accelG = parseGravity(options.gravity!);
  return { accelG, axisInBoard, shadowRad, utc: parseInstant(options.at), site: await requireSite(options) };
}

async function takeNow(options: SightOptions, givenRad: number | undefined): Promise<Taken> {
  if (options.at !== 'now' && options.virtual === undefined) {
    throw new Failure(
      exitCode.usage,
      'A live reading counts for now only.',
      'Leave out --at, or give a recorded reading with --gravity and --axis.',
    );
  }
  const givenUtc = options.at === 'now' ? undefined : parseInstant(options.at);
  const session = await openForStep('sight', { ...options, from: undefined });
  try {
    const model = await firstModel(session);
    const site = session.site ?? (await requireSite(options));
    const seen = session.virtual && (await practisedShadow(session.virtual, site, { givenUtc, givenRad }));
    const needles = await needlesAtRest(session);
    const accelG = await gravityAtRest(session, model);
    const shadowRad = givenRad ?? seen?.shadowRad ?? NaN;
    return {
      accelG,
      axisInBoard: model.axisInBoard,
      utc: seen?.utc ?? new Date(Date.now() - 500),
      shadowRad,
      site,
      needles,
    };
  } finally {
    await session.close();
  }
}

/** Virtual hands turn the face level, and an eye reads the shadow on its scale, which is drawn for a person to read as well. */
async function practisedShadow(
  { hands, pinShadow }: VirtualMount,
  site: Site,
  { givenUtc, givenRad }: { givenUtc?: Date; givenRad?: number },
): Promise<ShadowSeen> {
  say(texts.handsTurn);
  hands.turnAxis(0);
  await hands.whenDone();
  const seen = pinShadow.see(givenUtc);
  const read = pinShadow.read(givenUtc);
  if (!seen || !read) {
    if (givenUtc) requireShadow(site, givenUtc);
    throw new Failure(
      exitCode.refused,
      `The virtual Sun casts no readable shadow on the face of the board${givenUtc ? ' then' : ''}.`,
      givenUtc ? 'Leave out --at, or name another hour.' : 'Practise in another scene, or nearer to the equator.',
    );
  }
  const { utc, isOtherHour } = seen;
  say(texts.virtualSun(minuteWords(utc), isOtherHour));
  say(texts.whereShadowFalls);
  for (const line of shadowScale(seen.shadowRad / degree)) say(line);
  const eye = degreesRound(read.shadowRad);
  if (givenRad === undefined) say(texts.eyeReads(eye, `${utc.toISOString().slice(0, 19)}Z`));
  else say(texts.youGive(degreesRound(givenRad), eye));
  return read;
}

/** Of a round scale, 0 to 360. */
const degreesRound = (angleRad: number): string => (wrapTwoPi(angleRad) / degree).toFixed(1);
