import { printNight } from './nightSheet.ts';
import type { PanelName } from './panelName.ts';

interface Props {
  wide: boolean;
  hasHands: boolean;
  soundOn: boolean;
  open(name: PanelName): void;
  setFault(words: string | undefined): void;
}

/** What is needed more seldom. */
export function MorePanel({ wide, hasHands, soundOn, open, setFault }: Props) {
  const buttons: [PanelName, string][] = [
    ...(wide ? [] : [['trace', 'trace'] as [PanelName, string]]),
    ['sound', soundOn ? 'sound on' : 'sound'],
    ['look', 'look'],
    ...(hasHands ? [['hands', 'hands'] as [PanelName, string]] : []),
  ];
  return (
    <>
      <h2>More</h2>
      <div class="row">
        {buttons.map(([name, label]) => (
          <button key={name} class="large" onClick={() => open(name)}>
            {label}
          </button>
        ))}
      </div>
      <div class="row">
        <a class="large button" href="/night.txt" download="night.txt">
          save the log
        </a>
        <button class="large" onClick={() => void printNight().then(setFault)}>
          print the night sheet
        </button>
      </div>
    </>
  );
}
