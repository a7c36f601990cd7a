import type { Drawing } from '../messages.ts';

const radiusPx = 100;

/** An eyepiece's field, west at the right, where a star drifts with the drive stopped: places to come to, and the star. */
export function Field({ radius, mirrored, places, star }: Extract<Drawing, { kind: 'field' }>) {
  const x = (east: number): number => (-east / radius) * radiusPx;
  const y = (north: number): number => ((mirrored ? north : -north) / radius) * radiusPx;
  const told = places.map(({ label, north, east }) => `${label}: ${sided(north, 'N', 'S')} ${sided(east, 'E', 'W')}`);
  return (
    <figure class="drawing">
      <svg
        viewBox="-150 -132 300 264"
        role="img"
        aria-label={`Field of view, west at the right, north ${mirrored ? 'below' : 'above'}. ${told.join('; ')}`}
      >
        <circle class="hollow" r={radiusPx} />
        <path class="mark" d={`M-8 0H8M0 -8V8M${radiusPx - 26} 0H${radiusPx - 4}l-8 -5m8 5l-8 5`} />
        {places.map(({ label, north, east, sigma }, index) => (
          <g key={label} transform={`translate(${x(east)} ${y(north)})`}>
            <circle class="band" r={Math.max(6, (2 * sigma * radiusPx) / radius)} />
            <circle class="hollow" r={4} />
            <text x={0} y={index % 2 === 0 ? -12 : 24} text-anchor="middle">
              {label}
            </text>
          </g>
        ))}
        {star && <circle class="full" cx={x(star.east)} cy={y(star.north)} r={4} />}
        <text x={radiusPx + 8} y={6}>
          W
        </text>
        <text x={0} y={(mirrored ? 1 : -1) * (radiusPx + 14) + 6} text-anchor="middle">
          N
        </text>
      </svg>
    </figure>
  );
}

const sided = (arcmin: number, plus: string, minus: string): string =>
  `${Math.abs(arcmin).toFixed(1)}′ ${arcmin >= 0 ? plus : minus}`;
