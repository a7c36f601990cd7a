import { asTyped } from '../../words/asTyped.ts';
import type { AnswerPart } from '../../../calibration/answer.ts';
import { ageWords, entryWords, partNames } from '../../night/nightReport.ts';
import { axisWords } from '../../steps/sightReport.ts';
import type { StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { axisRows, sized } from './giveOrTake.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';
import { texts } from './words/answer.ts';

const lastEntries = 6;
/** Chance below which measurements that should agree do not. */
const disagreement = 0.01;

/** The errors of the axis from everything that was measured tonight, each with its weight and age, and the end of the log. */
export class AnswerSheet implements SheetStep {
  readonly name = 'answer';
  private readonly night: Night;

  constructor(night: Night) {
    this.night = night;
  }

  view(): StepView {
    const { carried } = this.night;
    const blank = blankView(this.name, texts.title);
    const answer = carried.answer();
    if (!answer)
      return {
        ...blank,
        toDo: [texts.logIsEmpty],
        howSure: texts.whatItJoins,
      };
    const { axisCovariance, distanceRad, sigmaDistanceRad, parts, agreement } = answer;
    return {
      ...blank,
      status: carried.isCarrying ? 'done' : 'under way',
      figure: sized(distanceRad, sigmaDistanceRad).split(',')[0],
      toDo: [
        isSettled(this.night.coming?.step) ? texts.leaveBolts : axisWords(answer)[1],
        carried.isNudging ? texts.boltsTurn : carried.isCarrying ? texts.needlesCarryIt : texts.compassOnly,
        ...(agreement < disagreement ? [texts.disagree] : []),
      ],
      measured: [
        ...axisRows({ ...answer, axisCovariance }),
        { label: texts.distance, value: sized(distanceRad, sigmaDistanceRad) },
        ...parts.map((part) => ({
          label: texts.was(partNames[part.kind], ageWords(part.ageS)),
          value: weightWords(part),
        })),
        ...carried.log.entries
          .slice(-lastEntries)
          .map((entry) => ({ label: `${entry.timeUtc.slice(11, 16)} UTC`, value: entryWords(entry) })),
      ],
      howSure: texts.whatGiveOrTakeMeans,
      next: asTyped(texts.howToPrint),
      actions: [{ name: 'forget', label: texts.knocked, isMain: false }],
    };
  }

  /** What was measured stays in the log and counts no more; the compass, read anew, takes its place. */
  async act(): Promise<void> {
    const { carried } = this.night;
    carried.release();
    const shown = await this.night.atRest();
    await carried.log.keep(this.night.compassOf(shown), {
      replacesEarlier: true,
      words: texts.discarded,
    });
  }
}

/** As near as the plan asks, or as it will get, whatever an instruction for one bolt alone would say. */
const isSettled = (step: string | undefined): boolean => step === 'observe' || step === 'sheet';

const weightWords = ({ altitudeWeight, azimuthWeight }: AnswerPart): string => {
  const percent = (share: number): string => (100 * Math.max(0, share)).toFixed(0);
  return texts.weights(percent(altitudeWeight), percent(azimuthWeight));
};
