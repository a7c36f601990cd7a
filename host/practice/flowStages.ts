import type { AxisModel } from '../../calibration/axisModel.ts';
import { degree } from '../../calibration/angle.ts';
import type { Gate } from '../../calibration/gate.ts';
import type { LockShift } from '../../calibration/lock.ts';
import type { StandoffResult } from '../../calibration/standoff/types.ts';
import { deviationOn } from '../../calibration/standoff/fitStandoff.ts';
import { DwellFinder } from '../../calibration/swing/dwell.ts';
import type { TimedReading } from '../../calibration/swing/timedReading.ts';
import type { SwingResult } from '../../calibration/swing/types.ts';
import { fitTumble } from '../../calibration/tumble/fit.ts';
import type { TumbleCalibration, TumbleResult } from '../../calibration/tumble/types.ts';
import { exitCode, Failure } from '../failure.ts';
import { LockStep, lockWords } from '../steps/lockStep.ts';
import { errorsAtRest, hemisphereOf, nudge, shown, type RestErrors } from '../steps/nudge.ts';
import { StandoffStep } from '../steps/standoffStep.ts';
import { standoffWords } from '../steps/standoffWords.ts';
import { swingWords } from '../steps/swingReport.ts';
import { SwingStep } from '../steps/swingStep.ts';
import { gateWords } from '../words/gate.ts';
import { bandSigmas } from '../words/reading.ts';
import type { Stage, WholeFlow } from './flow.ts';
import { texts } from './words.ts';

const spacersMm = [120, 60, 0];
const stayOnMm = 120;
const unheard = (): void => {};

/** The board is turned in the hand. Throws Failure when the tumble is refused. */
export async function tumbled({ act, site, tell }: Stage): Promise<TumbleResult & { calibration: TumbleCalibration }> {
  tell(texts.tumble);
  const readings: TimedReading[] = [];
  await act(
    (hands) => hands.tumble({ durationS: 30 }),
    (sample) => readings.push(sample),
  );
  const tumble = fitTumble(readings, { site });
  const { calibration } = tumble;
  if (!tumble.accepted || !calibration) throw refused('tumble', tumble);
  const giveOrTake = (sigmaRad: number): string => ((bandSigmas * sigmaRad) / degree).toFixed(2);
  tell(texts.knowsVertical(giveOrTake(calibration.sigmaTiltRad), giveOrTake(calibration.sigmaHeadingRad)));
  return { ...tumble, calibration };
}

/** Clipped on, slightly crooked, on a spacer. Throws Failure when the swing is refused. */
export async function swung(
  { act, site, tell, useModel }: Stage,
  calibration: TumbleCalibration,
): Promise<SwingResult> {
  tell(texts.swing);
  const step = new SwingStep(calibration, { site });
  await act((hands) => {
    hands.clip();
    return hands.setSpacer(stayOnMm);
  }, unheard);
  await act(
    (hands) => hands.swing({ arcRad: 300 * degree, dwells: 9, restS: 1.5 }),
    (sample) => step.offer(sample),
  );
  const swing = step.finish();
  if (!swing.accepted) throw refused('swing', swing);
  for (const line of swingWords(swing)) tell(line);
  useModel(swing.axisModel);
  return swing;
}

/** How the board stands on the spacer on which it stays, and what iron is left there. */
export interface Standing {
  model: AxisModel;
  deviation: ReturnType<typeof deviationOn>;
}

/** The same on shorter spacers. Throws Failure when the stand-off is refused for more than the deviation itself. */
export async function stoodOff(
  { act, site, tell }: Stage,
  swing: SwingResult,
): Promise<{ standoff: StandoffResult; standing: Standing }> {
  tell(texts.standoff);
  const model = swing.axisModel;
  const step = new StandoffStep(model, { site, isTurningIronKnown: true });
  for (const millimetres of spacersMm) {
    await act(
      (hands) => hands.setSpacer(millimetres),
      (sample) => step.offer(sample),
    );
    step.onSpacer(millimetres);
    await act(
      (hands) => hands.rest(2.2),
      (sample) => step.offer(sample),
    );
  }
  const standoff = step.finish();
  if (!standoff.accepted && standoff.gates.some(({ verdict, unit }) => verdict === 'stop' && unit !== 'deg')) {
    throw refused('stand-off', standoff);
  }
  for (const line of standoffWords(standoff)) tell(line);
  await act((hands) => hands.setSpacer(stayOnMm), unheard);
  const deviation = deviationOn(standoff, stayOnMm / 1000);
  tell(texts.stays(stayOnMm / 10, (Math.abs(deviation.deviationRad) / degree).toFixed(2)));
  // the stand-off has measured what the swing could only allow for
  const sigmaMagneticAzimuthRad = Math.sqrt(model.sigmaMagneticAzimuthRad ** 2 - swing.sigmaPlaceAzimuthRad ** 2);
  return { standoff, standing: { model: { ...model, sigmaMagneticAzimuthRad }, deviation } };
}

/** A turn of each bolt shows what it does; then the errors are taken out in turns. */
export async function nudgedHome(
  stage: Stage,
  standing: Standing,
): Promise<Pick<WholeFlow, 'first' | 'nudged' | 'knobs'>> {
  const { act, site, tell } = stage;
  tell(texts.nudge);
  const first = await restErrors(stage, standing);
  const { last: nudged, knobs } = await nudge(
    {
      model: standing.model,
      site,
      tell,
      turnBolt: async (axis, turns) => {
        await act((hands) => {
          hands.turnBolt(axis, turns);
          return hands.rest(0.5);
        }, unheard);
        return restErrors(stage, standing);
      },
    },
    first,
  );
  return { first, nudged, knobs };
}

/** A rest, the bolts are tightened, a rest. */
export async function lockedUp(stage: Stage, standing: Standing): Promise<{ lock: LockShift; locked: RestErrors }> {
  const { act, site, tell } = stage;
  tell(texts.lock);
  const step = new LockStep(standing.model, hemisphereOf(site));
  await act(
    (hands) => hands.rest(2),
    (sample) => step.offer(sample),
  );
  step.locking();
  await act(
    (hands) => {
      hands.lock('altitude');
      hands.lock('azimuth');
      return hands.rest(2);
    },
    (sample) => step.offer(sample),
  );
  const lock = step.finish();
  tell(lockWords(lock));
  const locked = await restErrors(stage, standing);
  tell(texts.azimuthCounts);
  tell(texts.atTheEnd(shown('altitude', locked), shown('azimuth', locked)));
  return { lock, locked };
}

async function restErrors({ act, site }: Stage, { model, deviation }: Standing): Promise<RestErrors> {
  const finder = new DwellFinder();
  await act(
    (hands) => hands.rest(2),
    (sample) => finder.offer(sample),
  );
  finder.close();
  const dwell = finder.dwells.at(-1);
  if (!dwell) throw new Failure(exitCode.refused, 'The mount did not come to rest.', 'Take the hands off the mount.');
  return errorsAtRest(model, site, dwell, deviation);
}

function refused(step: string, { gates }: { gates: readonly Gate[] }): Failure {
  const stop = gates.find(({ verdict }) => verdict === 'stop');
  return new Failure(
    exitCode.refused,
    `The ${step} was refused: ${stop ? gateWords(stop) : 'the readings cannot be fitted.'}`,
    'Try another --seed.',
  );
}
