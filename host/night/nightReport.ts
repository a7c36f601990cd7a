import type { Answer, AnswerPart } from '../../calibration/answer.ts';
import { degree } from '../../calibration/angle.ts';
import { inDeg, rounded } from '../words/figures.ts';
import type { NightEntry } from './nightEntry.ts';
import { bandSigmas, plainAngle, sideOf, sideWords, type Axis } from '../words/reading.ts';
import { proofWords, rungsOf } from './rungs.ts';
import { axisJson, axisWords } from '../steps/sightReport.ts';
import { texts } from './words.ts';

export const partNames: Readonly<Record<AnswerPart['kind'], string>> = {
  compass: 'Compass',
  sights: 'Sights',
  drift: 'Drift',
  sun: 'Sun by shadow',
};

/** "40 s", "12 min", "2.5 h". */
export function ageWords(ageS: number): string {
  if (ageS < 100) return `${ageS.toFixed(0)} s`;
  return ageS < 6000 ? `${(ageS / 60).toFixed(0)} min` : `${(ageS / 3600).toFixed(1)} h`;
}

/** Beyond this a component was not measured. */
const openDeg = 5;

function errorWords(axis: Axis, errorDeg: number, sigmaDeg: number): string {
  if (sigmaDeg > openDeg) return texts.notKnown(axis);
  const band = bandSigmas * sigmaDeg;
  return `${axis} ${sideWords(axis, errorDeg, band)}, give or take ${plainAngle(band, band)}`;
}

const shiftWords = (axis: Axis, shiftDeg: number): string =>
  `${plainAngle(shiftDeg, 0.02)} ${axis === 'altitude' ? (shiftDeg >= 0 ? 'up' : 'down') : `toward ${sideOf(axis, shiftDeg)}`}`;

/** `altitude 2′ low, give or take 3′; azimuth not known`. */
export const errorsWords = (errors: {
  altitudeErrorDeg: number;
  azimuthErrorDeg: number;
  sigmaAltitudeErrorDeg: number;
  sigmaAzimuthErrorDeg: number;
}): string =>
  [
    errorWords('altitude', errors.altitudeErrorDeg, errors.sigmaAltitudeErrorDeg),
    errorWords('azimuth', errors.azimuthErrorDeg, errors.sigmaAzimuthErrorDeg),
  ].join('; ');

/** One entry of the log in one line, without its time. The band is two sigmas. */
export function entryWords(entry: NightEntry): string {
  if (entry.kind === 'note') return entry.words;
  if (entry.kind === 'nudge') {
    const way = `${shiftWords('altitude', entry.altitudeShiftDeg)}, ${shiftWords('azimuth', entry.azimuthShiftDeg)}`;
    return entry.words === undefined ? texts.nudged(way) : texts.moved(way, entry.words);
  }
  return `${partNames[entry.kind]}: ${errorsWords(entry)}.${entry.words === undefined ? '' : ` ${entry.words}.`.replace('..', '.')}`;
}

export interface NightAccount {
  /** Where the night was, in words; undefined where it is not known. */
  place?: string;
  /** What the axis is to be good enough for, in words. */
  plan?: string;
  entries: readonly NightEntry[];
  answer?: Answer;
  latitudeRad?: number;
}

const partWords = ({ kind, ageS, altitudeWeight, azimuthWeight }: AnswerPart): string =>
  texts.weight(partNames[kind], ageWords(ageS), rounded(altitudeWeight, 2), rounded(azimuthWeight, 2));

/** What was found, as a record: what to do about it is said by the next step, which weighs it against what a nudge can do. */
export const answerWords = (answer: Answer): string[] => [
  axisWords(answer)[0],
  texts.azimuthCounts,
  ...answer.parts.map(partWords),
];

/** The last line, in plain words: how far from the pole, how sure, how it was proved. */
export function conclusionOf({ entries, answer }: NightAccount): string {
  if (!answer) return texts.notMeasured;
  const band = (bandSigmas * answer.sigmaDistanceRad) / degree;
  const distance = answer.distanceRad / degree;
  const far =
    distance > band
      ? texts.fromPole(plainAngle(distance, band), plainAngle(band, band))
      : texts.withinPole(plainAngle(distance + band, band));
  return texts.axisStands(far, proofWords(entries));
}

/** The log as lines of text: times, what was measured, and where the axis stands now. */
export function nightText(account: NightAccount): string[] {
  const { place, entries, answer } = account;
  if (entries.length === 0) return [texts.nothingMeasured];
  return [
    ...(place === undefined ? [] : [place]),
    texts.theNight(entries[0].timeUtc.slice(0, 10)),
    ...entries.map((entry) => `${entry.timeUtc.slice(11, 19)}  ${entryWords(entry)}`),
    ...(answer ? ['', ...answerWords(answer), conclusionOf(account)] : []),
  ];
}

export function nightJson(account: NightAccount): Record<string, unknown> {
  const { place, plan, entries, answer, latitudeRad } = account;
  return {
    kind: 'night',
    ...(place !== undefined && { place }),
    ...(plan !== undefined && { plan }),
    ...(answer &&
      latitudeRad !== undefined && {
        ...axisJson(answer, latitudeRad),
        agreement: rounded(answer.agreement, 4),
        parts: answer.parts.map((part) => ({
          kind: part.kind,
          ageS: rounded(part.ageS, 1),
          altitudeWeight: rounded(part.altitudeWeight),
          azimuthWeight: rounded(part.azimuthWeight),
          altitudeErrorDeg: inDeg(part.altitudeErrorRad),
          azimuthErrorDeg: inDeg(part.azimuthErrorRad),
        })),
      }),
    entries: entries.map((entry) => ({ ...entry, said: entryWords(entry) })),
    rungs: (latitudeRad === undefined ? [] : rungsOf(entries, latitudeRad)).map(({ timeUtc, name, answer: then }) => ({
      timeUtc,
      name,
      altitudeErrorDeg: inDeg(then.altitudeErrorRad),
      sigmaAltitudeErrorDeg: inDeg(Math.sqrt(then.axisCovariance[0])),
      azimuthErrorDeg: inDeg(then.azimuthErrorRad),
      sigmaAzimuthErrorDeg: inDeg(Math.sqrt(then.axisCovariance[3])),
      distanceDeg: inDeg(then.distanceRad),
      sigmaDistanceDeg: inDeg(then.sigmaDistanceRad),
    })),
    conclusion: conclusionOf(account),
  };
}
