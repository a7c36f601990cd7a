import { cannotTell } from '../words/instruction.ts';
import type { Axis } from '../words/reading.ts';
import { toneFor } from '../words/tone.ts';
import { texts } from './words.ts';

/** Of the page's beats: bells in quicker order than four a second run together. */
const bellsPerBeat = 0.5;
/** Rung once when nothing is left to do on this axis. */
const arrivalBells = 3;
const arrivalEveryS = 0.2;

/** What `next` leads to. */
const after = { off: 'azimuth', azimuth: 'altitude', altitude: 'off' } as const;
type Heard = keyof typeof after;

/**
 * One axis by the terminal's bell: it quickens toward zero, rings three times when the needles can show no less, and is silent from
 * then on, and whenever there is no reading to go by.
 */
export class Bell {
  heard: Heard = 'off';
  private nextS = 0;
  private arrivalsLeft = 0;
  private wasThere = true;

  /** Off, azimuth, altitude, off. */
  next(): void {
    this.heard = after[this.heard];
    this.arrivalsLeft = 0;
    this.wasThere = false;
  }

  words(): string {
    return this.heard === 'off' ? texts.soundOff : texts.hear(this.heard);
  }

  /** Whether to ring now; called at every picture. @param reading undefined: none, or none to trust */
  isDue(nowS: number, reading: (axis: Axis) => { errorDeg: number; sigmaDeg: number } | undefined): boolean {
    const now = this.heard === 'off' ? undefined : reading(this.heard);
    if (!now || cannotTell(now.errorDeg, now.sigmaDeg)) return false;
    const { steady, beatsPerS } = toneFor(now.errorDeg, now.sigmaDeg);
    if (steady && !this.wasThere) this.arrivalsLeft = arrivalBells;
    if (!steady) this.arrivalsLeft = 0;
    this.wasThere = steady;
    if (nowS < this.nextS || (steady && this.arrivalsLeft === 0)) return false;
    if (steady) this.arrivalsLeft -= 1;
    this.nextS = nowS + (steady ? arrivalEveryS : 1 / (beatsPerS * bellsPerBeat));
    return true;
  }
}
