import type { Drawing } from '../messages.ts';
import { attitudes } from './boardAttitude.ts';
import { Board } from './boardDrawing.tsx';
import { Field } from './fieldDrawing.tsx';
import { RigDrawing } from './rigDrawing.tsx';
import { Shadow } from './shadowDrawing.tsx';
import { Lines, Skyline } from './skyDrawings.tsx';

export function StepDrawing({ drawing }: { drawing: Drawing }) {
  if (drawing.kind === 'sphere') return <Sphere {...drawing} />;
  if (drawing.kind === 'circles') return <Circles {...drawing} />;
  if (drawing.kind === 'lines') return <Lines {...drawing} />;
  if (drawing.kind === 'skyline') return <Skyline {...drawing} />;
  if (drawing.kind === 'field') return <Field {...drawing} />;
  if (drawing.kind === 'shadow') return <Shadow {...drawing} />;
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

/** The board as it lies now and as it should, then the sides of it unrolled: filled tiles were up, empty ones are missing. */
function Sphere({ cells, upNow, upNext }: Of<'sphere'>) {
  const covered = cells.filter(({ isCovered }) => isCovered).length;
  const width = columns * tile.width;
  const height = rows * tile.height;
  const held = upNow && attitudes(upNow, upNext);
  return (
    <figure class="drawing">
      {held && (
        <svg
          viewBox="-90 -84 360 190"
          role="img"
          aria-label={held.next ? 'The board as it lies now, and as it should lie next' : 'The board as it lies now'}
        >
          <Board attitude={held.now} />
          <text x={0} y={96} text-anchor="middle">
            now
          </text>
          {held.next && (
            <g transform="translate(180 0)">
              <Board attitude={held.next} />
              <text x={0} y={96} text-anchor="middle">
                next
              </text>
            </g>
          )}
        </svg>
      )}
      <svg
        viewBox={`-6 -26 ${width + 12} ${height + 54}`}
        role="img"
        aria-label={`${covered} of ${cells.length} sides were up; empty tiles are missing`}
      >
        {cells.map(({ direction, isCovered }) => {
          const [column, row] = tileOf(direction);
          return (
            <g key={direction.join()} transform={`translate(${column * tile.width} ${row * tile.height})`}>
              <rect class="hollow" x={2} y={2} width={tile.width - 4} height={tile.height - 4} rx={3} />
              {isCovered && <rect class="full" x={4} y={4} width={tile.width - 8} height={tile.height - 8} />}
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

/** Round steps for the marks of a scale, so that three to seven of them fit on each side. */
const stepOf = (extent: number): number =>
  [0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500].find((step) => extent / step <= 6) ?? extent / 5;

/** Where the axis stood before and where it stands after, with the band of the difference, on one scale for both errors. */
function Shift({ rows, unit }: Of<'shift'>) {
  const extent =
    1.15 *
    Math.max(
      1,
      ...rows.flatMap(({ before, after, sigma }) =>
        [before, after, after + 2 * sigma, after - 2 * sigma].map(Math.abs),
      ),
    );
  const step = stepOf(extent);
  const count = Math.floor(extent / step);
  const marks = Array.from({ length: 2 * count + 1 }, (_, index) => (index - count) * step);
  return (
    <figure class="drawing shift">
      {rows.map(({ label, ends, isReversed, before, after, sigma }) => {
        const x = (value: number): number => ((isReversed ? -value : value) / extent) * 150;
        const width = Math.max(1, (4 * sigma * 150) / extent);
        return (
          <svg
            key={label}
            viewBox="-170 -72 340 140"
            role="img"
            aria-label={`${label}: before ${before.toFixed(1)}${unit}, after ${after.toFixed(1)}${unit}, above zero is ${ends[isReversed ? 0 : 1]}`}
          >
            <rect class="band" x={x(after) - width / 2} y={2} width={width} height={22} />
            <path class="mark" d={`M-160 0H160${marks.map((value) => `M${x(value).toFixed(1)} -5V5`).join('')}`} />
            <path class="mark labelled" d="M0 -12V12" />
            <path class="ghost" d={`M${x(before)} -24V-2`} />
            <path class="after" d={`M${x(after)} 4V22`} />
            <text x={x(before)} y={-30} text-anchor="middle">
              before
            </text>
            <text x={x(after)} y={42} text-anchor="middle">
              after
            </text>
            <text x={-168} y={-56}>
              {label}
            </text>
            <text x={-168} y={62}>
              {ends[0]}
            </text>
            <text x={168} y={62} text-anchor="end">
              {ends[1]}
            </text>
            <text x={168} y={-56} text-anchor="end">
              {`one mark: ${step}${unit}`}
            </text>
          </svg>
        );
      })}
    </figure>
  );
}
