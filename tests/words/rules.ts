import type { Sentence } from './sentences.ts';

interface Rule {
  /** What a writer is told. */
  says: string;
  breaks: RegExp;
  /** Where the words have a reason of their own: another sense, a key of a file, a line that is typed. */
  except?: RegExp;
}

const words = (list: string): RegExp => new RegExp(`(?<![-\\w])(?:${list})(?![-\\w])`, 'i');

/** What a machine can hold of plain English: each line found a real fault once. */
const rules: readonly Rule[] = [
  {
    says: 'present and active, no "is being", no "is to be"',
    breaks: words('(?:is|are|be) being|(?:is|are)(?: not)? to be(?! had)'),
  },
  {
    says: 'no "please", no "simply", no "just" before an instruction',
    breaks: words('please|simply|easily|obviously|of course'),
  },
  { says: 'Latin abbreviations in words', breaks: /(?<!\/)\b(?:e\.g|i\.e|etc|viz|resp)\b/ },
  { says: 'backlash, not play', breaks: words('(?<!\\{)play|slack|lash') },
  { says: 'bolt, not knob or screw of the mount', breaks: words('knobs?') },
  { says: 'uncertainty or "give or take", not band or tolerance', breaks: words('error bars?|error bands?|accuracy') },
  { says: 'nearby, not near by', breaks: words('near by') },
  { says: 'repair or correct, not mend', breaks: words('mend|mended|bettered|askew|of warmth') },
  {
    says: 'the program shows, finds or checks; it does not tell an angle',
    breaks: /\btells? (?:the (?:azimuth|altitude|axis)|nothing)\b/,
  },
  { says: 'skip, not pass over; reject, not leave out, for readings', breaks: words('pass(?:es|ed)? over') },
  { says: 'Charge-only, not for charging only', breaks: words('for charging only') },
  {
    says: 'British spelling',
    breaks: words('centers?|meters?|colou?rs? gray|gray|colors?|neighbors?|license(?= \\w+ of)|aluminum|analyze[ds]?'),
  },
  {
    says: 'one space between words',
    breaks: /[a-z,;:.] {2,}[a-z]/,
    except:
      /^(?:bash|zsh|fish|Example|Site|Date|True|Variation|Dip|Field|Model|Horizon|Altitude|Azimuth|Hour|Declination)/m,
  },
  { says: 'no space before a stop', breaks: /[a-z] [,;:.?!](?: |$)/, except: / \.\.\.(?: |$)/ },
  { says: 'straight quotation marks and apostrophes: the terminal and the page share sentences', breaks: /[‘’“”]/ },
  { says: 'no exclamation marks', breaks: /[a-z]!/ },
  { says: 'the same word twice', breaks: /\b(?!rig )([a-z]+) \1\b/ },
];

/** Longer than this a sentence is read twice in the cold. */
const mostWords = 30;

export interface Fault {
  where: string;
  says: string;
  text: string;
}

export function faultsOf(sentences: readonly Sentence[]): Fault[] {
  return sentences.flatMap(({ file, line, text }) => {
    const where = `${file}:${line}`;
    const broken = rules
      .filter(({ breaks, except }) => breaks.test(text) && !except?.test(text))
      .map(({ says }) => ({ where, says, text }));
    const long = wholeSentences(text)
      .filter((said) => said.split(/\s+/).length > mostWords)
      .map((said) => ({ where, says: `at most ${mostWords} words a sentence`, text: said }));
    return [...broken, ...long];
  });
}

/** Cut at full stops, colons and semicolons that end a thought, and at the cells of a table. */
function wholeSentences(text: string): string[] {
  return text.split(/(?<=[.?!)]) +(?=[A-Z{(*`])|\n|\|/);
}
