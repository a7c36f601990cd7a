import type { PanelName } from './panelName.ts';

interface Props {
  wide: boolean;
  hasHands: boolean;
  soundOn: boolean;
  open(name: PanelName): void;
}

/** What is needed more seldom. */
export function MorePanel({ wide, hasHands, soundOn, open }: Props) {
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
    </>
  );
}
