import { isInside, sidesOf } from '../geometry/sides.ts';
import type { InkField } from '../ink/ink.ts';
import { keepRidges, type Ridges } from '../strokes/ridges.ts';
import type { Segment } from '../strokes/segments.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';

/** Lines with less than one of these shares of the ink that this drawing's lines usually have may be no lines of it, ... */
const FAINT = [0.4, 0.3, 0.22];
/** ... provided hardly any line is between faint and not, as a share of all length: uneven pencils and pale inks shade over. */
const BETWEEN = { from: 0.8, to: 1.2, share: 0.025 };
/** ... and the faint ones are few: a pale second ink draws more than this share of the length. */
const FEW = 0.25;
/** Faint pieces shorter than this are specks, not lines: stroke widths, and px more. */
const LINE_WIDTHS = 8;
const LINE_PX = 20;
/** A thinner stroke has less ink than its crest tells: a crest counts this much. */
const CREST_FACTOR = 1.6;
/** A stretch is judged over so many points each way, by ink that is rarely exceeded there: centre lines run through gaps of dashes. */
const REACH = 30;
const HIGH = 0.8;
/** Paper beside a stroke is looked at this far from its edge, px. */
const FLANK_FROM = 1;
const FLANK_TO = 4;

/**
 * The strokes without folds of the sheet itself, print of the other side, shadows: they have far less ink across them
 * than all other lines, and there are few of them. The same strokes where no such group stands apart, or where a program
 * drew the picture: pale guides are few too. `faint` are the straight lines that were left out.
 */
export function withoutFaint(
  strokes: Strokes,
  ink: InkField,
  sheet: Sheet,
): { strokes: Strokes; faint: readonly Segment[] } {
  if (ink.plain) return { strokes, faint: [] };
  const { ridges, segments } = strokes;
  const inner = insideOf(ridges, sheet, 1.5 * ink.strokeWidthPx + 2);
  const sums = new Float64Array(9);
  const amount = alongSegments(ridges, segments, (p, angle) => inkAcross(ridges, p, angle, ink, sums));
  const crest = alongSegments(ridges, segments, (p) => crestAt(ridges, p, ink));
  const [usualAmount, usualCrest] = [amount, crest].map((of) => {
    const sorted = of.filter((v, p) => v >= 0 && inner[p]).sort();
    return sorted[sorted.length >> 1] ?? 0;
  });
  // The crest tells where a neighbour's ink reaches into the window; the amount where strokes are thinner than a px.
  const share = amount.map((v, p) => (v < 0 ? -1 : Math.min(v / usualAmount, (CREST_FACTOR * crest[p]) / usualCrest)));
  const sorted = share.filter((v, p) => v >= 0 && inner[p]).sort();
  const below = (limit: number): number => sorted.findIndex((v) => v >= limit) / sorted.length;
  const limit = FAINT.find((f) => below(BETWEEN.to * f) - below(BETWEEN.from * f) <= BETWEEN.share) ?? 0;
  const faint = below(limit);
  if (!(faint > 0 && faint < FEW)) return { strokes, faint: [] };
  const isFaint = (p: number): boolean => inner[p] === 1 && share[p] >= 0 && share[p] < limit;
  const parted = (keep: (p: number) => boolean): Strokes => linkStrokes(keepRidges(ridges, keep), ink);
  const leastPx = LINE_WIDTHS * ink.strokeWidthPx + LINE_PX;
  return {
    strokes: parted((p) => !isFaint(p)),
    faint: parted(isFaint).segments.filter(({ length }) => length >= leastPx),
  };
}

/** A measure at each centre-line point: what it rarely exceeds along its segment nearby; -1 off all segments. */
function alongSegments(
  ridges: Ridges,
  segments: readonly Segment[],
  measure: (point: number, angle: number) => number,
): Float32Array {
  const out = new Float32Array(ridges.count).fill(-1);
  for (const { points, angle } of segments) {
    const raw = new Float32Array(points.length);
    for (let i = 0; i < raw.length; i++) raw[i] = measure(points[i], angle);
    const usual = slidingQuantile(raw, REACH, HIGH);
    points.forEach((p, i) => {
      out[p] = usual[i];
    });
  }
  return out;
}

/** Of each value and the `reach` before and after it, as far as there are any, the one with this share of them below it. */
function slidingQuantile(values: Float32Array, reach: number, share: number): Float32Array {
  const window = new Float32Array(2 * reach + 2);
  let n = 0;
  const placeOf = (v: number): number => {
    let [low, high] = [0, n];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (window[middle] < v) low = middle + 1;
      else high = middle;
    }
    return low;
  };
  const put = (v: number): void => {
    const at = placeOf(v);
    window.copyWithin(at + 1, at, n++);
    window[at] = v;
  };
  const take = (v: number): void => {
    window.copyWithin(placeOf(v), placeOf(v) + 1, n--);
  };
  for (const v of values.subarray(0, reach)) put(v);
  return values.map((_, i) => {
    if (i + reach < values.length) put(values[i + reach]);
    if (i > reach) take(values[i - reach - 1]);
    return window[Math.floor(share * (n - 1))];
  });
}

/** Greatest density within a px of a centre-line point. */
function crestAt(ridges: Ridges, p: number, ink: InkField): number {
  const x0 = Math.floor(ridges.x[p]);
  const y0 = Math.floor(ridges.y[p]);
  let most = 0;
  for (let y = Math.max(0, y0 - 1); y <= Math.min(ink.height - 1, y0 + 1); y++)
    for (let x = Math.max(0, x0 - 1); x <= Math.min(ink.width - 1, x0 + 1); x++)
      most = Math.max(most, ink.density[y * ink.width + x]);
  return most;
}

/**
 * Ink across a centre line at one of its points, paper beside it taken off: density px, root mean square of the channels. `sums` is
 * room for nine numbers.
 */
function inkAcross(ridges: Ridges, p: number, angle: number, ink: InkField, sums: Float64Array): number {
  const half = Math.ceil(ink.strokeWidthPx / 2) + FLANK_FROM;
  const ux = -Math.sin(angle);
  const uy = Math.cos(angle);
  // Channels of the one flank, of the stroke, of the other flank.
  sums.fill(0);
  for (let k = -half - FLANK_TO; k <= half + FLANK_TO; k++) {
    const x = Math.min(ink.width - 1, Math.max(0, Math.floor(ridges.x[p] + ux * k)));
    const y = Math.min(ink.height - 1, Math.max(0, Math.floor(ridges.y[p] + uy * k)));
    const from = (y * ink.width + x) * 3;
    const to = k < -half ? 0 : k > half ? 6 : 3;
    for (let c = 0; c < 3; c++) sums[to + c] += ink.diff[from + c];
  }
  // A neighbouring line may lie on one flank: the barer one is paper.
  const paper = Math.hypot(sums[0], sums[1], sums[2]) < Math.hypot(sums[6], sums[7], sums[8]) ? 0 : 6;
  const scale = (2 * half + 1) / FLANK_TO;
  const over = (c: number): number => sums[3 + c] - scale * sums[paper + c];
  return Math.hypot(over(0), over(1), over(2)) / Math.sqrt(3);
}

/** 1 for points farther inside the outline than `marginPx`. */
function insideOf(ridges: Ridges, sheet: Sheet, marginPx: number): Uint8Array {
  const px = 1 / sheet.pxPerUnit;
  const sides = sidesOf(sheet.polygon);
  const inside = new Uint8Array(ridges.count);
  for (let p = 0; p < inside.length; p++) {
    const x = (ridges.x[p] - sheet.originPx[0]) * px;
    const y = (sheet.originPx[1] - ridges.y[p]) * px;
    inside[p] = isInside(sides, x, y, marginPx * px) ? 1 : 0;
  }
  return inside;
}
