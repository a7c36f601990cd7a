import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { Axis } from '../../words/reading.ts';
import { Announcer } from './announcer.tsx';
import { ask, type Feed } from './feed.ts';
import { HandsPanel } from './handsPanel.tsx';
import { listenToKeys } from './keys.ts';
import { keepChoices, showLook, type Choices } from './look.ts';
import { LookPanel } from './lookPanel.tsx';
import { NeedleLoop } from './needleLoop.ts';
import { Sounder } from './sound.ts';
import { SoundPanel } from './soundPanel.tsx';
import { useHearing } from './useHearing.ts';
import { StepsPanel } from './stepsPanel.tsx';
import { TracePanel } from './tracePanel.tsx';
import { axisWords, stateWords, verdictWords } from './view.ts';
import { keepAwake } from './wake.ts';

export type PanelName = 'steps' | 'trace' | 'sound' | 'look' | 'hands';
const wordsEveryMs = 200;
const wideScreen = '(min-width: 1000px) and (min-height: 500px)';

function useMatch(query: string): boolean {
  const list = useMemo(() => matchMedia(query), [query]);
  const [matches, setMatches] = useState(list.matches);
  useEffect(() => {
    const change = (): void => setMatches(list.matches);
    list.addEventListener('change', change);
    return () => list.removeEventListener('change', change);
  }, [list]);
  return matches;
}

/** Draws anew five times a second: figures that change faster cannot be read. */
function useSteadyTick(): void {
  const [, setCount] = useState(0);
  useEffect(() => {
    const timer = setInterval(() => setCount((count) => count + 1), wordsEveryMs);
    return () => clearInterval(timer);
  }, []);
}

export function App({ feed, first }: { feed: Feed; first: Choices }) {
  const [choices, setChoices] = useState(first);
  const wide = useMatch(wideScreen);
  const [panel, setPanel] = useState<PanelName | undefined>(undefined);
  const [fault, setFault] = useState<string | undefined>(undefined);
  const [awake, setAwake] = useState(false);
  const [soundOn, setSoundOn] = useState(false);
  const loop = useMemo(() => new NeedleLoop(feed), [feed]);
  const sounder = useMemo(() => new Sounder(), []);
  useSteadyTick();
  const change = (part: Partial<Choices>): void => setChoices((before) => ({ ...before, ...part }));
  useEffect(() => {
    keepChoices(choices);
    showLook(choices);
    loop.showTruth(choices.truth);
  }, [choices, loop]);
  useEffect(() => void keepAwake().then(setAwake), []);
  useHearing(feed, sounder, choices);

  const open = (name: PanelName): void => setPanel((shown) => (shown === name ? undefined : name));
  const turn = (bolt: Axis, turns: number): void => void ask('/api/bolt', { bolt, turns }).then(setFault);
  const centred = (): void => void ask('/api/steps/sights', { action: 'take' }).then(setFault);
  const switchSound = (): void => {
    if (sounder.isOn) sounder.switchOff();
    else sounder.switchOn();
    setSoundOn(sounder.isOn);
  };
  const commands = { open, close: () => setPanel(undefined), change, choices, turn, switchSound, centred };
  const latest = useRef(commands);
  latest.current = commands;
  useEffect(() => listenToKeys(() => latest.current), []);

  const buttonWords = (name: PanelName): string => {
    if (!wide && shown === name) return 'back';
    return name === 'sound' && soundOn ? 'sound on' : name;
  };
  const stale = feed.isStale();
  const shown = panel ?? (wide ? 'steps' : undefined);
  const hasHands = feed.hello?.hasHands ?? false;
  const names: PanelName[] = [
    'steps',
    ...(wide ? [] : ['trace' as const]),
    'sound',
    'look',
    ...(hasHands ? ['hands' as const] : []),
  ];
  return (
    <div class={`app ${wide ? 'wide' : 'narrow'} ${shown ?? 'bare'}`} data-stale={stale}>
      <header>
        <p class="state">{stateWords(feed)}</p>
        <p class="source">{feed.hello?.source ?? ''}</p>
      </header>
      <main class={stale || feed.isOffClip() ? 'instruments stale' : `instruments ${feed.needles?.state}`}>
        <h1 class="unseen">Errors of the polar axis</h1>
        <Reading axis="azimuth" feed={feed} loop={loop} />
        <Reading axis="altitude" feed={feed} loop={loop} />
        <p class="verdict">{verdictWords(feed)}</p>
        {fault && (
          <p class="fault" role="alert">
            {fault}
          </p>
        )}
        {wide && <TracePanel feed={feed} shape="wide" />}
      </main>
      <nav class="bar" aria-label="Panels">
        {names.map((name) => (
          <button key={name} aria-expanded={shown === name} aria-controls="panel" onClick={() => open(name)}>
            {buttonWords(name)}
          </button>
        ))}
      </nav>
      {shown && (
        <aside id="panel" class={`panel ${shown}`} aria-label={shown} tabIndex={-1}>
          {shown === 'steps' && <StepsPanel feed={feed} />}
          {shown === 'trace' && <TracePanel feed={feed} shape="tall" />}
          {shown === 'sound' && <SoundPanel choices={choices} change={change} on={soundOn} switchSound={switchSound} />}
          {shown === 'look' && <LookPanel choices={choices} change={change} awake={awake} />}
          {shown === 'hands' && <HandsPanel feed={feed} choices={choices} change={change} turn={turn} />}
        </aside>
      )}
      <Announcer feed={feed} />
    </div>
  );
}

function Reading({ axis, feed, loop }: { axis: Axis; feed: Feed; loop: NeedleLoop }) {
  const dial = useRef<HTMLDivElement>(null);
  const instrument = loop[axis];
  useEffect(() => dial.current?.append(instrument.element), [instrument]);
  const words = axisWords(feed, axis);
  return (
    <section class={`reading ${axis}`} aria-label={axis}>
      <div class="face" ref={dial} />
      <div class="words">
        <h2>{axis}</h2>
        <p class="figure">{words.reading}</p>
        <p class="sure">{words.sure}</p>
        <p class="instruction">{words.instruction}</p>
      </div>
    </section>
  );
}
