import type { Choices } from './look.ts';

interface Props {
  choices: Choices;
  change(part: Partial<Choices>): void;
  on: boolean;
  switchSound(): void;
}

export function SoundPanel({ choices, change, on, switchSound }: Props) {
  return (
    <>
      <h2>Sound</h2>
      <div class="row">
        <button class="large" aria-pressed={on} onClick={switchSound}>
          {on ? 'Silence' : 'Sound on'}
        </button>
        {(['azimuth', 'altitude'] as const).map((axis) => (
          <button key={axis} class="large" aria-pressed={choices.axis === axis} onClick={() => change({ axis })}>
            {axis}
          </button>
        ))}
      </div>
      <label class="slide">
        Volume
        <input
          type="range"
          min="0"
          max="1"
          step="0.05"
          value={choices.volume}
          onInput={(event) => change({ volume: event.currentTarget.valueAsNumber })}
        />
      </label>
      <label class="tick">
        <input
          type="checkbox"
          checked={choices.speech}
          onChange={(event) => change({ speech: event.currentTarget.checked })}
        />
        Speak the instruction every few seconds
      </label>
      <p>
        Pairs of notes: the first is zero, the second is the needle. A higher second note means too high, or too far
        east. Toward zero the notes close in and quicken. One steady note: the needles cannot show a smaller error.
        Silence: no reading.
      </p>
    </>
  );
}
