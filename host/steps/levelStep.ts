import { correct } from '../../calibration/correction.ts';
import { degree } from '../../calibration/angle.ts';
import { decisive } from '../../calibration/gate.ts';
import { fitLevel, type LevelPlace, type LevelResult, type LyingReading } from '../../calibration/level.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import { DwellFinder, longestDwell } from '../../calibration/swing/dwell.ts';
import type { Dwell } from '../../calibration/swing/types.ts';
import type { TumbleCalibration } from '../../calibration/tumble/types.ts';
import { exitCode, Failure } from '../failure.ts';
import { fieldAt } from '../site/field.ts';
import type { Site } from '../site/site.ts';
import { bandSigmas } from '../words/reading.ts';
import type { Step } from './step.ts';
import { texts } from './words/level.ts';

interface LevelProgress {
  position: 'north' | 'south';
  restCounts: boolean;
  instruction: string;
}

export interface LevelKnown {
  place: LevelPlace;
  /** Taken out of the readings; reversal does without. */
  correction: TumbleCalibration['correction'];
  /** A tumble's, so that each reading of the field has a heading of its own. */
  isFieldCalibrated: boolean;
}

/** The board lies on the base, however that slopes; in its clip it mostly stands steeper (30 degrees). */
const leastUpwardG = Math.cos(30 * degree);

/** Gathers the board lying on the base with x toward north, then turned by half a turn. */
export class LevelStep implements Step<LevelProgress, LevelResult> {
  private readonly known: LevelKnown;
  private north: Dwell | undefined;
  private finder = new DwellFinder();
  private position: 'north' | 'south' = 'north';

  constructor(known: LevelKnown) {
    this.known = known;
  }

  offer(sample: TimedReading): void {
    this.finder.offer(sample);
  }

  /** The board was turned by half a turn: x toward south. */
  turn(): void {
    this.finder.close();
    this.north = longestDwell(this.lying());
    this.finder = new DwellFinder();
    this.position = 'south';
  }

  progress(): LevelProgress {
    const restCounts = this.finder.restIsLong() && this.isLying(this.finder.dwells.at(-1)!);
    return {
      position: this.position,
      restCounts,
      instruction: !restCounts
        ? texts.layFlat(this.position)
        : this.position === 'north'
          ? texts.turnRound
          : texts.finish,
    };
  }

  finish(): LevelResult {
    this.finder.close();
    return fitLying(this.north, longestDwell(this.lying()), this.known);
  }

  /** Rests on the base; those in the hand or in the clip are no reading of it. */
  private lying(): readonly Dwell[] {
    return this.finder.dwells.filter((dwell) => this.isLying(dwell));
  }

  private isLying({ accelG }: Dwell): boolean {
    return correct(this.known.correction.accelerometer, accelG)[2] > leastUpwardG;
  }
}

/** As `fitLevel`, with what is missing told as something to do. `hasField`: false where the dwells' field means nothing. */
export function fitLying(
  north: Dwell | undefined,
  south: Dwell | undefined,
  { correction, place, isFieldCalibrated }: LevelKnown,
  hasField = true,
): LevelResult {
  if (!north || !south) {
    throw new Failure(
      exitCode.refused,
      `No rest was found with x toward ${north ? 'south' : 'north'}.`,
      'Let the board lie still for two seconds with x toward north. Turn it by half a turn and repeat.',
    );
  }
  const [a, b] = [north, south].map((dwell): LyingReading => ({
    accelG: correct(correction.accelerometer, dwell.accelG),
    sigmaAccelG: dwell.sigmaAccelG,
    ...(hasField && { fieldNt: correct(correction.magnetometer, dwell.fieldNt), isFieldCalibrated }),
  }));
  return fitLevel(a, b, place);
}

/** What the level needs to know of a site. */
export function levelPlace(site: Site, date: Date): LevelPlace {
  const { fieldNt, dipRad, variationRad } = fieldAt(site, date);
  return { poleAltitudeRad: Math.abs(site.latitudeRad), fieldNt, dipRad, variationRad };
}

/** Which side is high, what that does, and what to do about it; nothing of it where the measurement is refused. */
export function levelWords({
  accepted,
  northHighRad,
  eastHighRad,
  tiltRad,
  sigmaTiltRad,
  turnRad,
  altitudePerAzimuth,
  azimuthPerAltitude,
  gates,
}: LevelResult): string[] {
  if (!accepted) return [];
  const side = (rad: number, high: string, low: string): string =>
    texts.higher((Math.abs(rad) / degree).toFixed(2), rad >= 0 ? high : low);
  const words = [
    texts.tilt(
      side(northHighRad, 'north', 'south'),
      side(eastHighRad, 'east', 'west'),
      ((2 * sigmaTiltRad) / degree).toFixed(2),
      turnRad === undefined,
    ),
  ];
  words.push(couplingWords(altitudePerAzimuth, azimuthPerAltitude, sigmaTiltRad));
  const caution = decisive(gates);
  if (caution) words.push(caution.nextAction);
  else if (tiltRad > 0.25 * degree) words.push(texts.leaveIt);
  else words.push(texts.levelEnough);
  return words;
}

/** A coupling below this is not felt: arcminutes for each degree. */
const feltArcminutes = 0.5;

/** What a degree on one adjuster does to the other axis, or at most where the tilt is hardly more than its own uncertainty. */
function couplingWords(altitudePerAzimuth: number, azimuthPerAltitude: number, sigmaTiltRad: number): string {
  const arcminutes = (share: number): string => texts.arcminutes((Math.abs(share) * 60).toFixed(1));
  const larger = Math.max(Math.abs(altitudePerAzimuth), Math.abs(azimuthPerAltitude));
  const bandRad = bandSigmas * sigmaTiltRad;
  const most = larger + bandRad * (larger / Math.abs(altitudePerAzimuth) || 1);
  if (most * 60 < feltArcminutes) return texts.independent;
  if (larger * 60 < feltArcminutes || Math.abs(altitudePerAzimuth) < bandRad)
    return texts.weakCoupling(arcminutes(most));
  return texts.coupling(
    altitudePerAzimuth > 0,
    arcminutes(altitudePerAzimuth),
    arcminutes(azimuthPerAltitude),
    azimuthPerAltitude > 0,
  );
}
