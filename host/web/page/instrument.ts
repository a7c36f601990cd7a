import { fullDeg, ScaleChooser, type Scale } from '../../words/scale.ts';
import { bandSigmas, type Axis } from '../../words/reading.ts';
import {
  acrossShape,
  arcPath,
  halfArcDeg,
  linePath,
  needlePath,
  outerMark,
  pointAt,
  sectorPath,
  stopShare,
  uprightShape,
} from './dial.ts';
import { NeedleMotion } from './motion.ts';

const svgNamespace = 'http://www.w3.org/2000/svg';

function draw<K extends keyof SVGElementTagNameMap>(
  parent: Element,
  kind: K,
  attributes: Record<string, string | number> = {},
): SVGElementTagNameMap[K] {
  const element = document.createElementNS(svgNamespace, kind);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, String(value));
  parent.append(element);
  return element;
}

type EndPlace = readonly [x: number, y: number, anchor: 'start' | 'middle' | 'end'];
/** Where the two ends of each dial are named, clear of band and needle. */
const endPlaces: Readonly<Record<Axis, readonly [EndPlace, EndPlace]>> = {
  azimuth: [
    [2, 160, 'start'],
    [398, 160, 'end'],
  ],
  altitude: [
    [36, 326, 'middle'],
    [36, 38, 'middle'],
  ],
};

/** Half the width of a needle's foot, degrees about its pivot. */
const needleFootDeg = 5;

const clamp = (value: number, limit: number): number => Math.max(-limit, Math.min(limit, value));

/** A band that is too wide closes in about three times this, and is closed when no more than this share of the scale is left. */
const closesS = 0.5;
const leastWideShare = 1e-3;

/** One centre-zero instrument: scale, band, needle. Draws itself; words and numbers stand beside it. */
export class Instrument {
  readonly element: SVGSVGElement;
  private readonly shape;
  /** -1 where east is at the left: one faces south there. */
  private direction = 1;
  private readonly chooser = new ScaleChooser();
  private readonly motion = new NeedleMotion();
  private readonly marks: SVGGElement;
  private readonly ends: [SVGTextElement, SVGTextElement];
  private readonly moving: SVGGElement;
  private readonly band: SVGPathElement;
  private readonly allowed: SVGPathElement;
  private readonly truth: SVGPathElement;
  private shown: Scale | undefined;
  private bandDeg = -1;
  /** The band opens at once and closes calmly. */
  private sigmaDeg = 0;
  private allowedDeg: number | undefined;
  private wantedSigmaDeg = 0;
  private turned = '';
  private rest = false;
  private readonly ofAxis: Axis;

  constructor(axis: Axis) {
    this.ofAxis = axis;
    this.shape = axis === 'azimuth' ? acrossShape : uprightShape;
    const { width, height, radius } = this.shape;
    const svg = document.createElementNS(svgNamespace, 'svg');
    svg.setAttribute('viewBox', `0 0 ${width} ${height}`);
    svg.setAttribute('class', `dial ${axis}`);
    svg.setAttribute('aria-hidden', 'true');
    this.element = svg;
    const window = draw(draw(svg, 'defs'), 'clipPath', { id: `window-${axis}` });
    const edge = halfArcDeg * stopShare;
    draw(window, 'path', { d: sectorPath(this.shape, -edge, edge, 20, radius) });
    const within = draw(svg, 'g', { 'clip-path': `url(#window-${axis})` });
    this.moving = draw(within, 'g', { class: 'moving' });
    this.band = draw(this.moving, 'path', { class: 'band' });
    draw(svg, 'path', { class: 'arc', d: arcPath(this.shape, -halfArcDeg, halfArcDeg, radius) });
    this.marks = draw(svg, 'g', { class: 'marks' });
    draw(svg, 'path', { class: 'zero', d: outerMark(this.shape, 0) });
    this.allowed = draw(svg, 'path', { class: 'allowed' });
    this.truth = draw(svg, 'path', { class: 'truth' });
    draw(this.moving, 'path', { class: 'needle', d: needlePath(this.shape, needleFootDeg) });
    const end = ([x, y, anchor]: EndPlace): SVGTextElement =>
      draw(svg, 'text', { x, y, class: 'end', 'text-anchor': anchor });
    const [first, last] = endPlaces[axis];
    this.ends = [end(first), end(last)];
    this.nameEnds();
  }

  get scale(): Scale {
    return this.chooser.scale;
  }

  /** East is at the right when one faces north, at the left when one faces south. */
  faceSouth(south: boolean): void {
    const direction = south && this.ofAxis === 'azimuth' ? -1 : 1;
    if (direction === this.direction) return;
    this.direction = direction;
    this.nameEnds();
  }

  aim(errorDeg: number, sigmaDeg: number, nowS: number, jump: boolean): void {
    this.motion.aim(errorDeg, jump);
    this.wantedSigmaDeg = sigmaDeg;
    if (jump || sigmaDeg > this.sigmaDeg) this.sigmaDeg = sigmaDeg;
    const scale = this.chooser.offer(errorDeg, sigmaDeg, nowS);
    if (scale !== this.shown) this.drawScale(scale);
    this.rest = false;
  }

  /** The simulator's own error on a virtual mount; undefined takes the mark away. */
  markTruth(errorDeg: number | undefined): void {
    if (errorDeg === undefined || !this.shown) return this.truth.removeAttribute('d');
    const at = this.direction * clamp((errorDeg / fullDeg(this.shown)) * halfArcDeg, halfArcDeg * stopShare);
    this.truth.setAttribute('d', outerMark(this.shape, at));
  }

  /** What tonight's plan allows, either way from zero; undefined takes the bar away. */
  allow(errorDeg: number | undefined): void {
    if (errorDeg === this.allowedDeg) return;
    this.allowedDeg = errorDeg;
    this.drawAllowed();
  }

  private drawAllowed(): void {
    if (this.allowedDeg === undefined || !this.shown) return this.allowed.removeAttribute('d');
    const { radius } = this.shape;
    const half = Math.min(halfArcDeg, (this.allowedDeg / fullDeg(this.shown)) * halfArcDeg);
    this.allowed.setAttribute('d', sectorPath(this.shape, -half, half, radius + 4, radius + 10));
  }

  /** Moves on by one frame; false when nothing moves any more. */
  step(elapsedS: number): boolean {
    if (this.rest || !this.shown) return false;
    const full = fullDeg(this.shown);
    this.motion.step(elapsedS);
    const tooWideDeg = (this.sigmaDeg - this.wantedSigmaDeg) * Math.exp(-elapsedS / closesS);
    this.sigmaDeg = this.wantedSigmaDeg + (tooWideDeg > full * leastWideShare ? tooWideDeg : 0);
    const share = clamp(this.motion.valueDeg / full, stopShare);
    const turn = (this.direction * share * halfArcDeg * (this.shape.upright ? -1 : 1)).toFixed(3);
    if (turn !== this.turned) {
      this.turned = turn;
      this.moving.setAttribute('transform', `rotate(${turn} ${this.shape.pivot.join(' ')})`);
    }
    this.drawBand((bandSigmas * this.sigmaDeg * halfArcDeg) / full);
    this.rest = this.motion.isSettled(full) && this.sigmaDeg === this.wantedSigmaDeg;
    return !this.rest;
  }

  private drawBand(halfDeg: number): void {
    const drawn = Math.min(halfDeg, 2 * halfArcDeg * stopShare);
    if (Math.abs(drawn - this.bandDeg) < 0.1) return;
    this.bandDeg = drawn;
    this.band.setAttribute('d', sectorPath(this.shape, -drawn, drawn, this.shape.bandFrom, this.shape.radius));
  }

  private nameEnds(): void {
    const names =
      this.ofAxis === 'altitude' ? ['low', 'high'] : this.direction > 0 ? ['west', 'east'] : ['east', 'west'];
    this.ends.forEach((text, index) => (text.textContent = names[index]));
  }

  private drawScale(scale: Scale): void {
    this.shown = scale;
    this.marks.replaceChildren();
    const { radius } = this.shape;
    const count = Math.round(scale.full / scale.mark);
    for (let index = -count; index <= count; index += 1) {
      const value = index * scale.mark;
      const at = (value / scale.full) * halfArcDeg;
      const isLabelled = Math.abs(value / scale.labelled - Math.round(value / scale.labelled)) < 1e-6;
      const length = index === 0 ? 38 : isLabelled ? 24 : 12;
      draw(this.marks, 'path', {
        class: isLabelled ? 'mark labelled' : 'mark',
        d: linePath(this.shape, at, radius - length, radius),
      });
      if (!isLabelled || index === 0) continue;
      const [x, y] = pointAt(this.shape, at, radius + (this.shape.upright ? 15 : 18));
      draw(this.marks, 'text', {
        x,
        y: this.shape.upright ? y + 7 : y,
        'text-anchor': this.shape.upright ? 'start' : 'middle',
      }).textContent = `${Math.abs(value)}${scale.unit}`;
    }
    this.marks.classList.remove('fresh');
    requestAnimationFrame(() => this.marks.classList.add('fresh'));
    this.bandDeg = -1;
    this.drawAllowed();
  }
}
