/** The two lines of a bus with pull-up resistors: low while anybody pulls. A chip may hold SDA low until it has seen some clocks. */
export class OpenDrain {
  sdaIsHigh = true;
  sclIsHigh = true;
  private clocksUntilRelease = 0;
  private readonly onChange: () => void;

  constructor(onChange: () => void) {
    this.onChange = onChange;
  }

  get isHeld(): boolean {
    return this.clocksUntilRelease > 0;
  }

  /** A fault: for ever without a number. */
  hold(clocks = Number.POSITIVE_INFINITY): void {
    this.clocksUntilRelease = clocks;
    this.update(false, false);
  }

  release(): void {
    this.clocksUntilRelease = 0;
    this.update(false, false);
  }

  /** What the processor's pins pull low. */
  update(pullsSda: boolean, pullsScl: boolean): void {
    if (!pullsScl && !this.sclIsHigh && this.clocksUntilRelease > 0) this.clocksUntilRelease -= 1;
    this.sclIsHigh = !pullsScl;
    this.sdaIsHigh = !pullsSda && !this.isHeld;
    this.onChange();
  }
}
