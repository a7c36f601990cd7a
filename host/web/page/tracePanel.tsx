import { bandSigmas, saysNothing, type Axis } from '../../words/reading.ts';
import { fullDeg, scales, type Scale } from '../../words/scale.ts';
import type { TracePoint } from '../messages.ts';
import type { Feed } from './feed.ts';

const shapes = { wide: { width: 600, height: 170 }, tall: { width: 400, height: 250 } };
const left = 26;
const minutes = 10;
const minutesPerLabel = 5;
/** Room below the strip for the times. */
const footPx = 26;
/** A gap longer than this is left open in the line. */
const gapMs = 4000;
const scaledMs = 45_000;

interface Drawn {
  atMs: number;
  error: number;
  band: number;
}

const pick = (axis: Axis, point: TracePoint): Drawn => ({
  atMs: Date.parse(point.timeUtc),
  error: axis === 'azimuth' ? point.azimuthErrorDeg : point.altitudeErrorDeg,
  band: bandSigmas * (axis === 'azimuth' ? point.sigmaAzimuthErrorDeg : point.sigmaAltitudeErrorDeg),
});

/** Pieces without gaps. */
function pieces(points: readonly Drawn[]): Drawn[][] {
  const all: Drawn[][] = [];
  for (const [index, point] of points.entries()) {
    if (index === 0 || point.atMs - points[index - 1].atMs > gapMs) all.push([]);
    all[all.length - 1].push(point);
  }
  return all;
}

/** Fits the last three quarters of a minute; what went on before, such as a tumble in the hand, may run off the strip. */
const scaleFor = (points: readonly Drawn[]): Scale => {
  const fromMs = (points.at(-1)?.atMs ?? 0) - scaledMs;
  const recent = points.filter(({ atMs }) => atMs >= fromMs);
  const largest = Math.max(0, ...recent.map(({ error, band }) => Math.abs(error) + band));
  return scales.findLast((scale) => fullDeg(scale) >= largest) ?? scales[0];
};

/** Both errors over the last ten minutes, each with its band. */
export function TracePanel({ feed, shape }: { feed: Feed; shape: keyof typeof shapes }) {
  return (
    <div class="traces">
      <h2>The last ten minutes</h2>
      <Strip axis="azimuth" feed={feed} shape={shape} />
      <Strip axis="altitude" feed={feed} shape={shape} />
    </div>
  );
}

function Strip({ axis, feed, shape }: { axis: Axis; feed: Feed; shape: keyof typeof shapes }) {
  const { width } = shapes[shape];
  const height = shapes[shape].height - footPx;
  const endMs = feed.trace.length > 0 ? Date.parse(feed.trace[feed.trace.length - 1].timeUtc) : 0;
  const startMs = endMs - minutes * 60_000;
  const points = feed.trace
    .map((point) => pick(axis, point))
    .filter(({ atMs, band }) => atMs >= startMs && !saysNothing(band / bandSigmas));
  const scale = scaleFor(points);
  const full = fullDeg(scale);
  const x = (atMs: number): number => left + ((atMs - startMs) / (minutes * 60_000)) * (width - left - 4);
  const y = (deg: number): number => height / 2 - (Math.max(-full, Math.min(full, deg)) / full) * (height / 2 - 8);
  const at = (atMs: number, deg: number): string => `${x(atMs).toFixed(1)} ${y(deg).toFixed(1)}`;
  const times = Array.from({ length: minutes + 1 }, (_, ago) => ago);
  const [above, below] = axis === 'altitude' ? ['high', 'low'] : ['east', 'west'];
  const label = points.length === 0 ? `${axis}: nothing yet` : `${axis}, full scale ${scale.full}${scale.unit}`;
  return (
    <figure class="strip">
      <figcaption>{label}</figcaption>
      <svg viewBox={`0 0 ${width} ${height + footPx}`} role="img" aria-label={`Trace of ${label}`}>
        {pieces(points).map((piece) => (
          <g key={piece[0].atMs}>
            <path
              class="band"
              d={`M${piece.map((p) => at(p.atMs, p.error + p.band)).join('L')}L${[...piece]
                .reverse()
                .map((p) => at(p.atMs, p.error - p.band))
                .join('L')}Z`}
            />
            <path class="line" d={`M${piece.map((p) => at(p.atMs, p.error)).join('L')}`} />
          </g>
        ))}
        <path class="mark labelled" d={`M${left} ${height / 2}H${width}`} />
        <path
          class="mark"
          d={`M${left} 4V${height - 4}${[-1, -0.5, 0.5, 1].map((share) => `M${left} ${y(share * full).toFixed(1)}h7`).join('')}${times.map((ago) => `M${x(endMs - ago * 60_000).toFixed(1)} ${height - 9}v9`).join('')}`}
        />
        {times
          .filter((ago) => ago % minutesPerLabel === 0)
          .map((ago) => (
            <text
              key={ago}
              x={x(endMs - ago * 60_000)}
              y={height + 20}
              text-anchor={ago === 0 ? 'end' : ago === minutes ? 'start' : 'middle'}
            >
              {ago === 0 ? 'now' : ago === minutes ? `${ago} min` : ago}
            </text>
          ))}
        <text x={left - 8} y={height / 2 + 6} text-anchor="end">
          0
        </text>
        <text x={left + 12} y={20}>
          {`${scale.full}${scale.unit} ${above}`}
        </text>
        <text x={left + 12} y={height - 10}>
          {`${scale.full}${scale.unit} ${below}`}
        </text>
      </svg>
    </figure>
  );
}
