import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import type { Axis } from '../../words/reading.ts';
import { Announcer } from './announcer.tsx';
import { Bar } from './bar.tsx';
import { ask, type Feed } from './feed.ts';
import { HandsPanel } from './handsPanel.tsx';
import { Head } from './head.tsx';
import { holdWhile } from './hold.ts';
import { listenToKeys } from './keys.ts';
import { keepChoices, showLook, type Choices } from './look.ts';
import { LookPanel } from './lookPanel.tsx';
import { MorePanel } from './morePanel.tsx';
import { NeedleLoop } from './needleLoop.ts';
import type { PanelName } from './panelName.ts';
import { Reading } from './readingView.tsx';
import { Sounder } from './sound.ts';
import { useMatch, useSteadyTick } from './screenHooks.ts';
import { SoundPanel } from './soundPanel.tsx';
import { StepsPanel } from './stepsPanel.tsx';
import { TracePanel } from './tracePanel.tsx';
import { useFar, type Far } from './useFar.ts';
import { useHearing } from './useHearing.ts';
import { farWords, verdictWords } from './view.ts';
import { keepAwake } from './wake.ts';

/** What the key for it leads to. */
const afterFar = { near: 'both', both: 'azimuth', azimuth: 'altitude', altitude: undefined } as const satisfies Record<
  Far | 'near',
  Far | undefined
>;

const wideScreen = '(min-width: 1000px) and (min-height: 500px)';

export function App({ feed, first }: { feed: Feed; first: Choices }) {
  const [choices, setChoices] = useState(first);
  const wide = useMatch(wideScreen);
  const [panel, setPanel] = useState<PanelName | undefined>(undefined);
  const [far, setFar] = useFar();
  const [fault, setFault] = useState<string | undefined>(undefined);
  const [awake, setAwake] = useState(false);
  const [soundOn, setSoundOn] = useState(false);
  const loop = useMemo(() => new NeedleLoop(feed), [feed]);
  const sounder = useMemo(() => new Sounder(), []);
  useSteadyTick(feed);
  const change = (part: Partial<Choices>): void => setChoices((before) => ({ ...before, ...part }));
  useEffect(() => {
    keepChoices(choices);
    showLook(choices);
    loop.showTruth(choices.truth);
  }, [choices, loop]);
  useEffect(() => {
    keepAwake(setAwake);
    holdWhile(() => feed.isHostGone());
  }, [feed]);
  useHearing(feed, sounder, choices);

  const open = (name: PanelName): void => {
    setFar(undefined);
    setPanel((shown) => (shown === name ? undefined : name));
  };
  const close = (): void => (far ? setFar(undefined) : setPanel(undefined));
  const tap = (axis: Axis): void => setFar(far === undefined ? 'both' : far === 'both' ? axis : undefined);
  const turn = (bolt: Axis, turns: number): void => void ask('/api/bolt', { bolt, turns }).then(setFault);
  const centred = (): void => void ask('/api/steps/sights', { action: 'take' }).then(setFault);
  const switchSound = (): void => {
    if (sounder.isOn) sounder.switchOff();
    else sounder.switchOn();
    setSoundOn(sounder.isOn);
  };
  const goFar = (): void => setFar(afterFar[far ?? 'near']);
  const commands = { open, close, change, choices, turn, switchSound, centred, goFar };
  const latest = useRef(commands);
  latest.current = commands;
  useEffect(() => listenToKeys(() => latest.current), []);

  const stale = feed.isStale();
  const shown = panel ?? (wide ? 'steps' : undefined);
  const hasHands = feed.hello?.hasHands ?? false;
  return (
    <div
      class={[
        'app',
        wide ? 'wide' : 'narrow',
        shown ?? 'bare',
        shown && shown !== 'hands' && 'with-panel',
        far && `far far-${far}`,
      ]
        .filter(Boolean)
        .join(' ')}
      data-stale={stale}
    >
      <Head feed={feed} hasRoom={wide || shown !== 'steps'} />
      <main class={`instruments ${stale ? 'stale' : feed.isOffClip() ? 'stale off' : feed.needles?.state}`}>
        <h1 class="unseen">Errors of the polar axis</h1>
        {(['azimuth', 'altitude'] as const).map((axis) => (
          <Reading key={axis} axis={axis} feed={feed} loop={loop} isFar={far !== undefined} onTap={() => tap(axis)} />
        ))}
        <p class="verdict">{far ? farWords(feed) : verdictWords(feed)}</p>
        <button class="leave-far" onClick={() => setFar(undefined)}>
          back
        </button>
        {fault && (
          <p class="fault" role="alert">
            {fault}
          </p>
        )}
        {wide && <TracePanel feed={feed} shape="wide" />}
      </main>
      <Bar shown={shown} wide={wide} open={open} close={() => setPanel(undefined)} goFar={() => setFar('both')} />
      {shown && (
        <aside id="panel" class={`panel ${shown}`} aria-label={shown} tabIndex={-1}>
          {shown === 'steps' && <StepsPanel feed={feed} />}
          {shown === 'more' && (
            <MorePanel wide={wide} hasHands={hasHands} soundOn={soundOn} open={open} setFault={setFault} />
          )}
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
