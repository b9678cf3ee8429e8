import { paperToPattern, patternToPaper } from '../geometry/frames.ts';
import { weightedQuantile } from '../geometry/weighted-median.ts';
import type { InkField } from '../ink/ink.ts';
import { keepRidges } from '../strokes/ridges.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import type { PatternPoint, Sheet } from '../types.ts';
import { followRuling } from './follow-ruling.ts';
import { along, inkAlong, type PaperLine } from './past-outline.ts';
import { findRulings, type Ruling } from './rulings.ts';

/** A stroke is drawn over it where over so many px each way there is this share of a pale stroke's ink besides the line's own, or more than so much of the line's. */
const DRAWN_PX = 8;
const DRAWN = 0.5;
const PALE = 0.25;
const UNEVEN = 0.5;
/** The drawing keeps to squares whose lines its corners lie on, as a share of the step. */
const ON_SQUARES = 0.15;

/**
 * The strokes without the lines printed on the paper that run on past the outline at both ends. Squared paper that the outline keeps to
 * stays: it is the grid of the drawing (`findGuideGrid`). `ruled` are the middles of the lines that were left out.
 */
export function withoutRuled(
  strokes: Strokes,
  ink: InkField,
  sheet: Sheet,
): { strokes: Strokes; ruled: readonly PatternPoint[] } {
  const rulings = findRulings(strokes.segments, ink, sheet);
  if (rulings.length === 0 || keepsToSquares(rulings, sheet)) return { strokes, ruled: [] };
  const { ridges } = strokes;
  const followed = rulings.map((ruling) => followRuling(ruling, ridges));
  const lineAt = (p: number): { ruling: Ruling; line: PaperLine } | null => {
    const r = followed.findIndex((on) => on[p] >= 0);
    return r < 0 ? null : { ruling: rulings[r], line: rulings[r].lines[followed[r][p]] };
  };
  const isAlong = (points: Int32Array): boolean => points.filter((p) => lineAt(p) !== null).length > points.length / 2;
  const drawn = strokes.segments.flatMap(({ x, y, angle, length, points }) => {
    if (isAlong(points)) return [];
    const line = { nx: -Math.sin(angle), ny: Math.cos(angle), off: Math.cos(angle) * y - Math.sin(angle) * x };
    const t = along(line, x, y);
    return [{ value: inkAlong(line, t - length / 2, t + length / 2, ink) || 0, weight: length }];
  });
  if (drawn.length === 0) return { strokes, ruled: [] };
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
  const ruled = [...left.values()].map(({ sum: [x, y], count }) => paperToPattern(sheet, [x / count, y / count]));
  return { strokes: linkStrokes(kept, ink), ruled };
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
