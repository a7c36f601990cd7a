import { degree } from '../../calibration/angle.ts';
import { correct } from '../../calibration/correction.ts';
import { add, normalise, type Vector3 } from '../../calibration/vector.ts';
import type { SightOptions } from './sightOptions.ts';
import { exitCode, Failure, type ExitCode } from '../failure.ts';
import type { LiveSession } from '../live/session.ts';
import { printJson, printResult, say } from '../output.ts';
import { parseInstant } from '../site/instant.ts';
import { keepSunDeviation } from '../store/deviation.ts';
import { requireSite } from './siteOptions.ts';
import type { Site } from '../site/site.ts';
import { inDeg } from '../words/figures.ts';
import { sayCautions } from './sayCautions.ts';
import { openForStep } from './stepOptions.ts';
import { keepEstimate } from '../night/nightFile.ts';
import { instructionWords } from '../words/instruction.ts';
import { bandSigmas, plainAngle, sideOf } from '../words/reading.ts';
import { firstModel, needlesAtRest } from './boardAtRest.ts';
import { cautions } from '../words/cautions.ts';
import { parseAxis, parseGravity } from '../steps/sightsFile.ts';
import { judgeShadow, sunEstimate } from '../steps/sunSight.ts';

interface Reading {
  accelG: Vector3;
  axisInBoard: Vector3;
  utc: Date;
  /** Azimuth error that the compass showed at the same time. */
  compass?: { azimuthErrorRad: number; sigmaAzimuthErrorRad: number };
}

/** `sight --sun`: the azimuth of the polar axis from the shadow of a pin, with the caution in view. */
export async function runSun(options: SightOptions): Promise<ExitCode> {
  sayCautions(cautions.sun, cautions.shadow);
  const shadowDeg = options.shadow === undefined || options.shadow.trim() === '' ? NaN : Number(options.shadow);
  if (!Number.isFinite(shadowDeg)) {
    throw new Failure(
      exitCode.usage,
      'Where the shadow falls is not given.',
      'Read it on the board from the x arrow toward the y arrow, in degrees: --shadow 132.5',
    );
  }
  const { reading, site } = options.gravity === undefined ? await liveReading(options) : await givenReading(options);
  const found = judgeShadow({ ...reading, shadowRad: shadowDeg * degree }, site);
  const { sun, azimuthErrorRad } = found;
  const deviationRad = reading.compass && reading.compass.azimuthErrorRad - azimuthErrorRad;
  if (options.keep) {
    say(await keepEstimate({ ...sunEstimate(found), utcMs: reading.utc.getTime() }));
    if (deviationRad !== undefined) await keepSunDeviation(site, deviationRad, found.sigmaAzimuthRad, reading.utc);
  }
  const [errorDeg, sigmaDeg] = [azimuthErrorRad / degree, found.sigmaAzimuthRad / degree];
  const band = bandSigmas * sigmaDeg;
  const words = [
    `By the Sun the polar axis points ${plainAngle(errorDeg, band)} too far ${sideOf('azimuth', errorDeg)}, give or take ${plainAngle(band, band)}.`,
    instructionWords('azimuth', errorDeg, sigmaDeg),
    ...(deviationRad === undefined
      ? []
      : [
          `The compass showed ${plainAngle(deviationRad / degree, band)} too far ${sideOf('azimuth', deviationRad)} against it: variation's error and deviation of this place together.`,
        ]),
    cautions.sun,
  ];
  if (options.json) {
    printJson({
      kind: 'sun',
      timeUtc: reading.utc.toISOString(),
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
      words: words.join(' '),
    });
  } else for (const line of words) printResult(line);
  return exitCode.done;
}

async function givenReading(options: SightOptions): Promise<{ reading: Reading; site: Site }> {
  if (options.axis === undefined) {
    throw new Failure(exitCode.usage, 'Where the polar axis lies in the board is not given.', 'Give --axis x,y,z.');
  }
  const axisInBoard = parseAxis(options.axis);
  const accelG = parseGravity(options.gravity!);
  return { reading: { accelG, axisInBoard, utc: parseInstant(options.at) }, site: await requireSite(options) };
}

async function liveReading(options: SightOptions): Promise<{ reading: Reading; site: Site }> {
  if (options.at !== 'now' && options.virtual === undefined) {
    throw new Failure(
      exitCode.usage,
      'A live reading is of now, not of another instant.',
      'Leave out --at, or give a kept reading with --gravity and --axis.',
    );
  }
  const givenUtc = options.at === 'now' ? undefined : parseInstant(options.at);
  const session: LiveSession = await openForStep({ ...options, from: undefined });
  try {
    const model = await firstModel(session);
    const needles = await needlesAtRest(session);
    let sum: Vector3 = [0, 0, 0];
    const stop = session.onSample(({ accelG }) => {
      sum = add(sum, correct(model.correction.accelerometer, accelG));
    });
    await new Promise((resolve) => setTimeout(resolve, 1000));
    stop();
    return {
      reading: {
        accelG: normalise(sum),
        axisInBoard: model.axisInBoard,
        utc: givenUtc ?? new Date(Date.now() - 500),
        compass: needles,
      },
      site: session.site ?? (await requireSite(options)),
    };
  } finally {
    await session.close();
  }
}
