import type { Drawing } from '../messages.ts';

export function StepDrawing({ drawing }: { drawing: Drawing }) {
  if (drawing.kind === 'sphere') return <Sphere {...drawing} />;
  if (drawing.kind === 'circles') return <Circles {...drawing} />;
  return <Shift {...drawing} />;
}

type Of<K extends Drawing['kind']> = Extract<Drawing, { kind: K }>;
const half = 100;

/** Lambert's equal-area projection of the half sphere around +z or -z onto a disc of radius `half`. */
function project([x, y, z]: readonly [number, number, number], upper: boolean): [number, number] {
  const factor = half / Math.sqrt(1 + Math.abs(z));
  return [x * factor, (upper ? -y : y) * factor];
}

/** Both halves of the sphere of directions: full dots were covered, hollow ones are missing. */
function Sphere({ cells }: Of<'sphere'>) {
  const covered = cells.filter(({ share }) => share >= 1).length;
  return (
    <figure class="drawing">
      <svg
        viewBox="-118 -118 472 250"
        role="img"
        aria-label={`${covered} of ${cells.length} directions covered; hollow dots are missing`}
      >
        {[true, false].map((upper) => (
          <g key={String(upper)} transform={upper ? undefined : 'translate(236 0)'}>
            {cells
              .filter(({ direction }) => (upper ? direction[2] >= 0 : direction[2] < 0))
              .map(({ direction, share }) => {
                const [x, y] = project(direction, upper);
                return (
                  <g key={direction.join()}>
                    <circle class="hollow" cx={x} cy={y} r={9} />
                    <circle class="full" cx={x} cy={y} r={9 * Math.sqrt(Math.min(1, share))} />
                  </g>
                );
              })}
            <text y={128} text-anchor="middle">
              {upper ? 'face up' : 'face down'}
            </text>
          </g>
        ))}
      </svg>
    </figure>
  );
}

/** The points of each circle and the circle that was fitted to them. */
function Circles({ circles }: Of<'circles'>) {
  return (
    <figure class="drawing pair">
      {circles.map(({ label, points, fit }) => {
        const extent =
          1.2 * Math.max(0.1, ...points.flat().map(Math.abs), fit ? fit.radius + Math.hypot(...fit.centre) : 0);
        const unit = extent / 100;
        return (
          <svg
            key={label}
            viewBox={`${-extent} ${-extent} ${2 * extent} ${2.3 * extent}`}
            role="img"
            aria-label={`${label}: ${points.length} rests${fit ? ' on the fitted circle' : ''}`}
          >
            {fit && (
              <circle class="fit" cx={fit.centre[0]} cy={-fit.centre[1]} r={fit.radius} stroke-width={2 * unit} />
            )}
            {points.map(([x, y], index) => (
              <circle key={index} class="full" cx={x} cy={-y} r={5 * unit} />
            ))}
            <text y={1.22 * extent} font-size={17 * unit} text-anchor="middle">
              {label}
            </text>
          </svg>
        );
      })}
    </figure>
  );
}

/** Where the axis stood before and where it stands after, with the band of the difference. */
function Shift({ rows, unit }: Of<'shift'>) {
  const extent =
    1.3 *
    Math.max(
      1e-3,
      ...rows.flatMap(({ before, after, sigma }) =>
        [before, after, after + 2 * sigma, after - 2 * sigma].map(Math.abs),
      ),
    );
  const x = (value: number): number => (value / extent) * 150;
  return (
    <figure class="drawing shift">
      {rows.map(({ label, before, after, sigma }) => (
        <svg
          key={label}
          viewBox="-160 -46 320 92"
          role="img"
          aria-label={`${label}: before ${before.toFixed(1)}${unit}, after ${after.toFixed(1)}${unit}`}
        >
          <rect class="band" x={x(after - 2 * sigma)} y={2} width={Math.max(1, x(4 * sigma))} height={22} />
          <path class="mark" d="M-160 0H160" />
          <path class="mark labelled" d="M0 -12V12" />
          <path class="ghost" d={`M${x(before)} -24V-2`} />
          <path class="needle" d={`M${x(after)} 4V22`} />
          <text x={x(before)} y={-30} text-anchor="middle">
            before
          </text>
          <text x={x(after)} y={42} text-anchor="middle">
            after
          </text>
          <text x={-158} y={-8}>
            {label}
          </text>
        </svg>
      ))}
    </figure>
  );
}
