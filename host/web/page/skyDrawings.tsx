import type { Drawing } from '../messages.ts';

type Of<K extends Drawing['kind']> = Extract<Drawing, { kind: K }>;

const plot = { width: 320, height: 150 };

/** Readings against time, each series from its own zero, with its line and the band of the line's error. */
export function Lines({ lines, across, up, down }: Of<'lines'>) {
  const sided = (value: number, digits: number): string => `${Math.abs(value).toFixed(digits)}${value < 0 ? down : up}`;
  return (
    <figure class="drawing">
      {lines.map(({ label, points, fit }) => {
        const lastX = Math.max(0.5, ...points.map(([x]) => x));
        const lineAt = (x: number): number => (fit ? fit.through[1] + fit.slope * (x - fit.through[0]) : 0);
        const bandAt = (x: number): number => (fit ? 2 * fit.sigmaSlope * Math.abs(x - fit.through[0]) : 0);
        const ends = fit ? [0, lastX].flatMap((x) => [lineAt(x) + bandAt(x), lineAt(x) - bandAt(x)]) : [];
        const values = [...points.map(([, y]) => y), ...ends, 0];
        const [low, high] = [Math.min(...values), Math.max(...values)];
        const room = Math.max(high - low, 1) * 1.1;
        const px = (x: number): number => (x / lastX) * plot.width;
        const py = (y: number): number => plot.height / 2 - ((y - (low + high) / 2) / room) * plot.height;
        const corner = (x: number, sign: 1 | -1): string => `${px(x)} ${py(lineAt(x) + sign * bandAt(x))}`;
        const middle = fit?.through[0] ?? 0;
        return (
          <svg
            key={label}
            viewBox={`-14 -30 ${plot.width + 28} ${plot.height + 62}`}
            role="img"
            aria-label={`${label}: ${points.length} readings${fit ? `, ${sided(fit.slope, 2)} a minute` : ''}`}
          >
            {fit && (
              <path
                class="band"
                d={`M${corner(0, 1)}L${corner(middle, 1)}L${corner(lastX, 1)}L${corner(lastX, -1)}L${corner(middle, -1)}L${corner(0, -1)}Z`}
              />
            )}
            <path class="mark" d={`M0 ${py(0)}H${plot.width}`} />
            {fit && <path class="fit" d={`M0 ${py(lineAt(0))}L${plot.width} ${py(lineAt(lastX))}`} />}
            {points.map(([x, y], index) => (
              <circle key={index} class="full" cx={px(x)} cy={py(y)} r={5} />
            ))}
            <text x={0} y={-12}>
              {`${label}: ${sided(points.at(-1)?.[1] ?? 0, 0)} so far`}
            </text>
            <text x={plot.width} y={plot.height + 26} text-anchor="end">
              {`${lastX.toFixed(1)} ${across}`}
            </text>
          </svg>
        );
      })}
    </figure>
  );
}

const pointNames = ['N', 'E', 'S', 'W', 'N'];

/** The horizon once round, unrolled from north through east: what hides the sky, stars taken, and the next one. */
export function Skyline({ hidden, stars }: Of<'skyline'>) {
  const block = (from: number, to: number, altitude: number) => (
    <rect key={`${from}-${to}`} class="band" x={from} y={90 - altitude} width={to - from} height={altitude} />
  );
  const next = stars.find(({ mark }) => mark === 'next');
  return (
    <figure class="drawing">
      <svg
        viewBox="-12 -14 384 134"
        role="img"
        aria-label={`${hidden.length} hidden stretches; ${stars.filter(({ mark }) => mark === 'taken').length} stars taken${next ? `; next ${next.label}, azimuth ${next.azimuthDeg.toFixed(0)}°, ${next.altitudeDeg.toFixed(0)}° up` : ''}`}
      >
        {hidden.flatMap(({ fromAzimuthDeg: from, toAzimuthDeg: to, altitudeDeg }) =>
          from <= to ? block(from, to, altitudeDeg) : [block(from, 360, altitudeDeg), block(0, to, altitudeDeg)],
        )}
        <path class="mark" d="M0 90H360M0 0V90M360 0V90" />
        {stars.map(({ label, azimuthDeg, altitudeDeg, mark }, index) => (
          <g key={index} transform={`translate(${azimuthDeg} ${90 - altitudeDeg})`}>
            <circle class={mark === 'taken' ? 'full' : 'hollow'} r={mark === 'taken' ? 4 : 7} />
            {mark === 'next' && (
              <text
                y={altitudeDeg > 75 ? 24 : -12}
                text-anchor={azimuthDeg < 60 ? 'start' : azimuthDeg > 300 ? 'end' : 'middle'}
              >
                {label}
              </text>
            )}
          </g>
        ))}
        {pointNames.map((name, index) => (
          <text key={index} x={index * 90} y={112} text-anchor="middle">
            {name}
          </text>
        ))}
      </svg>
    </figure>
  );
}
