import { AVRTimer, type AVRTimerConfig, type CPU } from 'avr8js';

/** The parts of avr8js's timer that its types hide. */
interface TimerInside {
  readonly divider: number;
  readonly lastCycle: number;
  readonly tcnt: number;
  readonly ocrA: number;
  readonly ocrB: number;
  readonly TOP: number;
  readonly timerMode: number;
  readonly updateDivider: boolean;
  count: (reschedule?: boolean, external?: boolean) => void;
}

/** Timer modes that count up and start again at 0. */
const [normal, clearOnMatch] = [0, 2];

/** Counts until something happens: a compare match, or 0 again. */
function leap({ timerMode, tcnt, ocrA, ocrB, TOP }: TimerInside): number {
  if (timerMode !== normal && timerMode !== clearOnMatch) return 1;
  let next = TOP + 1;
  if (ocrA > tcnt && ocrA < next) next = ocrA;
  if (ocrB > tcnt && ocrB < next) next = ocrB;
  return Math.max(1, next - tcnt);
}

/**
 * A timer of avr8js that is not woken at every count, in sleep two million times a second, but at the next one that does anything.
 * Registers read and write as before: whoever touches one brings the count up to date first. For timers with two compare registers.
 */
export function leapingTimer(cpu: CPU, config: AVRTimerConfig): void {
  const inside = new AVRTimer(cpu, config) as unknown as TimerInside;
  const step = inside.count;
  inside.count = (reschedule = true, external = false) => {
    const { updateDivider } = inside;
    step(false, external);
    if (!reschedule || updateDivider || inside.divider === 0) return;
    cpu.addClockEvent(inside.count, inside.lastCycle + inside.divider * leap(inside) - cpu.cycles);
  };
  for (const register of [config.TCCRA, config.TCCRB, config.TCNT, config.OCRA, config.OCRB, config.ICR]) {
    const write = cpu.writeHooks[register];
    if (register === 0) continue;
    cpu.writeHooks[register] = (...written) => {
      inside.count(false);
      const done = write(...written);
      cpu.updateClockEvent(inside.count, 0);
      return done;
    };
  }
}
