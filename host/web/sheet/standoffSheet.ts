import { degree } from '../../../calibration/angle.ts';
import type { StandoffResult } from '../../../calibration/standoff/types.ts';
import { isIronSeen } from '../../../calibration/standoff/gates.ts';
import { exitCode, Failure } from '../../failure.ts';
import { keepStandoffDeviation } from '../../store/deviation.ts';
import { deviationWords } from '../../site/deviationWords.ts';
import { keptDeviation, standoffOptions, StandoffStep } from '../../steps/standoffStep.ts';
import { standoffWords, stayWords } from '../../steps/standoffWords.ts';
import { swingSite } from '../../site/swingSite.ts';
import { bandSigmas } from '../../words/reading.ts';
import type { StepRequest, StepView } from '../messages.ts';
import { cautions } from '../../words/cautions.ts';
import { blankView } from './blankView.ts';
import { gateWords, sized } from './giveOrTake.ts';
import { modelInUse } from './liveStep.ts';
import { cancelAction, finishAction, GatheringSheet } from './gatheringSheet.ts';
import { texts } from './words/standoff.ts';

const handsSpacersMm = [0, 50, 100];
const restS = 2.5;
const clampedIronNt = 1500;
const longestMm = 2000;

/** Iron below the clip, from rests of the board on spacers of different lengths. */
export class StandoffSheet extends GatheringSheet<StandoffStep> {
  readonly name = 'standoff';
  private result: StandoffResult | undefined;
  /** Of a virtual mount: there is something to find. */
  private hasIron = false;
  /** What came of keeping it. */
  private kept = '';

  protected override forget(): void {
    this.result = undefined;
    this.kept = '';
  }

  view(): StepView {
    const blank: StepView = {
      ...blankView(this.name, 'Stand-off'),
      howSure: texts.why,
      cautions: [cautions.spacer],
    };
    const progress = this.step?.progress();
    if (progress) {
      return {
        ...blank,
        status: 'under way',
        figure: texts.onSpacer(progress.currentMm ?? 0),
        toDo: [progress.instruction],
        fields: [{ name: 'spacer', label: texts.spacerLabel, value: '', hint: '50', number: 'plain' }],
        actions: [{ name: 'spacer', label: texts.inPlaceButton }, finishAction, cancelAction],
      };
    }
    const actions = this.beginnings(this.result ? texts.againButton : texts.startButton, texts.handsButton);
    if (this.night.session.virtual?.hands)
      actions.push({
        name: 'iron',
        label: this.hasIron ? texts.handsTakeIronAway : texts.handsClampIron,
        byHands: true,
      });
    if (this.result) return { ...blank, ...resultView(this.result), ...this.keeping(this.result, actions) };
    return {
      ...blank,
      toDo: [texts.begin],
      next: texts.skip,
      actions,
    };
  }

  protected begin(): StandoffStep {
    const { session, site } = this.night;
    const model = modelInUse(session);
    if (session.latest()?.isOffClip)
      throw new Failure(exitCode.usage, 'The board is off its clip.', 'Clip it on as it was swung, then start.');
    const step = new StandoffStep(model, standoffOptions(swingSite(site, new Date()), model.axisInBoard));
    step.onSpacer(0);
    return step;
  }

  protected override async press({ action, fields }: StepRequest): Promise<boolean> {
    if (action === 'spacer') this.step?.onSpacer(lengthOf(fields.spacer));
    else if (action === 'iron') await this.clampIron();
    else if (action === 'keep') await this.keep(lengthOf(fields.stay));
    else return false;
    return true;
  }

  /** On a mount that is not invented, what the board is left with can be kept with the site. */
  private keeping(result: StandoffResult, actions: StepView['actions']): Partial<StepView> {
    if (!result.accepted) return { next: texts.measureAgain, actions };
    if (!isTurned(result)) return { next: texts.thenNudge, actions };
    if (!this.night.session.moveTo)
      return {
        next: texts.couldSave,
        actions,
      };
    if (this.kept !== '') return { next: this.kept, actions };
    return {
      next: texts.typeAndSave,
      fields: [
        {
          name: 'stay',
          label: texts.staysLabel,
          value: '0',
          hint: texts.staysHint,
          number: 'plain',
        },
      ],
      actions: [...actions, { name: 'keep', label: texts.saveButton }],
    };
  }

  private async clampIron(): Promise<void> {
    const { hands } = this.night;
    this.hasIron = !this.hasIron;
    this.result = undefined;
    hands.clampIron(this.hasIron ? clampedIronNt : 0);
    await hands.whenDone();
  }

  private async keep(stayOnMm: number): Promise<void> {
    if (!this.result) return;
    const deviation = keptDeviation(this.result, stayOnMm, new Date());
    const site = await keepStandoffDeviation(this.night.site, deviation);
    this.kept = `${deviationWords({ ...deviation, foundBy: 'a stand-off' })} ${stayWords(stayOnMm)}`;
    await this.night.moveTo(site);
  }

  protected async byHands(): Promise<void> {
    const { hands } = this.night;
    for (const millimetres of handsSpacersMm) {
      if (millimetres > 0) {
        hands.setSpacer(millimetres);
        await hands.whenDone();
        this.step?.onSpacer(millimetres);
      }
      hands.rest(restS);
      await hands.whenDone();
    }
    await this.finish();
    hands.setSpacer(0);
  }

  protected conclude(result: StandoffResult): void {
    this.kept = '';
    this.result = result;
  }
}

function lengthOf(text = ''): number {
  const millimetres = text.trim() === '' ? NaN : Number(text);
  if (millimetres >= 0 && millimetres <= longestMm) return millimetres;
  throw new Failure(exitCode.usage, 'That is not a spacer length.', 'Type its millimetres, for example 50.');
}

const isTurned = ({ deviationRad, sigmaDeviationRad }: StandoffResult): boolean =>
  Math.abs(deviationRad) > bandSigmas * sigmaDeviationRad;

function resultView(result: StandoffResult): Partial<StepView> {
  if (!result.isTelling) return { status: 'refused', toDo: result.gates.slice(0, 1).map(gateWords) };
  const { deviationRad, sigmaDeviationRad, distanceM } = result;
  const turns = isTurned(result);
  const isSeen = turns || isIronSeen(result);
  const words = standoffWords(result);
  const checks = result.gates.filter(({ verdict }) => verdict !== 'ok').map(gateWords);
  return {
    status: result.accepted ? 'done' : 'refused',
    figure: turns ? `${(Math.abs(deviationRad) / degree).toFixed(2)}°` : isSeen ? texts.hardlyTurned : texts.noIron,
    toDo: result.accepted ? [...words, ...checks] : [...checks, ...words],
    measured: [
      { label: texts.compassError, value: sized(deviationRad, sigmaDeviationRad) },
      ...(isSeen ? [{ label: texts.ironBelow, value: texts.about((distanceM * 100).toFixed(0)) }] : []),
    ],
  };
}
