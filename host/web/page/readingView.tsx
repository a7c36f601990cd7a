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
  const { size, side, sure, isUnknown, instruction } = axisWords(feed, axis);
  const way = wayShown(feed, axis);
  const shownSize = isFar ? shortened(size) : size;
  return (
    <section
      class={`reading ${axis}${way.isNear ? ' near' : ''}${isUnknown ? ' unknown' : ''}`}
      aria-label={axis}
      onClick={onTap}
    >
      <div class="face" ref={dial} />
      <div class="words">
        <h2 class={isFar ? 'unseen' : ''}>{axis}</h2>
        <p class={`figure${shownSize.length > longFigure ? ' long' : ''}`}>
          <span class="size">{shownSize}</span>
          {side && <span class={isFar ? 'unseen' : ''}>{` ${side}`}</span>}
        </p>
        {isFar && way.arrow && <Arrow way={way.arrow} />}
        {isFar && <p class="way">{isUnknown ? '' : way.words}</p>}
        <p class="sure">{sure}</p>
        {!isFar && <p class="instruction">{instruction}</p>}
      </div>
    </section>
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
