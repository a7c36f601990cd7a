import { asTyped } from '../words/asTyped.ts';
import { degree } from '../../calibration/angle.ts';
import type { LiveSession, Needles } from '../live/session.ts';
import { handsNote, type Practice } from '../live/practice.ts';
import { boltTurn } from '../live/boltTurns.ts';
import type { Axis } from '../words/reading.ts';
import { siteUnknownWords } from '../words/place.ts';
import { ScaleChooser } from '../words/scale.ts';
import { turnsPerPress, turnsPerPressWords } from './arrows.ts';
import { Bell } from './bell.ts';
import { keyLine } from './keys.ts';
import { KnobCount } from './knobCount.ts';
import { lookNames, lookOf, terminalKind, type LookName } from './look.ts';
import { LockCheck, type LockFollower } from './lockCheck.ts';
import { NoticeBoard } from './noticeBoard.ts';
import { drawPicture, leastFullColumns, type View } from './picture.ts';
import type { Scenery } from './scenery.ts';
import { Screen } from './screen.ts';
import { texts } from './words.ts';

const framesPerSecond = 12;
/** What the key for the far view leads to. */
const afterFar = { needles: 'both', keys: 'both', both: 'azimuth', azimuth: 'altitude', altitude: 'needles' } as const;
/** What came of counting a turn stays this long. */
const countWordsS = 60;
const soundWordsS = 12;

interface ScreenOptions {
  look: LookName;
  /** Lines that come before the session's own notes, such as where the page is. */
  notes: () => readonly string[];
  /** Where the page is, or that there is none. */
  page: string;
  practice: Practice;
  /** What comes next this evening, and why. */
  next: () => string;
  /** A key that turns a bolt was pressed. */
  onTurn: () => void;
  lock: LockFollower;
  onEnd: (reason: 'interrupted' | 'left') => void;
}

/** The needles on a terminal, until `close`. */
export class WatchScreen {
  private readonly session: LiveSession;
  private readonly options: ScreenOptions;
  private readonly kind = terminalKind(process.env, process.platform);
  private lookName: LookName;
  private readonly screen: Screen;
  private readonly choosers: Record<Axis, ScaleChooser> = { altitude: new ScaleChooser(), azimuth: new ScaleChooser() };
  private readonly timer: NodeJS.Timeout;
  private readonly knobCount: KnobCount;
  private readonly lockCheck: LockCheck;
  /** The answer of a lock is longer than the two lines; it takes turns with itself. */
  private readonly lockBoard = new NoticeBoard();
  private counted = { words: '', board: new NoticeBoard() };
  private readonly noticeBoard = new NoticeBoard();
  private wordsUntilS = 0;
  private view: View = 'needles';
  private readonly bell = new Bell();
  private soundWordsUntilS = 0;
  private readonly nextBoard = new NoticeBoard();

  constructor(session: LiveSession, options: ScreenOptions) {
    this.session = session;
    this.options = options;
    this.knobCount = new KnobCount(session);
    this.lockCheck = new LockCheck(session, options.lock);
    this.lookName = options.look;
    this.screen = new Screen(process.stdout, process.stdin, {
      onKeys: (keys) => this.press(keys),
      onResize: () => this.draw(),
    });
    this.screen.open();
    this.timer = setInterval(() => this.draw(), 1000 / framesPerSecond);
    this.draw();
  }

  close(): void {
    clearInterval(this.timer);
    this.lockCheck.leave();
    this.screen.close();
  }

  private press(keys: string): void {
    this.options.practice.person();
    for (const key of keys.match(/\u001b\[[ABCD]|\u001b(?!\[)|[^\u001b]/g) ?? []) {
      if (key === '\u0003') this.options.onEnd('interrupted');
      else if (key === 'q') this.options.onEnd('left');
      else if (key === 'l') this.lookName = lookNames[(lookNames.indexOf(this.lookName) + 1) % lookNames.length];
      else if (key === 'd') this.lookName = this.lookName === 'day' ? 'dark' : 'day';
      else if (key === 'f') this.view = afterFar[this.view];
      else if (key === '?') this.view = this.view === 'keys' ? 'needles' : 'keys';
      else if (key === 's') this.switchSound();
      else if (key === 'k') this.count('begin');
      else if (key === 'a' || key === 'z') this.count(key === 'a' ? 'altitude' : 'azimuth');
      else if (key === 't') this.tighten();
      else if (key === '\u001b') {
        if (this.view === 'needles') {
          this.knobCount.leave();
          this.lockCheck.leave();
        }
        this.view = 'needles';
      } else if (key.startsWith('\u001b[')) this.turn(key[2]);
    }
    this.draw();
  }

  private switchSound(): void {
    this.bell.next();
    this.soundWordsUntilS = performance.now() / 1000 + soundWordsS;
  }

  /** What the bell goes by: nothing where there is no reading, or none to trust. */
  private heard(axis: Axis): { errorDeg: number; sigmaDeg: number } | undefined {
    const needles = this.session.latest();
    if (!needles || needles.state === 'stale' || needles.isOffClip) return undefined;
    if (needles.state === 'disturbed' && axis === 'azimuth') return undefined;
    const { shown } = needles;
    return axis === 'azimuth'
      ? { errorDeg: shown.azimuthErrorRad / degree, sigmaDeg: shown.sigmaAzimuthErrorRad / degree }
      : { errorDeg: shown.altitudeErrorRad / degree, sigmaDeg: shown.sigmaAltitudeErrorRad / degree };
  }

  private tighten(): void {
    this.view = 'needles';
    this.knobCount.leave();
    this.lockCheck.press();
    this.wordsUntilS = performance.now() / 1000 + countWordsS;
  }

  private count(what: 'begin' | Axis): void {
    this.view = 'needles';
    this.lockCheck.leave();
    if (what === 'begin') this.knobCount.begin();
    else this.knobCount.turned(what);
    this.wordsUntilS = performance.now() / 1000 + countWordsS;
  }

  /** In turns where they are longer than the lines for them, what is new at once. */
  private countWords(nowS: number): string {
    const { words } = this.knobCount;
    if (words !== this.counted.words) this.counted = { words, board: new NoticeBoard() };
    return this.counted.board.at(nowS, [words], this.screen.columns - 4, 2);
  }

  private get isSouth(): boolean {
    return (this.session.site?.latitudeRad ?? 1) < 0;
  }

  /** Up raises; right moves the needle to the right, which is east in the north and west in the south. */
  private turn(letter: string): void {
    if (!this.session.virtual?.turnBolt) return;
    this.options.onTurn();
    const east = this.isSouth ? -1 : 1;
    if (letter === 'A' || letter === 'B')
      this.session.virtual?.turnBolt('altitude', letter === 'A' ? turnsPerPress : -turnsPerPress);
    else this.session.virtual?.turnBolt('azimuth', letter === 'C' ? east * turnsPerPress : -east * turnsPerPress);
  }

  private draw(): void {
    const { session, screen } = this;
    const nowS = performance.now() / 1000;
    const needles = session.latest();
    if (needles && needles.state !== 'stale' && !needles.isOffClip) this.chooseScales(needles, nowS);
    const look = lookOf(this.lookName, this.kind);
    const { state, words, counters } = session.link();
    const counted = Object.entries(counters).filter(([name, count]) => count > 0 && name !== 'samples');
    this.knobCount.look();
    this.lockCheck.look();
    const unplaced = session.site ? [] : [asTyped(texts.typeSite(siteUnknownWords))];
    const link = [words, ...unplaced, ...counted.map(([name, count]) => `${name} ${count}`)].join('  ');
    const hands = session.virtual?.turnBolt && this.hands();
    const above = [this.options.next(), hands?.words ?? ''].filter((words) => words !== '');
    const picture = drawPicture(
      {
        needles,
        ageS: needles ? Math.max(nowS - needles.arrivalS, 0) : 0,
        source: session.source,
        link,
        note: state !== 'streaming' ? words : this.keyWords(nowS) || this.noteAt(nowS, link),
        next: this.nextBoard.at(nowS, above, screen.columns - 2, 1),
        keys: keyLine(screen.columns - 4),
        page: this.options.page,
        hands,
        scales: { altitude: this.choosers.altitude.scale, azimuth: this.choosers.azimuth.scale },
        bolts: { altitude: boltTurn(session.knobs?.altitude), azimuth: boltTurn(session.knobs?.azimuth) },
        isSouth: this.isSouth,
      },
      screen.columns,
      screen.rows,
      this.kind.glyphs,
      this.view,
    );
    if (this.bell.isDue(nowS, (axis) => this.heard(axis))) screen.ring();
    screen.draw(picture.lines(look, this.kind.glyphs), look.ground);
  }

  private chooseScales({ shown }: Needles, nowS: number): void {
    const { altitude, azimuth } = this.choosers;
    altitude.offer(shown.altitudeErrorRad / degree, shown.sigmaAltitudeErrorRad / degree, nowS);
    azimuth.offer(shown.azimuthErrorRad / degree, shown.sigmaAzimuthErrorRad / degree, nowS);
  }

  private hands(): Scenery['hands'] {
    const { practice } = this.options;
    const words = practice.words();
    return {
      words:
        words === ''
          ? this.session.virtual?.hands.haveLocked()
            ? texts.boltsLocked
            : texts.yourHands(turnsPerPressWords)
          : texts.anyKey(words),
      areTurning: practice.isTurning(),
    };
  }

  /** Of what a key began: a turn that is counted, or a lock. */
  private keyWords(nowS: number): string {
    const { knobCount, lockCheck } = this;
    if (nowS < this.soundWordsUntilS) return this.bell.words();
    if (lockCheck.isUnderWay) return lockCheck.words;
    if (!knobCount.isUnderWay && nowS >= this.wordsUntilS) return '';
    return lockCheck.words === ''
      ? this.countWords(nowS)
      : this.lockBoard.at(nowS, [lockCheck.words], this.screen.columns - 4, 2);
  }

  private noteAt(nowS: number, link: string): string {
    const { page } = this.options;
    // a narrow window has no room for it in its last line
    const pageNotes = page !== '' && this.screen.columns < leastFullColumns ? [`Page: ${page}`] : [];
    const notes = [...pageNotes, ...this.options.notes(), ...(this.session.notes() ?? []), link];
    return this.noticeBoard.at(
      nowS,
      notes.filter((note) => note !== handsNote),
      this.screen.columns - 4,
      2,
    );
  }
}
