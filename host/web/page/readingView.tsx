import { useEffect, useRef } from 'preact/hooks';
import type { Axis } from '../../words/reading.ts';
import { shortened, type Way } from '../../words/way.ts';
import type { Feed } from './feed.ts';
import type { NeedleLoop } from './needleLoop.ts';
import { axisWords, wayShown } from './view.ts';

interface Props {
  axis: Axis;
  feed: Feed;
  loop: NeedleLoop;
  isFar: boolean;
  onTap(): void;
}

/** A figure of more signs than this is set smaller, to leave room for the arrow. */
const longFigure = 3;

/** One dial with its words. A tap leads to the view for a distance; the keyboard and the bar have their own way there. */
export function Reading({ axis, feed, loop, isFar, onTap }: Props) {
  const dial = useRef<HTMLDivElement>(null);
  const instrument = loop[axis];
  useEffect(() => dial.current?.append(instrument.element), [instrument]);
  const words = axisWords(feed, axis);
  const way = wayShown(feed, axis);
  const { size, side, sure, isUnknown, instruction } = words;
  const shown = useRef({ words: { ...words, size: none, sure: '' }, way });
  if (feed.hasReading()) shown.current = { words, way };
  const held = `${shown.current.words.size} ${shown.current.words.side}`;
  return (
    <section
      class={`reading ${axis}${way.isNear ? ' near' : ''}${isUnknown ? ' unknown' : ''}`}
      aria-label={axis}
      onClick={onTap}
    >
      <div class="face" ref={dial} />
      <div class="words">
        <h2 class={isFar ? 'unseen' : ''}>{axis}</h2>
        {isFar ? (
          <FarWords {...shown.current} isBlank={!feed.hasReading()} />
        ) : (
          <>
            <p class="figure" data-held={feed.hasReading() ? undefined : held}>
              <span class="size">{size}</span>
              {side && ` ${side}`}
            </p>
            <p class="sure">{sure}</p>
            <p class="instruction">{instruction}</p>
          </>
        )}
      </div>
    </section>
  );
}

/** Stands where there is no figure to show. */
const none = '–';

/** Figure and way to turn; a blank keeps the room of the last reading, so that nothing moves when there is none. */
function FarWords({ words, way, isBlank }: { words: ReturnType<typeof axisWords>; way: Way; isBlank: boolean }) {
  const { side, sure, isUnknown } = words;
  const size = isUnknown ? none : shortened(words.size);
  const instead = isBlank ? 'no reading' : isUnknown ? words.size : side;
  return (
    <>
      <p class={`figure${size.length > longFigure ? ' long' : ''}${isBlank ? ' blank' : ''}`}>
        <span class="size" aria-hidden={isBlank || isUnknown}>
          {size}
        </span>
        {isBlank && (
          <span class="none" aria-hidden="true">
            {none}
          </span>
        )}
        {instead && <span class="unseen">{` ${instead}`}</span>}
      </p>
      {way.arrow && <Arrow way={way.arrow} />}
      <p class="way">{way.words}</p>
      <p class="sure">{sure}</p>
    </>
  );
}

const turns = { right: 0, down: 90, left: 180, up: 270 } as const;

function Arrow({ way }: { way: NonNullable<Way['arrow']> }) {
  return (
    <svg class={`arrow ${way}`} viewBox="-50 -50 100 100" aria-hidden="true">
      <path d="M-32 -50L38 0L-32 50Z" transform={`rotate(${turns[way]})`} />
    </svg>
  );
}
