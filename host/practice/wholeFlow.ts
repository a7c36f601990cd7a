import type { AxisModel } from '../../calibration/axisModel.ts';
import { degree } from '../../calibration/angle.ts';
import type { Gate } from '../../calibration/gate.ts';
import type { Knob } from '../../calibration/knob.ts';
import type { LockShift } from '../../calibration/lock.ts';
import type { StandoffResult } from '../../calibration/standoff/types.ts';
import { deviationOn } from '../../calibration/standoff/fitStandoff.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import { DwellFinder } from '../../calibration/swing/dwell.ts';
import type { SwingResult, SwingSite } from '../../calibration/swing/types.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import type { TumbleResult } from '../../calibration/tumble/types.ts';
import type { VirtualHands } from '../../firmware-proto/virtual/hands.ts';
import { exitCode, Failure } from '../failure.ts';
import { gateWords } from '../words/gate.ts';
import { bandSigmas, type Axis } from '../words/reading.ts';
import { LockStep, lockWords } from '../steps/lockStep.ts';
import { errorsAtRest, hemisphereOf, nudge, shown, type RestErrors } from '../steps/nudge.ts';
import { StandoffStep } from '../steps/standoffStep.ts';
import { standoffWords } from '../steps/standoffWords.ts';
import { swingWords } from '../steps/swingReport.ts';
import { SwingStep } from '../steps/swingStep.ts';

/** Lets the hands do something and hands over every sample of the board until they are done. */
export type Act = (
  gesture: (hands: VirtualHands) => unknown,
  onSample: (sample: TimedReading) => void,
) => Promise<void>;

export interface Stage {
  act: Act;
  site: SwingSite;
  /** Tells the onlooker what was found and what comes next. */
  tell(line: string): void;
  /** The swing is done: needles may use it. */
  useModel(model: AxisModel): void;
}

export interface WholeFlow {
  tumble: TumbleResult;
  swing: SwingResult;
  standoff: StandoffResult;
  /** As the board shows them: before the nudges, after them, and after locking. */
  first: RestErrors;
  nudged: RestErrors;
  locked: RestErrors;
  lock: LockShift;
  knobs: Record<Axis, Knob>;
}

const spacersMm = [120, 60, 0];
const stayOnMm = 120;

/**
 * The whole evening at the mount: tumble, clip on, swing, stand-off, nudge, lock, with hands that follow nothing but what the
 * board's samples say. Throws Failure when a step is refused.
 */
export async function wholeFlow({ act, site, tell, useModel }: Stage): Promise<WholeFlow> {
  tell('TUMBLE: the board is turned in the hand, away from iron, so that every side has faced up.');
  const readings: TimedReading[] = [];
  await act(
    (hands) => hands.tumble({ durationS: 30 }),
    (sample) => readings.push(sample),
  );
  const tumble = fitTumble(readings, { site });
  const { calibration } = tumble;
  if (!tumble.accepted || !calibration) throw refused('tumble', tumble);
  tell(
    `The board now knows the vertical, give or take ${((bandSigmas * calibration.sigmaTiltRad) / degree).toFixed(2)} degrees, and ` +
      `magnetic north, give or take ${((bandSigmas * calibration.sigmaHeadingRad) / degree).toFixed(2)}.`,
  );

  tell('SWING: clipped on, askew as clips are, on a wooden spacer; the axis is turned from rest to rest.');
  const swingStep = new SwingStep(calibration, { site });
  await act(
    (hands) => {
      hands.clip();
      return hands.setSpacer(stayOnMm);
    },
    () => {},
  );
  await act(
    (hands) => hands.swing({ arcRad: 300 * degree, dwells: 9, restS: 1.5 }),
    (sample) => swingStep.offer(sample),
  );
  const swing = swingStep.finish();
  if (!swing.accepted) throw refused('swing', swing);
  for (const line of swingWords(swing)) tell(line);
  const model = swing.axisModel;
  useModel(model);

  tell('STAND-OFF: the same on shorter spacers, to see what the iron of the tripod does.');
  const standoffStep = new StandoffStep(model, { site, isTurningIronKnown: true });
  for (const millimetres of spacersMm) {
    await act(
      (hands) => hands.setSpacer(millimetres),
      (sample) => standoffStep.offer(sample),
    );
    standoffStep.onSpacer(millimetres);
    await act(
      (hands) => hands.rest(2.2),
      (sample) => standoffStep.offer(sample),
    );
  }
  const standoff = standoffStep.finish();
  if (!standoff.accepted && standoff.gates.some(({ verdict, unit }) => verdict === 'stop' && unit !== 'deg')) {
    throw refused('stand-off', standoff);
  }
  for (const line of standoffWords(standoff)) tell(line);
  await act(
    (hands) => hands.setSpacer(stayOnMm),
    () => {},
  );
  const deviation = deviationOn(standoff, stayOnMm / 1000);
  tell(
    `The board stays on the spacer of ${stayOnMm / 10} cm; the ${(Math.abs(deviation.deviationRad) / degree).toFixed(2)} degrees ` +
      'that are left there are counted in from now on.',
  );
  // the stand-off has measured what the swing could only allow for
  const settled: AxisModel = {
    ...model,
    sigmaMagneticAzimuthRad: Math.sqrt(model.sigmaMagneticAzimuthRad ** 2 - swing.sigmaPlaceAzimuthRad ** 2),
  };

  const restErrors = async (): Promise<RestErrors> => {
    const finder = new DwellFinder();
    await act(
      (hands) => hands.rest(2),
      (sample) => finder.offer(sample),
    );
    finder.close();
    const dwell = finder.dwells.at(-1);
    if (!dwell) throw new Failure(exitCode.refused, 'The mount did not come to rest.', 'Take the hands off the mount.');
    return errorsAtRest(settled, site, dwell, deviation);
  };

  tell('NUDGE: a turn of each bolt shows what it does; then the error is taken away in turns.');
  const first = await restErrors();
  const { last: nudged, knobs } = await nudge(
    {
      model: settled,
      site,
      tell,
      turnBolt: async (axis, turns) => {
        await act(
          (hands) => {
            hands.turnBolt(axis, turns);
            return hands.rest(0.5);
          },
          () => {},
        );
        return restErrors();
      },
    },
    first,
  );

  tell('LOCK: a rest, the bolts are tightened, a rest.');
  const lockStep = new LockStep(settled, hemisphereOf(site));
  await act(
    (hands) => hands.rest(2),
    (sample) => lockStep.offer(sample),
  );
  lockStep.locking();
  await act(
    (hands) => {
      hands.lock('altitude');
      hands.lock('azimuth');
      return hands.rest(2);
    },
    (sample) => lockStep.offer(sample),
  );
  const lock = lockStep.finish();
  tell(lockWords(lock));
  const locked = await restErrors();
  tell('Azimuth counts along the horizon; on the sky it is less, by the cosine of the altitude.');
  tell(`At the end: altitude ${shown('altitude', locked)}; azimuth ${shown('azimuth', locked)}.`);
  return { tumble, swing, standoff, first, nudged, locked, lock, knobs };
}

function refused(step: string, { gates }: { gates: readonly Gate[] }): Failure {
  const stop = gates.find(({ verdict }) => verdict === 'stop');
  return new Failure(
    exitCode.refused,
    `The ${step} was refused: ${stop ? gateWords(stop) : 'the readings cannot be fitted.'}`,
    'Try another --seed.',
  );
}
