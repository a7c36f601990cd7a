import { arcsecond } from '../../../calibration/angle.ts';
import { fitDriftLine, type DriftLine } from '../../../calibration/drift/adjustDrift.ts';
import { exitCode, Failure } from '../../failure.ts';
import type { Site } from '../../site/site.ts';
import { driftStars, judgeDrift, type DriftChoice, type DriftOutcome } from '../../steps/drift.ts';
import type { TypedReading } from '../../steps/driftFile.ts';
import { parseReadingUnit, readingFloorRad } from '../../steps/readingUnit.ts';
import { axisWords } from '../../steps/sightReport.ts';
import { requireStarlight } from '../../sky/mayTake.ts';
import { cautions } from '../../words/cautions.ts';
import { requireStar, type Star } from '../../sky/stars.ts';
import { watchByEye } from '../../practice/watchByEye.ts';
import type { Drawing, StepRequest, StepView } from '../messages.ts';
import { blankView } from './blankView.ts';
import { axisRows, gateWords } from './giveOrTake.ts';
import type { Night } from './nightAtPage.ts';
import type { SheetStep } from './sheet.ts';
import { texts } from './words/drift.ts';

const watchMinutes = 5;
/** How often the choice of star is looked at again: it costs a few milliseconds. */
const choiceMs = 30_000;

/** Drift of one or two stars, read in the eyepiece and typed, or seen by virtual hands; the clock is read at the button. */
export class DriftSheet implements SheetStep {
  readonly name = 'drift';
  private readonly night: Night;
  /** In arcseconds. */
  private readings: TypedReading[] = [];
  /** Of the coarsest unit in which one of them was typed. */
  private floorRad = readingFloorRad(arcsecond);
  private outcome: DriftOutcome | undefined;
  private drawn: Drawing | undefined;
  private typed: Record<string, string> = {};
  private choice: { stars: DriftChoice[]; atMs: number; horizon?: Site['horizon'] } = { stars: [], atMs: -Infinity };
  private busy = '';

  constructor(night: Night) {
    this.night = night;
    night.carried.onNudged(() => this.drop());
    night.onMoved(() => {
      this.drop();
      this.outcome = undefined;
      this.drawn = undefined;
      this.choice = { stars: [], atMs: -Infinity };
    });
  }

  view(): StepView {
    const count = this.readings.length;
    const blank: StepView = {
      ...blankView(this.name, texts.title),
      status: count > 0 ? 'under way' : 'to do',
      figure: count > 0 ? texts.readingsOf(count) : '',
      cautions: [cautions.sun, ...this.night.sunWords(), cautions.clutch, cautions.rules],
      toDo: this.busy ? [this.busy] : [count === 0 ? texts.begin : texts.goOn, this.starWords(), texts.whereNorthIs],
      measured: this.stars().map((star) => ({ label: star.name, value: this.lineWords(star) })),
      howSure: texts.howFast,
      next: texts.askEnough,
      fields: this.busy ? [] : this.fields(),
      actions: [
        ...(this.busy ? [] : [{ name: 'note', label: texts.noteButton }]),
        ...(count > 0 && !this.busy
          ? [
              { name: 'undo', label: texts.undoButton },
              { name: 'finish', label: texts.finishButton },
            ]
          : []),
        ...(count > 0 ? [{ name: 'cancel', label: texts.giveUpButton }] : []),
        ...(this.night.session.virtual?.eyepiece && !this.busy
          ? [{ name: 'hands', label: texts.handsButton(2 * watchMinutes), byHands: true }]
          : []),
      ],
      drawing: count > 0 ? linesOf(this.readings, this.floorRad) : this.drawn,
    };
    if (!this.outcome || count > 0) return blank;
    const { fit, gates, stars } = this.outcome;
    return {
      ...blank,
      status: 'done',
      figure: stars.map(({ name }) => name).join(', '),
      toDo: [
        ...gates.map(gateWords),
        ...(stars.length === 1 ? [texts.oneStarOneDirection] : []),
        axisWords(fit)[1],
        texts.needlesShowIt,
      ],
      measured: [
        ...axisRows(fit),
        ...fit.lines.map((line, index) => ({ label: stars[index].name, value: rateWords(line) })),
      ],
    };
  }

  private fields(): StepView['fields'] {
    return [
      { name: 'star', label: texts.starLabel, value: this.typed.star ?? '', hint: texts.starHint },
      {
        name: 'unit',
        label: texts.unitLabel,
        value: this.typed.unit ?? 'arcsec',
        hint: texts.unitHint,
      },
      { name: 'north', label: texts.northLabel, value: '', hint: texts.northHint, number: 'signed' },
    ];
  }

  async act({ action, fields }: StepRequest): Promise<void> {
    this.typed = fields;
    if (action === 'undo') this.readings.pop();
    else if (action === 'finish') await this.finish();
    else if (action === 'cancel') this.drop();
    else if (action === 'hands') await this.byHands();
    else this.note(fields);
  }

  close(): void {
    this.drop();
  }

  private note(fields: StepRequest['fields']): void {
    const north = fields.north?.trim() ? Number(fields.north) : NaN;
    if (!Number.isFinite(north))
      throw new Failure(
        exitCode.usage,
        'That is not a reading.',
        'Type how far north of the start the star is, for example 1.5.',
      );
    const unitRad = parseReadingUnit(fields.unit ?? '');
    const star = requireStar(fields.star ?? '');
    requireStarlight({ kind: 'star', star }, this.night.site, this.night.now());
    this.floorRad = Math.max(this.floorRad, readingFloorRad(unitRad));
    this.keep({ star, utc: this.night.now(), north: (north * unitRad) / arcsecond });
  }

  private keep(reading: TypedReading): void {
    this.readings.push(reading);
    this.outcome = undefined;
  }

  /** Readings from before a nudge have nothing to do with what comes after. */
  private drop(): void {
    this.readings = [];
    this.floorRad = readingFloorRad(arcsecond);
    this.busy = '';
  }

  /** The readings stay until they made a line. */
  private async finish(): Promise<void> {
    const readings = this.readings;
    const outcome = judgeDrift(readings, this.night.site, arcsecond, undefined, this.floorRad);
    this.outcome = outcome;
    this.drawn = linesOf(readings, this.floorRad);
    this.readings = [];
    await this.night.noteCompass(await this.night.atRest());
    const names = outcome.stars.map(({ name }) => name).join(' and ');
    await this.night.believe({ kind: 'drift', ...outcome.fit }, { words: texts.noted(readings.length, names) });
  }

  private async byHands(): Promise<void> {
    const { session, site } = this.night;
    const eyepiece = session.virtual?.eyepiece;
    if (!eyepiece) return;
    this.drop();
    this.choose();
    if (this.choice.stars.length === 0)
      throw new Failure(exitCode.refused, this.starWords(), 'Try again when stars are visible.');
    this.busy = texts.needlesRestFirst;
    try {
      await this.night.noteCompass(await this.night.atRest());
      const stars = pairOf(this.choice.stars);
      for (const { star, where } of stars) {
        this.busy = texts.handsWatch(star.name, where);
        const over = (): boolean => this.busy === '';
        let firstMs: number | undefined;
        const note = (reading: TypedReading): void => {
          this.keep(reading);
          firstMs ??= reading.utc.getTime();
          const minutes = ((reading.utc.getTime() - firstMs) / 60_000).toFixed(1);
          if (!over()) this.busy = texts.handsHaveWatched(star.name, where, minutes, watchMinutes);
        };
        await watchByEye(eyepiece, site, star, watchMinutes, note, over);
        if (over()) return;
      }
      await this.finish();
    } finally {
      this.busy = '';
    }
  }

  private stars(): Star[] {
    return [...new Set(this.readings.map(({ star }) => star))];
  }

  private lineWords(star: Star): string {
    const mine = this.readings.filter((reading) => reading.star === star);
    const line = lineOf(mine, this.floorRad);
    return line ? rateWords(line) : texts.readingsOf(mine.length);
  }

  private choose(): void {
    const now = performance.now();
    const { session, site } = this.night;
    const needles = session.latest();
    const isFresh = now - this.choice.atMs < choiceMs && this.choice.horizon === site.horizon;
    if (isFresh || !needles) return;
    const known = [needles.sigmaAltitudeErrorRad ** 2, 0, 0, needles.sigmaAzimuthErrorRad ** 2] as const;
    this.choice = {
      stars: driftStars(site, this.night.now(), known, watchMinutes),
      atMs: now,
      horizon: site.horizon,
    };
  }

  private starWords(): string {
    if (!this.night.session.site) return texts.typeSiteFirst;
    this.choose();
    const best = pairOf(this.choice.stars).map(({ star, where, tells }) =>
      tells === 'both' ? texts.bestForBoth(star.name, where) : texts.bestFor(tells, star.name, where),
    );
    if (best.length > 0) return texts.bestNow(best.join('; '));
    return this.night.sunWords().at(0) ?? texts.noStar;
  }
}

/** The best star for each error, or else the best two. */
function pairOf(ranked: readonly DriftChoice[]): DriftChoice[] {
  const each = (['azimuth', 'altitude'] as const).flatMap((what) => ranked.find(({ tells }) => tells === what) ?? []);
  return each.length === 2 ? each : [...new Set([...each, ...ranked])].slice(0, 2);
}

/** The line so far; undefined while the readings do not make one. */
function lineOf(readings: readonly TypedReading[], floorRad: number): DriftLine | undefined {
  const starNed = [0, 0, 0] as const;
  const timed = readings.map(({ utc, north }) => ({
    timeS: (utc.getTime() - readings[0].utc.getTime()) / 1000,
    northRad: north * arcsecond,
    starNed,
  }));
  return timed.length < 5 || timed.at(-1)?.timeS === 0 ? undefined : fitDriftLine({ readings: timed, floorRad });
}

function rateWords({ rateRadPerS, sigmaRateRadPerS }: DriftLine): string {
  const perMinute = (rate: number): string => ((Math.abs(rate) * 60) / arcsecond).toFixed(2);
  return texts.rate(rateRadPerS < 0, perMinute(rateRadPerS), perMinute(2 * sigmaRateRadPerS));
}

/** Readings from the first one on against minutes, each star's with its line. */
function linesOf(readings: readonly TypedReading[], floorRad: number): Drawing {
  const stars = [...new Set(readings.map(({ star }) => star))];
  return {
    kind: 'lines',
    across: texts.minutes,
    up: texts.north,
    down: texts.south,
    lines: stars.map((star) => {
      const mine = readings.filter((reading) => reading.star === star);
      const points = mine.map(({ utc, north }): [number, number] => [
        Number(((utc.getTime() - mine[0].utc.getTime()) / 60_000).toFixed(3)),
        Number((north - mine[0].north).toFixed(2)),
      ]);
      const line = lineOf(mine, floorRad);
      const mean = (index: 0 | 1): number => points.reduce((sum, point) => sum + point[index], 0) / points.length;
      return {
        label: star.name,
        points,
        ...(line && {
          fit: {
            through: [mean(0), mean(1)] as [number, number],
            slope: (line.rateRadPerS * 60) / arcsecond,
            sigmaSlope: (line.sigmaRateRadPerS * 60) / arcsecond,
          },
        }),
      };
    }),
  };
}
