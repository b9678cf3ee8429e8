import { paperToPattern } from '../geometry/frames.ts';
import { isInside, sidesOf } from '../geometry/sides.ts';
import { weightedMedian } from '../geometry/weighted-median.ts';
import type { InkField } from '../ink/ink.ts';
import { keepRidges } from '../strokes/ridges.ts';
import type { Segment } from '../strokes/segments.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import type { PatternPoint, Sheet } from '../types.ts';
import { along, borderPx, chordsOf, inkAlong, lineOf, lineThrough, outsideOf, type PaperLine } from './past-outline.ts';

/** A fold has at most this share of the ink that is usual across the drawing's strokes, ... */
const PALER = 0.6;
/** ... and past the outline at least this share of what it has within, at most the inverse; more or less is another line. */
const GOES_ON = 0.6;
/** It must stand out of the paper beside it by so many times what lines next to it show. */
const STANDS_OUT = 4;
/** ... up to the paper's edge: there what lies beside it has so much of its ink. */
const EDGE = 0.3;
/** Strokes shorter than this do not say where they lead, px. */
const LEAST_PX = 20;
/** Their ends are known to this, so that is how far beside their line it may be found outside, px; no farther than the second. */
const END_PX = 1;
const BESIDE_PX = 24;
/** So many pale strokes are followed, the longest first. */
const MOST_FOLLOWED = 150;
/** More lines across the sheet are printed on it: squared paper. */
const MOST_FOLDS = 10;
/** Centre line belongs to a fold this near, px or stroke widths, and within this turn (sine of 14 degrees), ... */
const ON_FOLD_PX = 2.5;
const ON_FOLD_WIDTHS = 0.8;
const ALONG = 0.24;
/** ... unless a stroke is drawn over it there: over so many px the ink is nearer to the drawing's than to the fold's. */
const DRAWN_PX = 12;

/** A line with where it enters and leaves the outline. */
export interface SheetFold extends PaperLine {
  readonly from: number;
  readonly to: number;
}

/**
 * The strokes without folds of the paper itself: a line across the whole pattern, paler than the drawing, that runs on past the
 * outline at both ends as pale as it is within. Creases end at the border; marks drawn past it are as strong as the drawing.
 * Squared paper has many such lines and stays. `folds` in paper px.
 */
export function withoutSheetFolds(
  strokes: Strokes,
  ink: InkField,
  sheet: Sheet,
): { strokes: Strokes; folds: readonly SheetFold[] } {
  const inside = isInsideOf(sheet);
  const margin = 1.5 * ink.strokeWidthPx + 2;
  const inner = strokes.segments.filter((s) => s.length >= LEAST_PX && inside(s.x, s.y, margin));
  const amounts = inner.map((s) => amountOf(s, ink));
  const usual = weightedMedian(inner.map((s, i) => ({ value: amounts[i], weight: s.length })));
  const pale = inner.filter((_, i) => amounts[i] <= PALER * usual).sort((a, b) => b.length - a.length);
  const folds: SheetFold[] = [];
  for (const s of pale.slice(0, MOST_FOLLOWED)) {
    if (folds.some((f) => isOn(f, s.x, s.y, s.angle, ink))) continue;
    const fold = follow(s, ink, sheet, usual);
    if (fold) folds.push(fold);
  }
  if (folds.length === 0 || folds.length > MOST_FOLDS) return { strokes, folds: [] };
  const { ridges } = strokes;
  const isDrawn = folds.map((f) => drawnOver(f, ink, usual));
  const kept = keepRidges(ridges, (p) =>
    folds.every(
      (f, i) => !isOn(f, ridges.x[p], ridges.y[p], ridges.angle[p], ink) || isDrawn[i](ridges.x[p], ridges.y[p]),
    ),
  );
  return { strokes: linkStrokes(kept, ink), folds };
}

/** The middle of a fold, pattern units. */
export function middleOfFold({ nx, ny, off, from, to }: SheetFold, sheet: Sheet): PatternPoint {
  const t = (from + to) / 2;
  const [x, y] = [nx * off + ny * t, ny * off - nx * t];
  return paperToPattern(sheet, [x, y]);
}

function isInsideOf(sheet: Sheet): (x: number, y: number, marginPx: number) => boolean {
  const sides = sidesOf(sheet.polygon);
  return (x, y, marginPx) => {
    const [u, v] = paperToPattern(sheet, [x, y]);
    return isInside(sides, u, v, marginPx / sheet.pxPerUnit);
  };
}

/** What a stroke has where it is drawn: dashes leave gaps. */
const DRAWN = 0.75;

function amountOf(s: Segment, ink: InkField): number {
  const line = lineOf(s);
  const t = along(line, s.x, s.y);
  return inkAlong(line, t - s.length / 2, t + s.length / 2, ink, DRAWN) || 0;
}

/** The fold that a pale stroke is part of, or null. */
function follow(s: Segment, ink: InkField, sheet: Sheet, usual: number): SheetFold | null {
  const first = lineOf(s);
  const middle = along(first, s.x, s.y);
  const amount = amountOf(s, ink);
  const outside = outsideOf(first, sheet, ink, EDGE * amount);
  if (!outside) return null;
  // Where the line shows most past the outline, at either end.
  const hits: { x: number; y: number }[] = [];
  for (const [from, to] of outside) {
    const t = (from + to) / 2;
    const room = Math.min(BESIDE_PX, END_PX + (2 * END_PX * Math.abs(t - middle)) / s.length);
    const tried: { value: number; weight: number }[] = [];
    for (let beside = -Math.ceil(room); beside <= room; beside += 0.5)
      tried.push({ value: beside, weight: inkAlong(turnedTo(first, middle, t, beside), from, to, ink) || 0 });
    const most = Math.max(...tried.map(({ weight }) => weight));
    if (most < GOES_ON ** 2 * amount) return null;
    // The window is wider than the stroke: the middle of where it holds all of it.
    const off = first.off + weightedMedian(tried.map((w) => ({ ...w, weight: w.weight >= HOLDS * most ? 1 : 0 })));
    hits.push({ x: first.nx * off + first.ny * t, y: first.ny * off - first.nx * t });
  }
  const line = lineThrough(hits[0].x, hits[0].y, hits[1].x, hits[1].y);
  if (Math.abs(line.nx * s.x + line.ny * s.y - line.off) > ON_FOLD_PX) return null;
  const chord = chordsOf(sheet, -borderPx(ink))(line);
  if (!chord) return null;
  // Turned by little, the line passes the outline where it did.
  const shift = along(line, s.x, s.y) - middle;
  const past = outside.map(([a, b]) => [a + shift, b + shift]);
  const [within, before, after] = [chord, ...past].map(([a, b]) => inkAlong(line, a, b, ink));
  const beside = past.flatMap(([a, b]) =>
    CONTROLS_PX.map((o) => Math.abs(inkAlong({ ...line, off: line.off + o }, a, b, ink)) || 0),
  );
  const clear = STANDS_OUT * Math.max(...beside);
  const goesOn = [before, after].every((v) => v >= GOES_ON * within && v <= within / GOES_ON && v >= clear);
  return goesOn && within <= PALER * usual ? { ...line, from: chord[0], to: chord[1] } : null;
}

/** A window holds a stroke if it has this share of the most ink. */
const HOLDS = 0.9;

/** Lines beside a fold that show what bare paper shows, px. */
const CONTROLS_PX = [-16, 16];

/** A line turned about its place at `middle` so that it lies `beside` px off at `t`. */
function turnedTo({ nx, ny, off }: PaperLine, middle: number, t: number, beside: number): PaperLine {
  const [ax, ay] = [nx * off + ny * middle, ny * off - nx * middle];
  const [bx, by] = [nx * (off + beside) + ny * t, ny * (off + beside) - nx * t];
  return t > middle ? lineThrough(ax, ay, bx, by) : lineThrough(bx, by, ax, ay);
}

function isOn({ nx, ny, off }: PaperLine, x: number, y: number, angle: number, ink: InkField): boolean {
  const near = Math.max(ON_FOLD_PX, ON_FOLD_WIDTHS * ink.strokeWidthPx);
  return Math.abs(nx * x + ny * y - off) < near && Math.abs(nx * Math.cos(angle) + ny * Math.sin(angle)) < ALONG;
}

/** Whether a stroke of the drawing's strength lies over the fold at a place. */
function drawnOver(fold: SheetFold, ink: InkField, usual: number): (x: number, y: number) => boolean {
  const level = (inkAlong(fold, fold.from, fold.to, ink) + usual) / 2;
  return (x, y) => {
    const t = along(fold, x, y);
    return inkAlong(fold, t - DRAWN_PX, t + DRAWN_PX, ink) > level;
  };
}
