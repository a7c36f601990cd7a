import { arcminute, degree, wrapPi } from '../../calibration/angle.ts';
import { axisWithErrors, toNed, truePole } from '../../calibration/polarAxis.ts';
import { adjustSights } from '../../calibration/sight/adjustSights.ts';
import {
  firstCovariance,
  sigmaOfLevel,
  sigmaOfSight,
  sigmaRoundRad,
  usualSigmas,
  type SightPrior,
} from '../../calibration/sight/sightPrior.ts';
import { rankNext, type Candidate } from '../../calibration/sight/nextSight.ts';
import {
  levelOf,
  rollOf,
  sideWithCounterweightBelow,
  unknownCount,
  type Sight,
  type Side,
} from '../../calibration/sight/sightModel.ts';
import {
  add,
  angleBetweenRad,
  apply,
  cross,
  dot,
  multiply,
  normalise,
  rotationAbout,
  scale,
  subtract,
  transpose,
  type Matrix3,
  type Vector3,
} from '../../calibration/vector.ts';
import { aimAt, miscentred, viewOf } from '../../firmware-proto/virtual/eyepiece.ts';
import { Random } from '../../firmware-proto/virtual/random.ts';
import { placeOf } from '../../host/sky/place.ts';
import { stars, type Star } from '../../host/sky/stars.ts';
import type { Site } from '../../host/site/site.ts';

/** What the simulated unit really does; drawn per night, never shown to the estimator. */
interface Truth {
  axis: Vector3;
  coneRad: number;
  nonPerpendicularityRad: number;
  /** How the board is clipped on. */
  boardInTurningPart: Matrix3;
  axisInBoardBelieved: Vector3;
  accelerometerBiasG: Vector3;
}

export interface VisibleStar {
  star: Star;
  /** Where it is seen, through the air. */
  ned: Vector3;
  hourAngleRad: number;
  declinationRad: number;
}

/** What tumble, swing and noise leave unknown; `gravityRad` is that of the still second. */
export interface BoardFigures {
  sigmaTiltRad: number;
  sigmaAxisInBoardRad: number;
  gravityRad: number;
}

export interface Night {
  seed: number;
  board: BoardFigures;
  site: Site;
  start: Date;
  prior: SightPrior;
  truth: Truth;
  random: Random;
  hidden: (azimuthRad: number, altitudeRad: number) => boolean;
}

/** The same night after the tripod was knocked: the axis has turned by `angleRad` about a random direction. */
export const knocked = (night: Night, angleRad: number): Night => ({
  ...night,
  start: new Date(night.start.getTime() + 20 * 60_000),
  truth: { ...night.truth, axis: apply(rotationAbout(night.random.direction(), angleRad), night.truth.axis) },
});

/** What the nights assume: tilt 0.015 degree, axis in the board 2 arcminutes. */
const usualBoard: BoardFigures = {
  sigmaTiltRad: 0.015 * degree,
  sigmaAxisInBoardRad: 2 * arcminute,
  gravityRad: usualSigmas.gravityRad,
};
const sigmaCompassRad = 0.4 * degree;
const sigmaPlumbRad = 3 * arcminute;
const largestRad = 15 * arcminute;
export const minutesBetween = 3;
const lowestAltitudeRad = 15 * degree;

export function drawNight(seed: number, useCompass = true, board = usualBoard): Night {
  const { sigmaTiltRad, sigmaAxisInBoardRad } = board;
  const random = new Random(seed);
  const sign = seed % 2 === 0 ? 1 : -1;
  const latitudeRad = sign * random.between(20, 60) * degree;
  const site: Site = { latitudeRad, longitudeRad: random.between(-180, 180) * degree, elevationM: 300 };
  const start = new Date(Date.UTC(2026, 0, 1) + random.between(0, 365) * 86_400_000);
  const azimuthError = sigmaCompassRad * random.normal();
  const altitudeError = 5 * sigmaPlumbRad * random.normal();
  const boardInTurningPart = multiply(
    rotationAbout(random.direction(), random.between(0, 0.2)),
    rotationAbout([1, 0, 0], random.between(0, 2 * Math.PI)),
  );
  const axisInBoard = apply(boardInTurningPart, [1, 0, 0]);
  const lift = random.normal3(sigmaAxisInBoardRad);
  const pole = truePole(latitudeRad);
  const hiddenFrom = random.between(0, 360) * degree;
  return {
    seed,
    board,
    site,
    start,
    prior: {
      altitudeError: { valueRad: altitudeError + sigmaPlumbRad * random.normal(), sigmaRad: sigmaPlumbRad },
      azimuthError: useCompass
        ? { valueRad: azimuthError + sigmaCompassRad * random.normal(), sigmaRad: sigmaCompassRad }
        : { valueRad: 0, sigmaRad: 5 * degree },
      sigmaConeRad: largestRad / Math.sqrt(3),
      sigmaNonPerpendicularityRad: largestRad / Math.sqrt(3),
      sigmaRoundRad: sigmaRoundRad(sigmaTiltRad, sigmaAxisInBoardRad, latitudeRad),
    },
    truth: {
      axis: toNed(axisWithErrors(pole, altitudeError, azimuthError)),
      coneRad: random.between(-largestRad, largestRad),
      nonPerpendicularityRad: random.between(-largestRad, largestRad),
      boardInTurningPart,
      axisInBoardBelieved: normalise(add(axisInBoard, subtract(lift, scale(axisInBoard, dot(lift, axisInBoard))))),
      accelerometerBiasG: random.normal3(sigmaTiltRad),
    },
    random,
    hidden: (azimuthRad, altitudeRad) => {
      const nearPole = Math.abs(wrapPi(azimuthRad - pole.azimuthRad)) < 30 * degree;
      const inSector = wrapPi(azimuthRad - hiddenFrom - 60 * degree);
      return (
        altitudeRad < lowestAltitudeRad ||
        (nearPole && altitudeRad < pole.altitudeRad + 20 * degree) ||
        Math.abs(inSector) < 60 * degree
      );
    },
  };
}

export function visibleStars(night: Night, at: Date): VisibleStar[] {
  return stars.flatMap((star) => {
    const place = placeOf({ kind: 'star', star }, night.site, at);
    const seen = { altitudeRad: place.refractedAltitudeRad, azimuthRad: place.azimuthRad };
    if (night.hidden(seen.azimuthRad, seen.altitudeRad) || seen.altitudeRad > 85 * degree) return [];
    return [{ star, ned: toNed(seen), hourAngleRad: place.hourAngleRad, declinationRad: place.declinationRad }];
  });
}

/** What the board and the clock give when the observer centres `seen` and holds still. */
export function takeSight(night: Night, seen: VisibleStar, side: Side, at: Date): Sight {
  const { truth, random, site, board } = night;
  const sigmas = { ...usualSigmas, gravityRad: board.gravityRad };
  const pressed = new Date(at.getTime() + usualSigmas.clockS * 1000 * random.normal());
  const later = placeOf({ kind: 'star', star: seen.star }, site, pressed);
  const star = toNed({ altitudeRad: later.refractedAltitudeRad, azimuthRad: later.azimuthRad });
  const frame = mountFrame(truth.axis);
  const exact = aimAt(frame, truth, star, side);
  const centred = miscentred(
    viewOf(frame, truth, exact),
    star,
    usualSigmas.centringRad * random.normal(),
    usualSigmas.centringRad * random.normal(),
  );
  const { axisAngleRad } = aimAt(frame, truth, centred, side);
  const turned = multiply(frame, rotationAbout([1, 0, 0], axisAngleRad));
  const inBoard = apply(truth.boardInTurningPart, apply(transpose(turned), [0, 0, -1]));
  const noise = random.normal3(sigmas.gravityRad);
  const read = add(add(inBoard, truth.accelerometerBiasG), noise);
  return {
    starNed: seen.ned,
    side,
    rollRad: rollOf(read, truth.axisInBoardBelieved, site.latitudeRad),
    sigmaRad: sigmaOfSight(sigmas, seen.declinationRad, site.latitudeRad),
    level: {
      altitudeRad: levelOf(read, truth.axisInBoardBelieved),
      sigmaRad: sigmaOfLevel(sigmas, board.sigmaTiltRad, board.sigmaAxisInBoardRad),
    },
  };
}

/** Columns: the axis, west in the north and east in the south, and upward across the axis. */
export function mountFrame(axis: Vector3): Matrix3 {
  const up: Vector3 = [0, 0, -1];
  const z = normalise(subtract(up, scale(axis, dot(up, axis))));
  const y = cross(z, axis);
  return [axis[0], y[0], z[0], axis[1], y[1], z[1], axis[2], y[2], z[2]];
}

export interface Taken {
  sight: Sight;
  seen: VisibleStar;
}

/** Takes `count` sights, each as recommended from what is known by then, or at random. */
export function takeNight(night: Night, count: number, choice: 'recommended' | 'random'): Taken[] {
  const taken: Taken[] = [];
  for (let i = 0; i < count; i += 1) {
    const at = new Date(night.start.getTime() + i * minutesBetween * 60_000);
    const used = new Set(taken.map(({ seen }) => seen.star.hip));
    const visible = visibleStars(night, at).filter(({ star }) => !used.has(star.hip));
    if (visible.length === 0) break;
    let chosen = visible[Math.floor(night.random.between(0, visible.length))];
    if (choice === 'recommended') {
      const fit =
        taken.length > 0
          ? adjustSights(
              taken.map(({ sight }) => sight),
              night.site.latitudeRad,
              night.prior,
            )
          : undefined;
      const candidates = visible.map(({ ned, hourAngleRad, declinationRad }): Candidate => ({
        starNed: ned,
        side: sideWithCounterweightBelow(hourAngleRad),
        sigmaRad: sigmaOfSight(usualSigmas, declinationRad, night.site.latitudeRad),
      }));
      const start = fit?.estimate ?? new Float64Array(unknownCount);
      const covariance = fit?.covariance ?? firstCovariance(night.prior);
      chosen = visible[rankNext(covariance, start, night.site.latitudeRad, candidates)[0].index];
    }
    taken.push({ sight: takeSight(night, chosen, sideWithCounterweightBelow(chosen.hourAngleRad), at), seen: chosen });
  }
  return taken;
}

/** Great-circle angle between the true axis and the one of the given errors. */
export const missRad = (night: Night, altitudeErrorRad: number, azimuthErrorRad: number): number =>
  angleBetweenRad(
    night.truth.axis,
    toNed(axisWithErrors(truePole(night.site.latitudeRad), altitudeErrorRad, azimuthErrorRad)),
  );

/** Square of the estimate's error in sigmas of its own 2 x 2 covariance: chi-squared with 2 degrees of freedom when honest. */
export function normalisedMiss(
  night: Night,
  estimate: {
    altitudeErrorRad: number;
    azimuthErrorRad: number;
    axisCovariance: readonly [number, number, number, number];
  },
): number {
  const [north, east, down] = night.truth.axis;
  const pole = truePole(night.site.latitudeRad);
  const hemisphere = night.site.latitudeRad >= 0 ? 1 : -1;
  const altitude = Math.asin(-down) - pole.altitudeRad - estimate.altitudeErrorRad;
  const azimuth = wrapPi(hemisphere * wrapPi(Math.atan2(east, north) - pole.azimuthRad) - estimate.azimuthErrorRad);
  const [a, b, , d] = estimate.axisCovariance;
  return (d * altitude ** 2 - 2 * b * altitude * azimuth + a * azimuth ** 2) / (a * d - b * b);
}
