import type { Drawing } from '../messages.ts';
import { Field } from './fieldDrawing.tsx';
import { RigDrawing } from './rigDrawing.tsx';
import { Lines, Skyline } from './skyDrawings.tsx';

export function StepDrawing({ drawing }: { drawing: Drawing }) {
  if (drawing.kind === 'sphere') return <Sphere {...drawing} />;
  if (drawing.kind === 'circles') return <Circles {...drawing} />;
  if (drawing.kind === 'lines') return <Lines {...drawing} />;
  if (drawing.kind === 'skyline') return <Skyline {...drawing} />;
  if (drawing.kind === 'field') return <Field {...drawing} />;
  if (drawing.kind === 'rig') return <RigDrawing {...drawing} />;
  return <Shift {...drawing} />;
}

type Of<K extends Drawing['kind']> = Extract<Drawing, { kind: K }>;

const tile = { width: 44, height: 26 };
const columns = 8;
const rows = 6;

/** Place of a direction on the sphere unrolled: arrow X in the middle, z at the top; all tiles have equal area (Lambert). */
function tileOf([x, y, z]: readonly [number, number, number]): [column: number, row: number] {
  const turn = 0.5 - Math.atan2(y, x) / (2 * Math.PI);
  return [Math.min(columns - 1, Math.floor(turn * columns)), Math.min(rows - 1, Math.floor(((1 - z) / 2) * rows))];
}

/** The sphere of directions unrolled: filled tiles were covered, empty ones are missing. */
function Sphere({ cells }: Of<'sphere'>) {
  const covered = cells.filter(({ share }) => share >= 1).length;
  const width = columns * tile.width;
  const height = rows * tile.height;
  return (
    <figure class="drawing">
      <svg
        viewBox={`-6 -26 ${width + 12} ${height + 54}`}
        role="img"
        aria-label={`${covered} of ${cells.length} directions covered; empty tiles are missing`}
      >
        {cells.map(({ direction, share }) => {
          const [column, row] = tileOf(direction);
          const inner = (tile.height - 8) * Math.min(1, share);
          return (
            <g key={direction.join()} transform={`translate(${column * tile.width} ${row * tile.height})`}>
              <rect class="hollow" x={2} y={2} width={tile.width - 4} height={tile.height - 4} rx={3} />
              <rect class="full" x={4} y={tile.height - 4 - inner} width={tile.width - 8} height={inner} />
            </g>
          );
        })}
        <text x={width / 2} y={-9} text-anchor="middle">
          arrow Z up
        </text>
        {['X down', 'arrow X up', 'X down'].map((label, index) => (
          <text
            key={index}
            x={(index * width) / 2}
            y={height + 20}
            text-anchor={['start', 'middle', 'end'][index] as 'middle'}
          >
            {label}
          </text>
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
        const reach = fit ? fit.radius + Math.hypot(...fit.centre) : 0;
        const scale = 100 / (1.15 * Math.max(0.1, ...points.flat().map(Math.abs), reach));
        return (
          <svg
            key={label}
            viewBox="-100 -100 200 226"
            role="img"
            aria-label={`${label}: ${points.length} rests${fit ? ' on the fitted circle' : ''}`}
          >
            {fit && (
              <circle class="fit" cx={fit.centre[0] * scale} cy={-fit.centre[1] * scale} r={fit.radius * scale} />
            )}
            {points.map(([x, y], index) => (
              <circle key={index} class="full" cx={x * scale} cy={-y * scale} r={6} />
            ))}
            <text y={120} text-anchor="middle">
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
          <path class="after" d={`M${x(after)} 4V22`} />
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
