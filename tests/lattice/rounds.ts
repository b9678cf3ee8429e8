/** Circles among straight lines, painted with known places and looked for again. */
import { patternToPaper } from '../../pipeline/geometry/frames.ts';
import type { Segment } from '../../pipeline/strokes/segments.ts';
import type { PaperPoint, PatternPoint } from '../../pipeline/types.ts';
import { blankSheet, type Line, PX_PER_UNIT } from '../graph/hand.ts';
import { BLACK, bar, type Colour, fieldOf, type Patch, paint } from '../ink/painted.ts';

/** A circle, pattern units. */
export type Round = { readonly x: number; readonly y: number; readonly radius: number };

const sheet = blankSheet();
const SIZE = PX_PER_UNIT + 40;
const WIDTH_PX = 2.5;

export const place = (p: PatternPoint): PaperPoint => patternToPaper(sheet, p);

/** Lines as creases are painted. */
export const creases = (lines: readonly Line[]): Patch[] =>
  lines.map(([a, b]) => bar(place(a), place(b), WIDTH_PX, BLACK));

/** A curve from t = 0 to t = 1 in so many bars. */
export const curve = (at: (t: number) => PatternPoint, bars: number, widthPx = WIDTH_PX, colour = BLACK): Patch[] =>
  Array.from({ length: bars }, (_, k) => bar(place(at(k / bars)), place(at((k + 1) / bars)), widthPx, colour));

export const rims = (circles: readonly Round[], widthPx?: number, colour?: Colour): Patch[] =>
  circles.flatMap(({ x, y, radius }) => {
    const at = (t: number): PatternPoint => [
      x + radius * Math.cos(2 * Math.PI * t),
      y + radius * Math.sin(2 * Math.PI * t),
    ];
    return curve(at, 180, widthPx, colour);
  });

/** The ink of what is painted, the last on top. */
export const inkOf = (patches: readonly Patch[]) => fieldOf(SIZE, paint(SIZE, SIZE, patches), WIDTH_PX);

/** Whether the middle of a segment lies on one of the circles, and the segment runs along it. */
export const runsRound = (s: Segment, circles: readonly Round[]): boolean =>
  circles.some(({ x, y, radius }) => {
    const [dx, dy] = [(s.x - sheet.originPx[0]) / PX_PER_UNIT - x, (sheet.originPx[1] - s.y) / PX_PER_UNIT - y];
    const along = Math.abs(dx * Math.cos(s.angle) - dy * Math.sin(s.angle)) / Math.hypot(dx, dy);
    return Math.abs(Math.hypot(dx, dy) - radius) < 0.006 && along < 0.3;
  });

/** Length in all, px. */
export const lengthOf = (segments: readonly Segment[]): number => segments.reduce((sum, s) => sum + s.length, 0);
