import { type Bend, type BendRow, type BendSamples, bendAt, bendSamples, fitBend } from '../geometry/bend.ts';
import { MOST_DIVISIONS } from './pitch.ts';
import type { StraightSegment } from './straight-segment.ts';

/** Directions this far off an axis may still be a bent grid line, radians. */
const AXIS_SLACK = 0.14;
/** Side of the window in which the sheet is taken for flat, pattern units. */
const WINDOW = 0.36;
/** Local rhythm must reach this strength (1 is a perfect comb). */
const LEAST_RHYTHM = 0.5;
/** A coarser comb is taken if it is nearly as good as the best. */
const COARSER = 0.9;
/** Radius grows by this factor a step. */
const GROWTH = 1.18;
/** A line is numbered if it lies this near a whole number. */
const NUMBER_SLACK = 0.3;

/**
 * Numbers the lines of a grid on a smoothly bent sheet. The rhythm of parallel lines is found in small windows, where
 * the sheet is nearly flat; from the clearest window the numbering spreads outwards, each ring fitted by a smooth bend
 * that foretells the next. Returns the bend (pattern units) that lays the lines on a grid of the outline, or null.
 * `px` is one paper px in pattern units.
 */
export function growBend(segments: readonly StraightSegment[], px: number): Bend | null {
  const axes = [0, 1].map((k) => segments.filter((s) => axisOf(s) === k));
  if (axes[0].length < 6 || axes[1].length < 6) return null;
  const rhythm = findRhythm(axes);
  if (!rhythm) return null;
  const rows = axes.flatMap((list, k) => list.map((s) => ({ ...s, k })));
  const { divisions, cx, cy, phase } = rhythm;
  let bend: Bend = { degree: 0, x: Float64Array.of(-phase[1] / divisions), y: Float64Array.of(-phase[0] / divisions) };
  for (let radius = WINDOW / 2; radius < 1.6; radius *= GROWTH) {
    const near = rows.filter((s) => Math.max(Math.abs(s.x - cx), Math.abs(s.y - cy)) < radius);
    const samples = numbered(near, bend, divisions);
    if (samples.x.length < 8) return null;
    const degree = radius < 0.28 ? 1 : radius < 0.42 ? 2 : radius < 0.62 ? 3 : 4;
    bend = fitBend(samples, degree, Math.max(1.5 * px, 0.06 / divisions), 1e-5);
  }
  return settleOnOutline(rows, bend, divisions, px);
}

function axisOf(s: StraightSegment): number {
  if (s.x < -0.03 || s.x > 1.03 || s.y < -0.03 || s.y > 1.03) return -1;
  if (Math.abs(Math.sin(s.angle)) < AXIS_SLACK) return 0;
  return Math.abs(Math.cos(s.angle)) < AXIS_SLACK ? 1 : -1;
}

interface Rhythm {
  readonly divisions: number;
  readonly cx: number;
  readonly cy: number;
  /** Phase of the horizontal and of the vertical lines in the clearest window, in divisions. */
  readonly phase: readonly [number, number];
}

/** The number of divisions whose comb is strongest over all windows, and the window where it is clearest. */
function findRhythm(axes: readonly (readonly StraightSegment[])[]): Rhythm | null {
  const windows: { cx: number; cy: number; own: StraightSegment[][]; weight: number }[] = [];
  for (let cy = WINDOW / 2; cy < 1; cy += WINDOW / 2.2) {
    for (let cx = WINDOW / 2; cx < 1; cx += WINDOW / 2.2) {
      const own = axes.map((list) =>
        list.filter((s) => Math.abs(s.x - cx) < WINDOW / 2 && Math.abs(s.y - cy) < WINDOW / 2),
      );
      const weight = Math.min(own[0].length, own[1].length);
      if (weight >= 3) windows.push({ cx, cy, own, weight });
    }
  }
  if (windows.length === 0) return null;
  const total = new Float64Array(MOST_DIVISIONS + 1);
  const best = windows.map(() => new Float64Array(MOST_DIVISIONS + 1));
  windows.forEach((w, i) => {
    const flat = w.own.map((list, k) => offsets(list, k, w.cx, w.cy));
    for (let n = 3; n <= MOST_DIVISIONS; n++) {
      let top = 0;
      // A bent or tilted sheet stretches the local rhythm a little.
      for (let stretch = -0.04; stretch <= 0.0401; stretch += 0.01) {
        const f = n * (1 + stretch);
        top = Math.max(top, Math.min(comb(flat[0], f).strength, comb(flat[1], f).strength));
      }
      best[i][n] = top;
      total[n] += top * Math.min(w.weight, 12);
    }
  });
  const all = windows.reduce((s, w) => s + Math.min(w.weight, 12), 0);
  let strongest = 0;
  for (let n = 3; n <= MOST_DIVISIONS; n++) strongest = Math.max(strongest, total[n] / all);
  if (strongest < LEAST_RHYTHM) return null;
  let divisions = 3;
  while (total[divisions] / all < COARSER * strongest) divisions++;
  let seed = 0;
  const clear = (k: number) => best[k][divisions] * Math.sqrt(Math.min(20, windows[k].weight));
  for (let i = 1; i < windows.length; i++) if (clear(i) > clear(seed)) seed = i;
  const w = windows[seed];
  const phase = w.own.map((list, k) => comb(offsets(list, k, w.cx, w.cy), divisions).phase);
  return { divisions, cx: w.cx, cy: w.cy, phase: [phase[0], phase[1]] };
}

interface Offset {
  readonly at: number;
  readonly weight: number;
}

/** Where the lines of a window cross its middle, along the usual direction there. */
function offsets(list: readonly StraightSegment[], axis: number, cx: number, cy: number): Offset[] {
  const slopes = list
    .map((s) => (axis === 0 ? Math.tan(s.angle) : 1 / Math.tan(s.angle)))
    .filter((v) => Number.isFinite(v))
    .sort((a, b) => a - b);
  const slope = slopes.length ? slopes[slopes.length >> 1] : 0;
  return list.map((s) => ({
    at: axis === 0 ? s.y - slope * (s.x - cx) : s.x - slope * (s.y - cy),
    weight: Math.min(0.1, s.length),
  }));
}

/** Strength (0..1) and phase of the offsets on a comb of f teeth a unit. */
function comb(offsets: readonly Offset[], f: number): { strength: number; phase: number } {
  let re = 0;
  let im = 0;
  let sum = 0;
  for (const o of offsets) {
    re += o.weight * Math.cos(2 * Math.PI * f * o.at);
    im += o.weight * Math.sin(2 * Math.PI * f * o.at);
    sum += o.weight;
  }
  return { strength: sum > 0 ? Math.hypot(re, im) / sum : 0, phase: Math.atan2(im, re) / (2 * Math.PI) };
}

type Row = StraightSegment & { readonly k: number };

/** Lines near a whole number under the present bend, as samples for the next. */
function numbered(rows: readonly Row[], bend: Bend, divisions: number): BendSamples {
  const kept: BendRow[] = [];
  for (const s of rows) {
    const [bx, by] = bendAt(bend, s.x, s.y);
    const at = divisions * (s.k === 0 ? s.y + by : s.x + bx);
    const line = Math.round(at);
    if (Math.abs(at - line) > NUMBER_SLACK) continue;
    const own = s.k === 0 ? s.y : s.x;
    kept.push([s.x, s.y, s.k === 0 ? 0 : 1, s.k === 0 ? 1 : 0, line / divisions - own, Math.min(1, s.length / 0.06)]);
  }
  return bendSamples(kept);
}

/** Shifts and scales the numbering so that the sides of the outline carry 0 and the last number. */
function settleOnOutline(rows: readonly Row[], bend: Bend, divisions: number, px: number): Bend | null {
  const along = [0.15, 0.3, 0.5, 0.7, 0.85];
  const median = (values: number[]) => values.sort((a, b) => a - b)[values.length >> 1];
  const first = [0, 1].map((k) =>
    Math.round(median(along.map((t) => divisions * (k === 0 ? bendAt(bend, t, 0)[1] : bendAt(bend, 0, t)[0])))),
  );
  const last = [0, 1].map((k) =>
    Math.round(median(along.map((t) => divisions * (1 + (k === 0 ? bendAt(bend, t, 1)[1] : bendAt(bend, 1, t)[0]))))),
  );
  const span = last[0] - first[0];
  if (span < 2 || span !== last[1] - first[1]) return null;
  const samples = numbered(rows, bend, divisions);
  const off = samples.off.map((o, i) => {
    const k = samples.ny[i] === 1 ? 0 : 1;
    const own = k === 0 ? samples.y[i] : samples.x[i];
    return ((o + own) * divisions - first[k]) / span - own;
  });
  if (off.length < 40) return null;
  const settled = fitBend({ ...samples, off }, 4, Math.max(1.5 * px, 0.05 / span), 1e-5);
  return settled.degree < 0 ? null : settled;
}
