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

const hints = {
  rig: 'barn',
  parts: 'tube 5.2 40 180; camera 0.9 -330 180',
  weights: '5 90-340',
  shaft: '1.1 170',
  travel: '-60 90',
} as const;
const labels: Readonly<Record<keyof typeof hints, string>> = {
  rig: 'Name of the rig',
  parts: 'Parts: name, kg, mm along the tube (sky end +), mm from the RA axis',
  weights: 'Counterweights: kg, from-to in mm',
  shaft: 'Shaft: kg, mm to its middle',
  travel: 'Travel of the dovetail, mm',
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
      ...blankView(this.name, 'Balance'),
      cautions: [...balanceCautions],
      toDo: [
        'Type everything that you will use on the mount tonight, and where it sits. To load a saved rig, type its name.',
      ],
      howSure: 'The result is as good as your masses and distances: weigh the parts and measure to a few millimetres.',
      next: 'Take sights of stars.',
      fields: (Object.keys(hints) as (keyof typeof hints)[]).map((name) => ({
        name,
        label: labels[name],
        hint: hints[name],
        value: this.typed[name] ?? '',
      })),
      actions: [
        { name: 'balance', label: 'Balance it', isMain: true },
        { name: 'keep', label: 'Save this rig' },
        { name: 'take', label: 'Load the saved rig' },
      ],
    };
    if (!this.judged) return blank;
    const { rig, verdict } = this.judged;
    const { balance, accepted, reason, cures } = verdict;
    return {
      ...blank,
      status: accepted ? 'done' : 'refused',
      figure: accepted ? `counterweight ${balance.counterweightAtMm.toFixed(0)} mm` : 'cannot be balanced',
      toDo: accepted ? balanceSteps(rig, verdict) : [reason, ...cures],
      measured: [
        { label: 'On the tube side', value: `${tubeMassKg(rig).toFixed(1)} kg` },
        { label: 'Counterweights', value: `${weightsMassKg(rig).toFixed(1)} kg` },
        { label: 'Tube, before', value: moment(balance.declinationMomentBeforeNm, 'sky', 'eyepiece') },
        { label: 'Tube, after', value: moment(balance.declinationMomentAfterNm, 'sky', 'eyepiece') },
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
  Math.abs(nm) < 0.005 ? 'level' : `${Math.abs(nm).toFixed(2)} Nm, ${nm > 0 ? plus : minus} end heavy`;

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
