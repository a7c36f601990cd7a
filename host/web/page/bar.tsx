import type { PanelName } from './panelName.ts';

interface BarProps {
  shown: PanelName | undefined;
  wide: boolean;
  open: (name: PanelName) => void;
  close: () => void;
  goFar: () => void;
}

/** The three buttons at the foot of the page; on a narrow one the button of what is open leads back. */
export function Bar({ shown, wide, open, close, goFar }: BarProps) {
  const isSteps = shown === 'steps';
  const isMore = shown !== undefined && !isSteps;
  const words = (isShown: boolean, name: string): string => (isShown && !wide ? 'back' : name);
  return (
    <nav class="bar" aria-label="Panels">
      <button aria-expanded={isSteps} aria-controls="panel" onClick={() => open('steps')}>
        {words(isSteps, 'steps')}
      </button>
      <button onClick={goFar}>far view</button>
      <button aria-expanded={isMore} aria-controls="panel" onClick={() => (isMore ? close() : open('more'))}>
        {words(isMore, 'more')}
      </button>
    </nav>
  );
}
