const allAxes = 0x07;

/**
 * Three output registers of two bytes, low byte first, with their status register: data-ready and overrun bits, and block
 * data update (an axis whose low byte was read keeps its high byte until that is read too).
 */
export class ChipOutput {
  blockDataUpdate = false;
  private readonly latest = new Int16Array(3);
  private readonly shown = new Int16Array(3);
  private ready = 0;
  private overrun = 0;
  private halfRead = 0;

  latch(x: number, y: number, z: number): void {
    this.overrun |= this.ready;
    this.ready = allAxes;
    this.latest[0] = x;
    this.latest[1] = y;
    this.latest[2] = z;
    this.show();
  }

  /** Bits 0 to 2 ready, 3 all ready, 4 to 6 overrun, 7 all overrun. */
  status(): number {
    const all = this.ready === allAxes ? 0x08 : 0;
    const allOverrun = this.overrun === allAxes ? 0x80 : 0;
    return this.ready | all | (this.overrun << 4) | allOverrun;
  }

  /** `offset` 0 to 5 from the low byte of x. */
  readByte(offset: number): number {
    const axis = offset >> 1;
    const bit = 1 << axis;
    if ((offset & 1) === 0) {
      if (this.blockDataUpdate) this.halfRead |= bit;
      return this.shown[axis] & 0xff;
    }
    const value = (this.shown[axis] >> 8) & 0xff;
    this.halfRead &= ~bit;
    this.ready &= ~bit;
    this.overrun &= ~bit;
    this.show();
    return value;
  }

  private show(): void {
    for (let axis = 0; axis < 3; axis += 1) {
      if ((this.halfRead & (1 << axis)) === 0) this.shown[axis] = this.latest[axis];
    }
  }
}

/** A chip's own clock: tells when it takes samples. */
export class SampleClock {
  private startS = 0;
  private taken = 0;
  private hz = 0;

  /** Starts anew at this rate; 0 stops. */
  run(hz: number, nowS: number): void {
    if (hz === this.hz) return;
    this.hz = hz;
    this.startS = nowS;
    this.taken = 0;
  }

  /** The instant of the newest sample that was not asked for before; undefined when there is none. */
  newest(nowS: number): number | undefined {
    const count = Math.floor((nowS - this.startS) * this.hz + 1e-9);
    if (this.hz === 0 || count <= this.taken) return undefined;
    this.taken = count;
    return this.startS + count / this.hz;
  }
}
