import type { Drawing } from '../messages.ts';

const widthPx = 320;
/** A kilogram as a circle; twice the mass has twice the area. */
const kilogramPx = 9;

/** The mount seen along the right-ascension axis, to scale: tube above, counterweights below. Thin circles: where parts are now. */
export function RigDrawing({ parts, weights, shiftMm, shaftEndMm, travelMm }: Extract<Drawing, { kind: 'rig' }>) {
  const along = parts.flatMap(({ alongMm }) => [alongMm, alongMm + shiftMm]);
  const reachMm = Math.max(150, ...along.map(Math.abs)) * 1.2;
  const scale = widthPx / (2 * reachMm);
  const outMm = Math.max(...parts.map((part) => part.outMm));
  const top = -outMm * scale - 44;
  const bottom = shaftEndMm * scale + 30;
  const radius = (massKg: number): number => kilogramPx * Math.sqrt(massKg);
  const tubeY =
    -(
      parts.reduce((sum, part) => sum + part.outMm * part.massKg, 0) / parts.reduce((sum, part) => sum + part.massKg, 0)
    ) * scale;
  const told = weights.map(({ massKg, atMm }) => `${massKg} kg at ${atMm.toFixed(0)} mm`).join(', ');
  return (
    <figure class="drawing">
      <svg
        viewBox={`${-widthPx / 2 - 10} ${top} ${widthPx + 20} ${bottom - top}`}
        role="img"
        aria-label={`To scale. The tube slides ${Math.abs(shiftMm).toFixed(0)} mm toward the ${shiftMm >= 0 ? 'sky' : 'eyepiece'} end; counterweights: ${told || 'none'}`}
      >
        <path class="mark" d={`M0 ${tubeY}V${shaftEndMm * scale}`} />
        <path class="mark" d={`M${-reachMm * scale * 0.9} ${tubeY}H${reachMm * scale * 0.9}`} />
        <path
          class="mark labelled"
          d={`M${travelMm[0] * scale} ${tubeY - 6}V${tubeY + 6}M${travelMm[1] * scale} ${tubeY - 6}V${tubeY + 6}`}
        />
        <circle class="hollow" r={5} />
        {parts.map((part, index) => (
          <g key={index}>
            {Math.abs(shiftMm * scale) > 1 && (
              <circle class="fit" cx={part.alongMm * scale} cy={-part.outMm * scale} r={radius(part.massKg)} />
            )}
            <circle
              class="hollow"
              cx={(part.alongMm + shiftMm) * scale}
              cy={-part.outMm * scale}
              r={radius(part.massKg)}
            />
            <text
              x={(part.alongMm + shiftMm) * scale}
              y={-part.outMm * scale - radius(part.massKg) - 4}
              text-anchor="middle"
            >
              {part.label}
            </text>
          </g>
        ))}
        {weights.map(({ massKg, atMm }, index) => (
          <circle key={index} class="full" cy={atMm * scale} r={radius(massKg)} />
        ))}
        {[...new Set(weights.map(({ atMm }) => Math.round(atMm)))].map((atMm) => {
          const here = weights.filter((weight) => Math.round(weight.atMm) === atMm);
          const masses = here.map(({ massKg }) => massKg);
          return (
            <text key={atMm} x={radius(Math.max(...masses)) + 6} y={atMm * scale + 5}>
              {`${masses.join(' + ')} kg, ${atMm} mm`}
            </text>
          );
        })}
        <text x={widthPx / 2} y={tubeY + 20} text-anchor="end">
          sky
        </text>
        <text x={-widthPx / 2} y={tubeY + 20}>
          eyepiece
        </text>
        <text x={-10} y={16} text-anchor="end">
          RA axis
        </text>
      </svg>
    </figure>
  );
}
