import type { AxisModel } from '../../calibration/axisModel.ts';
import { arcminute, degree } from '../../calibration/angle.ts';
import { fitKnob, turnsToCorrect, type Knob, type KnobTurn } from '../../calibration/knob.ts';
import { lockShift } from '../../calibration/lock.ts';
import { polarErrors, type PolarErrors } from '../../calibration/polarAxis.ts';
import { axisSeen } from '../../calibration/swing/axisSeen.ts';
import type { Dwell, SwingSite } from '../../calibration/swing/types.ts';
import { axisDriftPerC, ownWarmthC } from '../../calibration/warmth.ts';
import { turnsWords } from '../words/instruction.ts';
import { errorOf, fullReading, type Axis } from '../words/reading.ts';

/** Errors of the polar axis as one rest shows them. */
export interface RestErrors {
  errors: PolarErrors;
  sigmaAltitudeErrorRad: number;
  sigmaAzimuthErrorRad: number;
  dwell: Dwell;
}

/** @param deviation what iron below the clip does to the compass, east positive, with its sigma */
export function errorsAtRest(
  model: AxisModel,
  site: SwingSite,
  dwell: Dwell,
  deviation: { deviationRad: number; sigmaDeviationRad: number },
): RestErrors {
  const seen = axisSeen(model.correction, model.axisInBoard, dwell);
  const azimuthRad = seen.azimuthRad + site.variationRad + deviation.deviationRad;
  const noise = lockShift(model, dwell, dwell, hemisphereOf(site));
  const perC = axisDriftPerC(model);
  const changeC = (dwell.temperatureC ?? NaN) - (model.temperatureC ?? NaN);
  const warmedC = Number.isNaN(changeC) ? ownWarmthC : changeC;
  return {
    errors: polarErrors({ ...seen, azimuthRad }, site.pole),
    sigmaAltitudeErrorRad: Math.hypot(
      model.sigmaAltitudeRad,
      noise.sigmaAltitudeShiftRad * Math.SQRT1_2,
      perC.altitudeRad * warmedC,
    ),
    sigmaAzimuthErrorRad: Math.hypot(
      model.sigmaMagneticAzimuthRad,
      site.sigmaVariationRad,
      deviation.sigmaDeviationRad,
      noise.sigmaAzimuthShiftRad * Math.SQRT1_2,
      perC.azimuthRad * warmedC,
    ),
    dwell,
  };
}

export const hemisphereOf = ({ pole }: SwingSite): 'north' | 'south' =>
  Math.cos(pole.azimuthRad) >= 0 ? 'north' : 'south';

/** A nudge is done at an arcminute and a half, or a third of what is known. */
const doneRad = 1.5 * arcminute;
const mostNudges = 4;

/** What the hands need to nudge: turn a bolt and let the mount rest, then say what the board shows. */
interface Nudging {
  model: AxisModel;
  site: SwingSite;
  turnBolt(axis: Axis, turns: number): Promise<RestErrors>;
  tell(line: string): void;
}

/** Learns each bolt by a turn of it, then turns the errors away; follows nothing but the errors shown. */
export async function nudge(
  { model, site, turnBolt, tell }: Nudging,
  first: RestErrors,
): Promise<{ last: RestErrors; knobs: Record<Axis, Knob> }> {
  let now = first;
  const knobs: Partial<Record<Axis, Knob>> = {};
  for (const axis of ['azimuth', 'altitude'] as const) {
    const made: KnobTurn[] = [];
    const turn = async (turns: number): Promise<Knob> => {
      const before = now;
      now = await turnBolt(axis, turns);
      const shift = lockShift(model, before.dwell, now.dwell, hemisphereOf(site));
      const [shiftRad, sigmaShiftRad] =
        axis === 'altitude'
          ? [shift.altitudeShiftRad, shift.sigmaAltitudeShiftRad]
          : [shift.azimuthShiftRad, shift.sigmaAzimuthShiftRad];
      made.push({ turns, shiftRad, sigmaShiftRad });
      tell(`${axis} bolt ${turnsWords(turns)} ${turns > 0 ? 'forward' : 'back'}: ${shown(axis, now)}`);
      return fitKnob(made);
    };
    tell(`${axis}: ${shown(axis, now)}`);
    let knob = await turn(1);
    for (let i = 0; i < mostNudges && Math.abs(errorOf(axis, now.errors)) > nearEnough(axis, now); i += 1) {
      knob = await turn(turnsToCorrect(knob, errorOf(axis, now.errors)));
    }
    knobs[axis] = knob;
  }
  return { last: now, knobs: knobs as Record<Axis, Knob> };
}

const sigmaOf = (axis: Axis, { sigmaAltitudeErrorRad, sigmaAzimuthErrorRad }: RestErrors): number =>
  axis === 'altitude' ? sigmaAltitudeErrorRad : sigmaAzimuthErrorRad;
const nearEnough = (axis: Axis, now: RestErrors): number => Math.max(doneRad, sigmaOf(axis, now) / 3);

/** `41′ east, give or take 50′`. */
export function shown(axis: Axis, now: RestErrors): string {
  const [errorDeg, sigmaDeg] = [errorOf(axis, now.errors) / degree, sigmaOf(axis, now) / degree];
  const unit = Math.abs(errorDeg) >= 1 ? '°' : '′';
  return fullReading(axis, errorDeg, sigmaDeg, unit, 2 * sigmaDeg >= 1 ? '°' : '′');
}
