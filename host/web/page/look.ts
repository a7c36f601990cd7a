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
 * Reds of the dark look: large shapes and figures are dimmer than small print, because large things are seen with less
 * light. At the first brightness (0.75) small print has 4.6:1 and large print 3.2:1 against black (WCAG 2.2 AA).
 */
export function showLook({ look, brightness }: Choices): void {
  const root = document.documentElement;
  root.className = look;
  document.querySelector('meta[name="color-scheme"]')?.setAttribute('content', look === 'dark' ? 'dark' : 'light');
  document.querySelector('meta[name="theme-color"]')?.setAttribute('content', look === 'dark' ? '#000000' : '#f3eee2');
  const red = (fullLevel: number): string => {
    const level = Math.round(fullLevel * (0.28 + 0.96 * brightness));
    return `rgb(${Math.min(255, level)} ${Math.round(Math.min(255, level) * 0.1)} ${Math.round(Math.min(255, level) * 0.06)})`;
  };
  const reds = { '--print': red(238), '--figure': red(205), '--line': red(184), '--band': red(74), '--faint': red(40) };
  for (const [name, value] of Object.entries(reds)) {
    if (look === 'dark') root.style.setProperty(name, value);
    else root.style.removeProperty(name);
  }
}
