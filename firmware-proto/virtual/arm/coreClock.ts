import type { RP2040 } from 'rp2040js';

type Core = RP2040['core'];

interface Clock {
  readonly nanos: number;
  readonly nanosToNextAlarm: number;
  tick(deltaNanos: number): void;
}

/** Runs an emulated ARMv6-M core against the clock of its peripherals, and skips its sleep. */
export class CoreClock {
  /** Nanoseconds in which instructions ran. */
  busyNanos = 0;
  /** Nothing runs any more: the watchdog has bitten. */
  isStopped = false;
  private readonly core: Core;
  private readonly clock: Clock;
  private readonly cycleNanos: number;

  constructor(core: Core, clock: Clock, clockHz: number) {
    this.core = core;
    this.clock = clock;
    this.cycleNanos = 1e9 / clockHz;
  }

  /** Runs up to `nanos` on the peripherals' clock, give or take an instruction. */
  runTo(nanos: number): void {
    const { core, clock, cycleNanos } = this;
    while (clock.nanos < nanos && !this.isStopped) {
      if (!core.waiting) {
        const spent = core.executeInstruction() * cycleNanos;
        this.busyNanos += spent;
        clock.tick(spent);
      } else if (core.pendingInterrupts & core.enabledInterrupts) {
        core.waiting = false; // WFI goes on at once; rp2040js would wait for the next interrupt
      } else {
        clock.tick(Math.min(clock.nanosToNextAlarm, nanos - clock.nanos));
      }
    }
  }
}
