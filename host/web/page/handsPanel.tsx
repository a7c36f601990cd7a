import { plainAngle, sideOf, type Axis } from '../../words/reading.ts';
import type { Feed } from './feed.ts';
import { turnStep } from './keys.ts';
import type { Choices } from './look.ts';

interface Props {
  feed: Feed;
  choices: Choices;
  change(part: Partial<Choices>): void;
  turn(bolt: Axis, turns: number): void;
}

/** The bolts of the virtual mount: hold a button to keep turning. */
export function HandsPanel({ feed, choices, change, turn }: Props) {
  const south = feed.hello?.pole === 'south';
  const sides: [string, Axis, number][] = [
    ['raise', 'altitude', turnStep],
    ['lower', 'altitude', -turnStep],
    ['west', 'azimuth', -turnStep],
    ['east', 'azimuth', turnStep],
  ];
  const buttons = south ? [sides[0], sides[1], sides[3], sides[2]] : sides;
  const truth = feed.needles?.truth;
  return (
    <>
      <h2>Hands on the virtual bolts</h2>
      <p>
        Each touch turns a bolt by 1/{1 / turnStep} of a turn; a locked bolt is loosened first. The arrow keys do the
        same.
      </p>
      <div class="row">
        {buttons.map(([label, bolt, turns]) => (
          <button key={label} class="large" onClick={() => turn(bolt, turns)}>
            {label}
          </button>
        ))}
      </div>
      <label class="tick">
        <input
          type="checkbox"
          checked={choices.truth}
          onChange={(event) => change({ truth: event.currentTarget.checked })}
        />
        Show where the virtual axis truly points
      </label>
      {choices.truth && truth && (
        <p>
          {`True axis: azimuth ${plainAngle(truth.azimuthErrorDeg, 0.02)} ${sideOf('azimuth', truth.azimuthErrorDeg)}, altitude ${plainAngle(truth.altitudeErrorDeg, 0.02)} ${sideOf('altitude', truth.altitudeErrorDeg)}.`}
        </p>
      )}
    </>
  );
}
