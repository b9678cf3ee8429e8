import { paperToPattern, patternToPaper } from '../geometry/frames.ts';
import { weightedMedian, weightedQuantile } from '../geometry/weighted-median.ts';
import type { InkField } from '../ink/ink.ts';
import { keepRidges } from '../strokes/ridges.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import type { PatternPoint, Sheet } from '../types.ts';
import { followRuling } from './follow-ruling.ts';
import { along, inkAlong, lineOf, type PaperLine } from './past-outline.ts';
import { findRulings, type Ruling } from './rulings.ts';

/** Printed lines have at most this share of the ink that is usual across the drawing's strokes: as strong ones were drawn past the outline. */
const PALER = 0.75;
/**
 * A stroke is drawn over a printed line where over so many px each way there is, besides the line's own ink, this share of what a pale stroke
 * of the drawing has, and more than the line's own is uneven by.
 */
const DRAWN_PX = 8;
const DRAWN = 0.5;
const UNEVEN = 0.5;
/** Pale strokes: this share of the drawing's is paler. */
const PALE = 0.25;
/** What is left out of a line is told from this length on, px. */
const LEAST_TOLD_PX = 20;
/** The drawing keeps to the squares of the paper if its corners lie this near their lines, as a share of the step. */
const ON_SQUARES = 0.15;

/** The strokes without printed lines, and the middles of those lines. */
export interface Unruled {
  readonly strokes: Strokes;
  readonly ruled: readonly PatternPoint[];
  /** The same without the squares that the outline keeps to, which stay at first; null where there are none. */
  readonly withoutSquares: (() => Unruled) | null;
}

/**
 * The strokes without the pale lines printed on the paper that run on past the outline at both ends. Squared paper that the outline keeps to
 * stays at first: it may be the grid of the drawing (`findGuideGrid`).
 */
export function withoutRuled(strokes: Strokes, ink: InkField, sheet: Sheet): Unruled {
  const rulings = findRulings(strokes.segments, ink, sheet);
  if (!keepsToSquares(rulings, sheet)) return withoutRulings(rulings, strokes, ink, sheet);
  return { strokes, ruled: [], withoutSquares: () => withoutRulings(rulings, strokes, ink, sheet) };
}

function withoutRulings(rulings: readonly Ruling[], strokes: Strokes, ink: InkField, sheet: Sheet): Unruled {
  const asDrawn = { strokes, ruled: [], withoutSquares: null };
  if (rulings.length === 0) return asDrawn;
  const { ridges } = strokes;
  const followed = rulings.map((ruling) => followRuling(ruling, ridges));
  const lineAt = (p: number): { ruling: Ruling; line: PaperLine } | null => {
    const r = followed.findIndex((on) => on[p] >= 0);
    return r < 0 ? null : { ruling: rulings[r], line: rulings[r].lines[followed[r][p]] };
  };
  const isAlong = (points: Int32Array): boolean => points.filter((p) => lineAt(p) !== null).length > points.length / 2;
  const drawn = strokes.segments.flatMap((s) => {
    if (isAlong(s.points)) return [];
    const { x, y, length } = s;
    const line = lineOf(s);
    const t = along(line, x, y);
    return [{ value: inkAlong(line, t - length / 2, t + length / 2, ink) || 0, weight: length }];
  });
  const usual = weightedMedian(drawn);
  const isPrinted = rulings.every(({ amount }) => amount < PALER * usual);
  if (!isPrinted) return asDrawn;
  const pale = weightedQuantile(drawn, PALE);
  const left = new Map<PaperLine, { sum: [number, number]; count: number }>();
  const kept = keepRidges(ridges, (p) => {
    const on = lineAt(p);
    if (!on) return true;
    const { ruling, line } = on;
    const here = { ...line, off: line.nx * ridges.x[p] + line.ny * ridges.y[p] };
    const t = along(line, ridges.x[p], ridges.y[p]);
    const more = inkAlong(here, t - DRAWN_PX, t + DRAWN_PX, ink) - ruling.amount;
    if (more > Math.max(DRAWN * pale, UNEVEN * ruling.amount)) return true;
    const sum = left.get(line) ?? { sum: [0, 0], count: 0 };
    sum.sum[0] += ridges.x[p];
    sum.sum[1] += ridges.y[p];
    sum.count++;
    left.set(line, sum);
    return false;
  });
  const ruled = [...left.values()]
    .filter(({ count }) => count >= LEAST_TOLD_PX)
    .map(({ sum: [x, y], count }) => paperToPattern(sheet, [x / count, y / count]));
  return { strokes: ruled.length > 0 ? linkStrokes(kept, ink) : strokes, ruled, withoutSquares: null };
}

function keepsToSquares(rulings: readonly Ruling[], sheet: Sheet): boolean {
  if (rulings.length < 2) return false;
  return sheet.polygon.every((corner) => {
    const [x, y] = patternToPaper(sheet, corner);
    return rulings.every(({ lines, step }) =>
      lines.some(({ nx, ny, off }) => Math.abs(nx * x + ny * y - off) < ON_SQUARES * step),
    );
  });
}
