import type { Drawing } from '../messages.ts';

const radius = 100;
const reachDeg = 12;
const widthPerDeg = 12;

const polar = (size: number, deg: number): string =>
  `${(size * Math.cos((deg * Math.PI) / 180)).toFixed(1)} ${(-size * Math.sin((deg * Math.PI) / 180)).toFixed(1)}`;
const every = (from: number, to: number, step: number): number[] =>
  Array.from({ length: Math.floor((to - from) / step) + 1 }, (_, i) => from + i * step);
const round = (deg: number): number => (deg + 720) % 360;

/** The face of the board with its scale and the shadow of the pin, and the part of the scale on which it falls, larger. */
export function Shadow({ shadowDeg }: Extract<Drawing, { kind: 'shadow' }>) {
  const middle = Math.round(shadowDeg / 5) * 5;
  const x = (deg: number): number => (deg - middle) * widthPerDeg;
  return (
    <figure class="drawing">
      <svg
        viewBox="-170 -132 340 264"
        role="img"
        aria-label="The face of the board, its scale of degrees and the shadow"
      >
        <circle class="hollow" r={radius} />
        {every(0, 350, 10).map((deg) => (
          <path key={deg} class="mark" d={`M${polar(radius - (deg % 30 === 0 ? 12 : 6), deg)}L${polar(radius, deg)}`} />
        ))}
        {every(0, 330, 30).map((deg) => {
          const [px, py] = polar(radius + 18, deg)
            .split(' ')
            .map(Number);
          return (
            <text key={deg} x={px} y={py + 5} text-anchor="middle">
              {deg === 0 ? 'x 0' : deg === 90 ? 'y 90' : deg}
            </text>
          );
        })}
        <path class="shadow" d={`M0 0L${polar(radius - 2, shadowDeg)}`} />
        <circle class="full" r={5} />
      </svg>
      <svg viewBox="-158 -30 316 84" role="img" aria-label="The scale where the shadow falls, enlarged">
        <path class="shadow" d={`M${x(shadowDeg)} -8V24`} />
        {every(middle - reachDeg, middle + reachDeg, 1).map((deg) => (
          <path key={deg} class="mark" d={`M${x(deg)} 24v${deg % 5 === 0 ? -18 : -10}`} />
        ))}
        {every(middle - 10, middle + 10, 5).map((deg) => (
          <text key={deg} x={x(deg)} y={46} text-anchor="middle">
            {round(deg)}
          </text>
        ))}
      </svg>
    </figure>
  );
}
