/** What the person at this browser chose; kept in this browser only. */
export interface Choices {
  look: 'dark' | 'day';
  /** 0 (barely there) .. 1 (full red), dark look only. */
  brightness: number;
  axis: 'altitude' | 'azimuth';
  volume: number;
  speech: boolean;
  keys: boolean;
  /** Shows the simulator's own errors on a virtual mount. */
  truth: boolean;
}

const place = 'lodepole-choices';
const firstChoices: Choices = {
  look: 'dark',
  brightness: 0.75,
  axis: 'azimuth',
  volume: 0.5,
  speech: false,
  keys: true,
  truth: false,
};

export function loadChoices(): Choices {
  try {
    const kept = JSON.parse(localStorage.getItem(place) ?? '{}') as Partial<Choices>;
    const known = Object.entries(kept).filter(
      ([name, value]) => name in firstChoices && typeof value === typeof firstChoices[name as keyof Choices],
    );
    return { ...firstChoices, ...Object.fromEntries(known) };
  } catch {
    return firstChoices;
  }
}

export function keepChoices(choices: Choices): void {
  try {
    localStorage.setItem(place, JSON.stringify(choices));
  } catch {
    // A browser that keeps nothing still shows the needles.
  }
}

/**
 * Reds of the dark look at the first brightness (0.75), of 255: pure red, since the eye that is adapted to the dark sees green and
 * blue far better. The needle and small print are the brightest; large shapes are dimmer, because large things are seen with less
 * light. Contrast against black: small print 5.1:1, numbers of the scales 4.5:1, figures 3.6:1, lines 3.0:1 (WCAG 2.2 AA).
 */
const reds = { print: 250, label: 235, figure: 205, line: 184, stale: 110, band: 74, faint: 40 };

/** Level of an ink at a brightness; the order of the inks is the same at all of them. */
function redAt(firstLevel: number, brightness: number): number {
  const brightest = 255 - (reds.print - firstLevel) / 3;
  return Math.round(Math.min(brightest, firstLevel * (0.28 + 0.96 * brightness)));
}

export function showLook({ look, brightness }: Choices): void {
  const root = document.documentElement;
  root.className = look;
  document.querySelector('meta[name="color-scheme"]')?.setAttribute('content', look === 'dark' ? 'dark' : 'light');
  document.querySelector('meta[name="theme-color"]')?.setAttribute('content', look === 'dark' ? '#000000' : '#f3eee2');
  for (const [name, firstLevel] of Object.entries(reds)) {
    if (look === 'dark') root.style.setProperty(`--${name}`, `rgb(${redAt(firstLevel, brightness)} 0 0)`);
    else root.style.removeProperty(`--${name}`);
  }
}
