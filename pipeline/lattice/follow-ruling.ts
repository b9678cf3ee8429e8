import type { Ridges } from '../strokes/ridges.ts';
import { along } from './past-outline.ts';
import type { Ruling } from './rulings.ts';

/** Centre line belongs to a printed line this near, px and as a share of the step, and within this turn (sine of 14 degrees). */
const ON_LINE_PX = 2.5;
const ON_LINE_SHARE = 0.05;
const ALONG = 0.24;
/** Lines are followed from bin to bin of this length, px, each as most of so many nearest ones go; with fewer in sight than the second, straight on. */
const BIN_PX = 40;
const NEIGHBOURS = 7;
const LEAST_LINES = 3;
/** From one bin to the next they stray by this share of the step at most; fewer points tell nothing. */
const STRAY = 0.25;
const LEAST_POINTS = 6;

/**
 * Of each centre-line point the printed line that it lies on, or -1. The lines are straight from crossing to crossing of the margin only on the
 * paper: where the sides that a hand drew were laid straight, they bow, all in a neighbourhood alike. So they are followed inward from
 * both ends by the points beside them, neighbours together, among which what is drawn there is few.
 */
export function followRuling({ lines, step }: Ruling, ridges: Ridges): Int32Array {
  const { nx, ny } = lines[lines.length >> 1];
  const points: number[] = [];
  for (let p = 0; p < ridges.count; p++)
    if (Math.abs(nx * Math.cos(ridges.angle[p]) + ny * Math.sin(ridges.angle[p])) < ALONG) points.push(p);
  const on = new Int32Array(ridges.count).fill(-1);
  if (points.length === 0) return on;
  const positions = points.map((p) => along({ nx, ny, off: 0 }, ridges.x[p], ridges.y[p]));
  const first = Math.min(...positions.filter((t) => Number.isFinite(t)));
  const bins: number[][] = [];
  points.forEach((p, i) => {
    const bin = Math.floor((positions[i] - first) / BIN_PX);
    for (let b = bins.length; b <= bin; b++) bins.push([]);
    bins[bin].push(p);
  });
  /** How far each line has come off its straight way. */
  const settle = (bin: readonly number[], bow: Float64Array): void => {
    const strays = lines.map((): number[] => []);
    for (const p of bin) {
      const { line, stray } = nearestLine(lines, bow, ridges.x[p], ridges.y[p]);
      if (Math.abs(stray) < STRAY * step) strays[line].push(stray);
    }
    const own = strays.flatMap((of, line) => (of.length < LEAST_POINTS ? [] : [{ line, by: middleOf(of) }]));
    const moved = lines.map((_, k) => {
      if (own.length < LEAST_LINES) return 0;
      const nearest = [...own].sort((a, b) => Math.abs(a.line - k) - Math.abs(b.line - k)).slice(0, NEIGHBOURS);
      return middleOf(nearest.map(({ by }) => by));
    });
    moved.forEach((by, k) => {
      bow[k] += by;
    });
    for (const p of bin) {
      const { line, stray } = nearestLine(lines, bow, ridges.x[p], ridges.y[p]);
      if (Math.abs(stray) < ON_LINE_PX + ON_LINE_SHARE * step) on[p] = line;
    }
  };
  const half = bins.length >> 1;
  const [forth, back] = [new Float64Array(lines.length), new Float64Array(lines.length)];
  for (let b = 0; b < half; b++) settle(bins[b], forth);
  for (let b = bins.length - 1; b >= half; b--) settle(bins[b], back);
  return on;
}

function middleOf(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[values.length >> 1];
}

/** The line nearest to a place, and how far beside it that lies, px. */
function nearestLine(lines: Ruling['lines'], bow: Float64Array, x: number, y: number): { line: number; stray: number } {
  let [line, stray] = [-1, Number.POSITIVE_INFINITY];
  lines.forEach(({ nx, ny, off }, k) => {
    const beside = nx * x + ny * y - off - bow[k];
    if (Math.abs(beside) < Math.abs(stray)) [line, stray] = [k, beside];
  });
  return { line, stray };
}
