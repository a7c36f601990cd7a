import { tubeMassKg, weightsMassKg, type Rig } from '../../../calibration/balance/rig.ts';
import {
  balanceCautions,
  balancedWords,
  balanceSteps,
  judgeBalance,
  type BalanceVerdict,
} from '../../steps/balanceReport.ts';
import { keepRig, knownRig, loadRig } from '../../store/rig.ts';
import type { Drawing, StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import type { Night } from './nightAtPage.ts';
import { fieldsOf, rigTyped } from './rigTyped.ts';
import type { SheetStep } from './sheet.ts';
import { texts } from './words/balance.ts';

const hints = {
  rig: 'barn',
  parts: texts.partsHint,
  weights: '5 90-340',
  shaft: '1.1 170',
  travel: '-60 90',
} as const;
const labels: Readonly<Record<keyof typeof hints, string>> = {
  rig: texts.nameLabel,
  parts: texts.partsLabel,
  weights: texts.weightsLabel,
  shaft: texts.shaftLabel,
  travel: texts.travelLabel,
};

/** Where dovetail and counterweights go, with a drawing to scale. */
export class BalanceSheet implements SheetStep {
  readonly name = 'balance';
  private readonly night: Night;
  private typed: StepRequest['fields'] = {};
  private judged: { rig: Rig; verdict: BalanceVerdict } | undefined;

  constructor(night: Night) {
    this.night = night;
  }

  view(): StepView {
    const blank: StepView = {
      ...blankView(this.name, texts.title),
      cautions: [...balanceCautions],
      toDo: [texts.typeEverything],
      howSure: texts.asGoodAsMeasured,
      next: texts.takeSights,
      fields: (Object.keys(hints) as (keyof typeof hints)[]).map((name) => ({
        name,
        label: labels[name],
        hint: hints[name],
        value: this.typed[name] ?? '',
      })),
      actions: [
        { name: 'balance', label: texts.balanceButton, isMain: true },
        { name: 'keep', label: texts.saveButton },
        { name: 'take', label: texts.loadButton },
      ],
    };
    if (!this.judged) return blank;
    const { rig, verdict } = this.judged;
    const { balance, accepted, reason, cures } = verdict;
    return {
      ...blank,
      status: accepted ? 'done' : 'refused',
      figure: accepted ? texts.weightAt(balance.counterweightAtMm.toFixed(0)) : texts.cannotBeBalanced,
      toDo: accepted ? balanceSteps(rig, verdict) : [reason, ...cures],
      measured: [
        { label: texts.onTheTubeSide, value: texts.kilograms(tubeMassKg(rig).toFixed(1)) },
        { label: texts.counterweights, value: texts.kilograms(weightsMassKg(rig).toFixed(1)) },
        { label: texts.tubeBefore, value: moment(balance.declinationMomentBeforeNm, 'sky', 'eyepiece') },
        { label: texts.tubeAfter, value: moment(balance.declinationMomentAfterNm, 'sky', 'eyepiece') },
      ],
      drawing: drawingOf(rig, verdict),
    };
  }

  async act({ action, fields }: StepRequest): Promise<void> {
    if (action === 'take') {
      const kept = await loadRig(fields.rig ?? '');
      this.typed = fieldsOf(kept);
      this.judge(knownRig(kept));
      return;
    }
    this.typed = fields;
    const typed = rigTyped(fields);
    if (action === 'keep') await keepRig(typed);
    const verdict = this.judge(knownRig(typed));
    if (verdict.accepted) await this.night.carried.log.noteStep('balance', balancedWords(knownRig(typed), verdict));
  }

  private judge(rig: Rig): BalanceVerdict {
    const verdict = judgeBalance(rig);
    this.judged = { rig, verdict };
    return verdict;
  }
}

const moment = (nm: number, plus: string, minus: string): string =>
  Math.abs(nm) < 0.005 ? 'level' : texts.heavyEnd(Math.abs(nm).toFixed(2), nm > 0 ? plus : minus);

function drawingOf({ parts, counterweights, shaft, travelMm }: Rig, { balance }: BalanceVerdict): Drawing {
  const shiftMm = balance.dovetailShiftMm - balance.dovetailShortMm;
  const places = balance.counterweightPlacesMm;
  return {
    kind: 'rig',
    shiftMm,
    travelMm: [...travelMm],
    shaftEndMm: Math.max(2 * shaft.centreMm, ...places, ...counterweights.map(({ toMm }) => toMm)),
    parts: parts.map(({ name, massKg, alongMm, outMm }) => ({ label: name, massKg, alongMm, outMm })),
    weights: counterweights.map(({ massKg }, i) => ({ massKg, atMm: places[i] })),
  };
}
