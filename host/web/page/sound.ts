import { referenceHz, type Tone } from '../../words/tone.ts';

const beatS = 0.07;
const lookAheadS = 0.12;

/** Plays tones by Web Audio; silent until switched on, and whenever there is no reading. */
export class Sounder {
  private context: AudioContext | undefined;
  private gain: GainNode | undefined;
  private oscillator: OscillatorNode | undefined;
  private timer: ReturnType<typeof setInterval> | undefined;
  private nextBeatS = 0;
  private tone: Tone | undefined;
  private volume = 0.5;

  get isOn(): boolean {
    return this.context !== undefined;
  }

  /** To be called from a key or a button: browsers allow sound only then. */
  switchOn(): void {
    if (this.context) return;
    this.context = new AudioContext();
    this.gain = new GainNode(this.context, { gain: 0 });
    this.oscillator = new OscillatorNode(this.context, { type: 'triangle', frequency: referenceHz });
    this.oscillator.connect(this.gain).connect(this.context.destination);
    this.oscillator.start();
    this.timer = setInterval(() => this.schedule(), (lookAheadS * 1000) / 3);
  }

  switchOff(): void {
    clearInterval(this.timer);
    void this.context?.close();
    this.context = undefined;
  }

  /** Undefined is silence: no reading, no sound. */
  play(tone: Tone | undefined, volume: number): void {
    this.tone = tone;
    this.volume = volume;
  }

  private schedule(): void {
    if (!this.context || !this.gain || !this.oscillator) return;
    const now = this.context.currentTime;
    // Loudness follows the slider's square, which the ear takes for even steps.
    const loud = 0.4 * this.volume ** 2;
    if (!this.tone || this.tone.steady) {
      this.oscillator.frequency.setTargetAtTime(referenceHz, now, 0.01);
      this.gain.gain.setTargetAtTime(this.tone ? loud * 0.6 : 0, now, 0.03);
      this.nextBeatS = now;
      return;
    }
    this.nextBeatS = Math.max(this.nextBeatS, now);
    while (this.nextBeatS < now + lookAheadS) {
      const at = this.nextBeatS;
      // Each beat is a pair: the reference, then the reading. In unison one is there.
      for (const [index, pitch] of [referenceHz, this.tone.pitchHz].entries()) {
        const from = at + index * beatS;
        this.oscillator.frequency.setValueAtTime(pitch, from);
        this.gain.gain.setTargetAtTime(loud * (index === 0 ? 0.4 : 1), from, 0.004);
        this.gain.gain.setTargetAtTime(0, from + beatS * 0.7, 0.008);
      }
      this.nextBeatS = at + Math.max(2 * beatS, 1 / this.tone.beatsPerS);
    }
  }
}
