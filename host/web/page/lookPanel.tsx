import { keyHelp } from './keys.ts';
import type { Choices } from './look.ts';

interface Props {
  choices: Choices;
  change(part: Partial<Choices>): void;
  awake: boolean;
}

export function LookPanel({ choices, change, awake }: Props) {
  return (
    <>
      <h2>Look</h2>
      <div class="row">
        {(['dark', 'day'] as const).map((look) => (
          <button key={look} class="large" aria-pressed={choices.look === look} onClick={() => change({ look })}>
            {look}
          </button>
        ))}
      </div>
      <label class="slide">
        Brightness
        <input
          type="range"
          min="0"
          max="1"
          step="0.05"
          disabled={choices.look === 'day'}
          value={choices.brightness}
          onInput={(event) => change({ brightness: event.currentTarget.valueAsNumber })}
        />
      </label>
      <p>
        {awake
          ? 'The screen is kept awake.'
          : "This browser does not let the page keep the screen awake. Lengthen the screen time-out in the device's settings."}
      </p>
      <label class="tick">
        <input
          type="checkbox"
          checked={choices.keys}
          onChange={(event) => change({ keys: event.currentTarget.checked })}
        />
        Keyboard
      </label>
      <dl class="keys">
        {keyHelp.map(([keys, does]) => (
          <div key={keys}>
            <dt>{keys}</dt>
            <dd>{does}</dd>
          </div>
        ))}
      </dl>
    </>
  );
}
