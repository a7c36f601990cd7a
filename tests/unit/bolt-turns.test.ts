// Turns of the bolts counted by hand: whichever way they went, their play, and what the instructions make of it.
import { describe, expect, it } from 'vitest';
import { arcminute, degree } from '../../calibration/angle.ts';
import { fitKnob, type Knob } from '../../calibration/knob.ts';
import { BoltWays } from '../../host/live/boltWays.ts';
import type { LiveSession, Needles } from '../../host/live/session.ts';
import { boltTurn, countedWords, CountedTurns, playWords, type Bolts } from '../../host/live/boltTurns.ts';
import { KnobCount } from '../../host/terminal/knobCount.ts';
import { instructionWords } from '../../host/words/instruction.ts';
import { needlesAtRest } from './needlesAtRest.ts';

const radPerTurn = 1.4 * degree;
const play = 0.2;

/** Needles at rest over a mount whose altitude bolt has play. */
function playingMount() {
  let [mechanism, turned] = [0, 0];
  let arrivalS = 0;
  const turn = (turns: number): void => {
    turned += turns;
    mechanism = Math.min(Math.max(mechanism, turned - play / 2), turned + play / 2);
  };
  const needles = (): Needles => needlesAtRest(mechanism * radPerTurn, { arrivalS: (arrivalS += 1) });
  return { turn, needles };
}

describe('counting turns of a bolt with play', () => {
  it.each([
    ['forth and back', [1, 1, -1]],
    ['back first', [-1, -1, 1]],
    ['forth once, back once', [1, -1]],
  ] as const)('%s: nobody has to say which way, and the play comes out', (_, made) => {
    const { turn, needles } = playingMount();
    turn(-0.5);
    turn(0.5);
    const knobs: Bolts = {};
    const count = new KnobCount({ latest: needles, knobs } as unknown as LiveSession);
    for (const turns of made) {
      count.begin();
      turn(turns);
      count.turned('altitude');
    }
    const { altitude } = knobs;
    expect(Math.abs(altitude!.radPerTurn - radPerTurn)).toBeLessThan(2 * altitude!.sigmaRadPerTurn);
    expect(Math.abs(altitude!.radPerTurn / radPerTurn - 1)).toBeLessThan(made.length === 3 ? 0.03 : 0.15);
    expect(Math.abs(altitude!.backlashTurns - play)).toBeLessThan(2 * altitude!.sigmaBacklashTurns);
    expect(altitude!.backlashTurns).toBeLessThan(0.5);
    if (made.length === 3) expect(count.words).toMatch(/Its backlash: 0\.\d\d turn, give or take 0\.\d\d\./);
  });

  it('goes on where iron is near: the bolt turns all the same', () => {
    const { turn, needles } = playingMount();
    const knobs: Bolts = {};
    const latest = (): Needles => ({ ...needles(), state: 'disturbed' });
    const count = new KnobCount({ latest, knobs } as unknown as LiveSession);
    count.begin();
    turn(1);
    count.turned('altitude');
    expect(knobs.altitude?.radPerTurn).toBeGreaterThan(0);
  });

  it('a needle that did not move is no turn, and nothing is kept', () => {
    const { needles } = playingMount();
    const knobs: Bolts = {};
    const count = new KnobCount({ latest: needles, knobs } as unknown as LiveSession);
    count.begin();
    count.turned('azimuth');
    expect(count.words).toMatch(/azimuth needle did not move.*Press k/);
    expect(knobs).toEqual({});
  });

  it('the side that the play was on before, where it is known, is not guessed', () => {
    const shiftRad = (1 - play) * radPerTurn;
    const turned = { turns: 1, shiftRad, sigmaShiftRad: 0.5 * arcminute };
    const guessed = fitKnob([turned]);
    const known = fitKnob([{ ...turned, wayBefore: -1 as const }]);
    const takenUp = fitKnob([{ ...turned, shiftRad: radPerTurn, wayBefore: 1 as const }]);
    expect(takenUp.sigmaRadPerTurn).toBeLessThan(guessed.sigmaRadPerTurn / 4);
    expect(Math.abs(takenUp.radPerTurn / radPerTurn - 1)).toBeLessThan(1e-6);
    // the whole of an unknown play is lost on the way back
    expect(known.radPerTurn).toBeGreaterThan(guessed.radPerTurn);
  });

  it('says what is not known yet, and how to find it', () => {
    const turns = new CountedTurns();
    const { turn, needles } = playingMount();
    const before = needles();
    turn(1);
    const knob = turns.add('altitude', 1, before, needles(), {});
    expect(countedWords('altitude', knob)).toMatch(/give or take 0\.\d\d°\. Press k for one more turn, then one back/);
    expect(playWords(knob)).toMatch(/^less than 0\.\d\d turn$/);
    expect(boltTurn(knob)?.playTurns).toBe(0);
  });
});

const knob: Knob = {
  radPerTurn,
  sigmaRadPerTurn: 0.01 * degree,
  backlashTurns: play,
  sigmaBacklashTurns: 0.02,
  lastWay: 1,
};

describe('instructions in turns', () => {
  it('take up the play only where the way of turning changes', () => {
    const bolt = boltTurn(knob);
    expect(instructionWords('altitude', -0.7, 0.1, bolt)).toBe('Turn the altitude bolt half a turn to raise the axis.');
    expect(instructionWords('altitude', 0.7, 0.1, bolt)).toBe(
      'Turn the altitude bolt two thirds of a turn to lower the axis; a quarter of a turn of it is backlash.',
    );
    expect(instructionWords('azimuth', 0.7, 0.1, boltTurn({ ...knob, radPerTurn: -radPerTurn }))).toBe(
      'Turn the azimuth bolts half a turn, the front toward west.',
    );
  });

  it('follow the bolt: turned back, the play lies on the other side', () => {
    const { turn, needles } = playingMount();
    const bolts: Bolts = { altitude: knob };
    const ways = new BoltWays(() => bolts);
    const rest = (state: Needles['state'] = 'still'): void => {
      for (let i = 0; i < 4; i += 1) ways.offer({ ...needles(), state });
    };
    rest();
    turn(-1);
    rest('moving');
    rest();
    expect(bolts.altitude?.lastWay).toBe(-1);
    turn(1);
    rest('moving');
    rest();
    expect(bolts.altitude?.lastWay).toBe(1);
    // what another start of the needles makes of them is no turn
    turn(-1);
    ways.forget();
    rest();
    expect(bolts.altitude?.lastWay).toBe(1);
    expect(bolts.azimuth).toBeUndefined();
  });
});
