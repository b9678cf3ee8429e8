import type { PatternPoint, Sheet } from '../types.ts';
import type { StraightPoints } from './straight-points.ts';

/** Evenly spaced parallel lines nx x + ny y = phase + k step, pattern units. */
export interface Row {
  /** Direction of the lines, radians in [0, pi), y up. */
  readonly angle: number;
  readonly nx: number;
  readonly ny: number;
  readonly step: number;
  readonly phase: number;
}

/** Directions are counted in so many bins of half a turn; those with less than this share of the points are none of a row, and no more are looked at. */
const BINS = 360;
const LEAST_SHARE = 0.04;
const MOST_DIRECTIONS = 8;
/** Points this near to a direction tell where it is exactly, and points this near run along it, radians. */
const NEAR = 0.02;
const ALONG = 0.1;
/** A line is whole if this much of it shows, and of its row so many must be. */
const WHOLE = 0.65;
const WHOLE_SHARE = 0.75;
/** Fewer lines are creases; lines nearer than this, px, are strokes that touch. */
const LEAST_LINES = 5;
const LEAST_STEP_PX = 6;
/** Shorter chords of the sheet say nothing, as a share of the longest side. */
const LEAST_CHORD = 0.15;
/** Lines lie on their row to this share of the step, or px. */
const EVEN = 0.08;
const EVEN_PX = 1.2;

/** The rows of evenly spaced lines that run right through the sheet, in any direction. */
export function rowsOf(points: StraightPoints, sheet: Sheet): Row[] {
  return directionsOf(points).flatMap((angle) => rowAlong(angle, points, sheet) ?? []);
}

function directionsOf({ angle }: StraightPoints): number[] {
  const sums = new Float64Array(BINS);
  for (const a of angle) sums[binOf(a)]++;
  const wide = sums.map((v, i) => v + sums[(i + 1) % BINS] + sums[(i + BINS - 1) % BINS]);
  const found: number[] = [];
  for (const bin of [...wide.keys()].sort((a, b) => wide[b] - wide[a])) {
    if (wide[bin] < LEAST_SHARE * angle.length || found.length === MOST_DIRECTIONS) break;
    const middle = ((bin + 0.5) * Math.PI) / BINS;
    if (found.some((f) => Math.abs(turn(f, middle)) < 2 * NEAR)) continue;
    const near = [...angle].map((a) => turn(a, middle)).filter((t) => Math.abs(t) < NEAR);
    near.sort((a, b) => a - b);
    found.push(middle + near[near.length >> 1]);
  }
  return found;
}

function binOf(angle: number): number {
  return (((Math.floor((angle / Math.PI) * BINS) % BINS) + BINS) % BINS) | 0;
}

/** The turn from b to a, radians in [-pi / 2, pi / 2). */
function turn(a: number, b: number): number {
  return a - b - Math.PI * Math.round((a - b) / Math.PI);
}

function rowAlong(angle: number, points: StraightPoints, { polygon, pxPerUnit, width, height }: Sheet): Row | null {
  const px = 1 / pxPerUnit;
  const [ux, uy] = [Math.cos(angle), Math.sin(angle)];
  const [nx, ny] = [-uy, ux];
  const offs = polygon.map(([x, y]) => nx * x + ny * y);
  const low = Math.min(...offs);
  const count = Math.ceil((Math.max(...offs) - low) / px) + 1;
  const span = 2 * Math.hypot(width, height);
  // For each px across the direction the px along it at which a point shows.
  const shown = Array.from({ length: count }, () => new Set<number>());
  for (let p = 0; p < points.x.length; p++) {
    if (Math.abs(turn(points.angle[p], angle)) > ALONG) continue;
    const k = Math.round((nx * points.x[p] + ny * points.y[p] - low) / px);
    if (k < 0 || k >= count) continue;
    shown[k].add(Math.round((ux * points.x[p] + uy * points.y[p] + span) / px));
  }
  const coverOf = (k: number): number => {
    const chord = chordLength(polygon, nx, ny, low + k * px, ux, uy) / px;
    const longest = Math.max(width, height) / px;
    if (chord < LEAST_CHORD * longest) return Number.NaN;
    const seen = new Set<number>();
    for (let j = Math.max(0, k - 2); j <= Math.min(count - 1, k + 2); j++)
      for (const t of shown[j]) for (let d = -1; d <= 1; d++) seen.add(t + d);
    return Math.min(1, seen.size / chord);
  };
  const covers = Array.from(shown.keys(), coverOf);
  const lines: number[] = [];
  for (let k = 1; k < count - 1; k++) {
    if (!(covers[k] >= WHOLE)) continue;
    let [sum, weight] = [0, 0];
    const from = k;
    while (k < count && covers[k] >= WHOLE && k - from < LEAST_STEP_PX) {
      sum += k * covers[k];
      weight += covers[k++];
    }
    lines.push(sum / weight);
  }
  if (lines.length < LEAST_LINES) return null;
  const fit = evenFit(lines, covers);
  return fit && { angle, nx, ny, step: fit.step * px, phase: low + fit.phase * px };
}

/** Step and phase, px, on which the most lines lie and which has hardly a line missing. */
function evenFit(lines: readonly number[], covers: readonly number[]): { step: number; phase: number } | null {
  const tolerance = (step: number): number => Math.max(EVEN_PX, EVEN * step);
  let best: { step: number; phase: number; on: number } | null = null;
  for (let i = 0; i + 1 < lines.length; i++) {
    for (let j = i + 1; j < Math.min(lines.length, i + 3); j++) {
      let [step, phase] = [lines[j] - lines[i], lines[i]];
      if (step < LEAST_STEP_PX || (best && Math.abs(best.step - step) < 0.02 * step)) continue;
      // Least squares over what lies on it, a few times: the first step is that of two lines only.
      let own: number[] = [];
      for (let round = 0; round < 4; round++) {
        own = lines.filter((at) => Math.abs(at - phase - step * Math.round((at - phase) / step)) < tolerance(step));
        const ks = own.map((at) => Math.round((at - phase) / step));
        const meanK = ks.reduce((s, k) => s + k, 0) / ks.length;
        const meanAt = own.reduce((s, at) => s + at, 0) / own.length;
        const square = ks.reduce((s, k) => s + (k - meanK) ** 2, 0);
        if (square === 0) break;
        step = own.reduce((s, at, n) => s + (at - meanAt) * (ks[n] - meanK), 0) / square;
        phase = meanAt - step * meanK;
      }
      if (own.length < LEAST_LINES || (best && own.length <= best.on)) continue;
      if (wholeShare(step, phase, covers) >= WHOLE_SHARE) best = { step, phase, on: own.length };
    }
  }
  return best;
}

/** Share of the row's lines within the sheet that are whole. */
function wholeShare(step: number, phase: number, covers: readonly number[]): number {
  let [whole, all] = [0, 0];
  for (let at = phase - step * Math.floor(phase / step); at < covers.length; at += step) {
    const k = Math.round(at);
    const near = covers.slice(Math.max(0, k - 1), k + 2).filter((v) => !Number.isNaN(v));
    if (near.length === 0) continue;
    all++;
    if (Math.max(...near) >= WHOLE) whole++;
  }
  return all < LEAST_LINES ? 0 : whole / all;
}

/** Length within the polygon (convex, counterclockwise) of the line at `off` along the normal. */
function chordLength(
  polygon: readonly PatternPoint[],
  nx: number,
  ny: number,
  off: number,
  ux: number,
  uy: number,
): number {
  const at: number[] = [];
  polygon.forEach(([ax, ay], k) => {
    const [bx, by] = polygon[(k + 1) % polygon.length];
    const [da, db] = [nx * ax + ny * ay - off, nx * bx + ny * by - off];
    if (da < 0 === db < 0) return;
    const t = da / (da - db);
    at.push(ux * (ax + (bx - ax) * t) + uy * (ay + (by - ay) * t));
  });
  return at.length < 2 ? 0 : Math.max(...at) - Math.min(...at);
}
