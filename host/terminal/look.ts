/** What a piece of the picture is for; each look says how that is shown. */
export type Role = 'faint' | 'plain' | 'strong' | 'band' | 'needle';

/** Dark-adapted eyes; the same dimmer still; sunlight. */
export const lookNames = ['dark', 'dim', 'day'] as const;
export type LookName = (typeof lookNames)[number];

export interface Look {
  /** Escape sequences that start and end a piece. */
  start(role: Role): string;
  /** The background of the whole picture. */
  ground: string;
  end: string;
}

const csi = '\u001b[';

/** 256-colour numbers: one dim red on black, ink on paper. */
const colours: Record<LookName, Record<Role, number> & { ground: number }> = {
  dark: { ground: 16, faint: 88, plain: 124, strong: 160, band: 88, needle: 160 },
  dim: { ground: 16, faint: 52, plain: 88, strong: 124, band: 52, needle: 124 },
  day: { ground: 230, faint: 242, plain: 238, strong: 16, band: 246, needle: 16 },
};
/** For terminals with eight colours only (a Linux console). */
const few: Record<LookName, { ground: string; text: string }> = {
  dark: { ground: '40', text: '31' },
  dim: { ground: '40', text: '31' },
  day: { ground: '47', text: '30' },
};

export interface TerminalKind {
  /** NO_COLOR, or a terminal that knows none. */
  colours: 'none' | 'few' | 'many';
  /** Glyphs beyond ASCII that may be used: a Linux console has the line-drawing ones but no prime. */
  glyphs: 'ascii' | 'console' | 'unicode';
}

/** What the terminal can show, by the usual variables (no-color.org; POSIX locale names). */
export function terminalKind(env: NodeJS.ProcessEnv, platform: NodeJS.Platform): TerminalKind {
  const term = env.TERM ?? '';
  const locale = env.LC_ALL || env.LC_CTYPE || env.LANG || '';
  const isUnicode = platform === 'win32' || /utf-?8/i.test(locale) || (locale === '' && platform === 'darwin');
  const glyphs = !isUnicode || term === 'dumb' ? 'ascii' : term === 'linux' ? 'console' : 'unicode';
  if ((env.NO_COLOR ?? '') !== '' || term === 'dumb') return { colours: 'none', glyphs };
  const isMany = /256|direct|kitty|alacritty/.test(term) || env.COLORTERM !== undefined || platform === 'win32';
  return { colours: isMany ? 'many' : 'few', glyphs };
}

export function lookOf(name: LookName, kind: TerminalKind): Look {
  if (kind.colours === 'none') return { start: () => '', ground: '', end: '' };
  if (kind.colours === 'few') {
    const ground = `${csi}0;${few[name].text};${few[name].ground}m`;
    return { start: (role) => (role === 'strong' || role === 'needle' ? `${csi}1m` : ''), ground, end: ground };
  }
  const palette = colours[name];
  const ground = `${csi}0;38;5;${palette.plain};48;5;${palette.ground}m`;
  return { start: (role) => `${csi}38;5;${palette[role]}m`, ground, end: ground };
}

const asciiOf: Record<string, string> = {
  '─': '-',
  '│': '|',
  '┼': '+',
  '┴': '+',
  '├': '+',
  '┤': '+',
  '█': '#',
  '▌': '#',
  '▐': '#',
  '▀': '"',
  '▄': '_',
  '░': ':',
  '╎': '!',
  '╌': '-',
  '°': 'd',
  '′': "'",
  '←': '<',
  '→': '>',
  '↑': '^',
  '↓': 'v',
};
const consoleOf: Record<string, string> = { '′': "'", '╎': ':', '╌': '-' };

/** The glyph that this kind of terminal shows in the place of `glyph`. */
export function shown(glyph: string, glyphs: TerminalKind['glyphs']): string {
  if (glyphs === 'unicode') return glyph;
  return (glyphs === 'console' ? consoleOf : asciiOf)[glyph] ?? glyph;
}
