/** Natural frequency and damping of a needle: it settles in about 0.3 s with an overshoot of under 1 percent. */
const naturalRadPerS = 16;
const dampingRatio = 0.85;
const longestStepS = 0.008;
const longestGapS = 0.25;

const wrap180 = (deg: number): number => deg - 360 * Math.floor((deg + 180) / 360);

/** A needle with inertia: second order, damped, on the shorter arc. Values in degrees. */
export class NeedleMotion {
  private shownDeg = 0;
  private speedDegPerS = 0;
  private targetDeg = 0;
  private started = false;

  /** Where the needle stands now, -180 .. 180. */
  get valueDeg(): number {
    return wrap180(this.shownDeg);
  }

  aim(targetDeg: number, jump = false): void {
    if (!this.started || jump) {
      this.started = true;
      this.shownDeg = targetDeg;
      this.speedDegPerS = 0;
      this.targetDeg = targetDeg;
      return;
    }
    this.targetDeg = this.shownDeg + wrap180(targetDeg - this.shownDeg);
  }

  /** Moves on by `elapsedS`; after a long gap (a hidden page) it stands at its aim. */
  step(elapsedS: number): void {
    if (elapsedS > longestGapS) {
      this.shownDeg = this.targetDeg;
      this.speedDegPerS = 0;
      return;
    }
    const steps = Math.max(1, Math.ceil(elapsedS / longestStepS));
    const dt = elapsedS / steps;
    for (let index = 0; index < steps; index += 1) {
      const pull = naturalRadPerS ** 2 * (this.targetDeg - this.shownDeg);
      this.speedDegPerS += (pull - 2 * dampingRatio * naturalRadPerS * this.speedDegPerS) * dt;
      this.shownDeg += this.speedDegPerS * dt;
    }
  }

  /** True when nothing the eye could see is left to move on a dial of this full deflection. */
  isSettled(fullDeg: number): boolean {
    const left = Math.abs(this.targetDeg - this.shownDeg);
    return left < fullDeg * 2e-4 && Math.abs(this.speedDegPerS) < fullDeg * 2e-3;
  }
}
