import { asTyped } from '../../words/asTyped.ts';
import type { AnswerPart } from '../../../calibration/answer.ts';
import { ageWords, entryWords, partNames } from '../../night/nightReport.ts';
import { axisWords } from '../../steps/sightReport.ts';
import type { StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { axisRows, sized } from './giveOrTake.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';

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
    const blank = blankView(this.name, 'Answer of the night');
    const answer = carried.answer();
    if (!answer)
      return {
        ...blank,
        toDo: ['The log is empty. Take sights of stars, the shadow of the Sun, or the drift of a star.'],
        howSure: "This joins all of tonight's measurements, each with its weight and age.",
      };
    const { axisCovariance, distanceRad, sigmaDistanceRad, parts, agreement } = answer;
    return {
      ...blank,
      status: carried.isCarrying ? 'done' : 'under way',
      figure: sized(distanceRad, sigmaDistanceRad).split(',')[0],
      toDo: [
        axisWords(answer)[1],
        carried.isNudging
          ? 'The bolts are turning: the answer follows once they rest.'
          : carried.isCarrying
            ? 'The needles carry this answer while you turn the bolts.'
            : 'So far the needles use the compass only.',
        ...(agreement < disagreement ? ['Caution: the measurements disagree. Repeat the most reliable one.'] : []),
      ],
      measured: [
        ...axisRows({ ...answer, axisCovariance }),
        { label: 'From the pole', value: sized(distanceRad, sigmaDistanceRad) },
        ...parts.map((part) => ({
          label: `${partNames[part.kind]}, ${ageWords(part.ageS)} ago`,
          value: weightWords(part),
        })),
        ...carried.log.entries
          .slice(-lastEntries)
          .map((entry) => ({ label: `${entry.timeUtc.slice(11, 16)} UTC`, value: entryWords(entry) })),
      ],
      howSure: `"Give or take" holds 19 times in 20. Azimuth counts along the horizon; on the sky it is less, by the cosine of the altitude. Nudges that you did not report count only as far as the needles noticed them.`,
      next: asTyped(
        'To print the night sheet: More, print the night sheet. Elsewhere: lodepole night --html night.html',
      ),
      actions: [{ name: 'forget', label: 'The tripod was knocked: start again', isMain: false }],
    };
  }

  /** What was measured stays in the log and counts no more; the compass, read anew, takes its place. */
  async act(): Promise<void> {
    const { carried } = this.night;
    carried.release();
    const shown = await this.night.atRest();
    await carried.log.keep(this.night.compassOf(shown), {
      replacesEarlier: true,
      words: 'Earlier measurements were discarded.',
    });
  }
}

const weightWords = ({ altitudeWeight, azimuthWeight }: AnswerPart): string => {
  const percent = (share: number): string => (100 * Math.max(0, share)).toFixed(0);
  return `altitude ${percent(altitudeWeight)}, azimuth ${percent(azimuthWeight)} percent`;
};
