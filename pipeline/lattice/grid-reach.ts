import { weightedQuantile } from '../geometry/weighted-median.ts';
import { GRID_DIRECTIONS } from './grid-directions.ts';
import type { LatticeFit } from './lattice.ts';
import type { StraightSegment } from './straight-segment.ts';

/** Strokes along the grid's directions that lie this near to its lines, as a share of the step, cannot all do so by chance. */
const NEAR = 0.13;
const NEARLY_ALL = 0.95;
/** Fewer lines than this may all be near by chance. */
const LEAST_LINES = 5;
const ROOM = 1.3;
/** A hand that strays at all strays everywhere: by 2 to 8 times its usual at most. Where most strokes lie on the grid, those beside it are meant to. */
const MOST_USUAL = 15;
/** The most that an unsteady stroke may turn from its line, radians. */
const MOST_TURN = (12 * Math.PI) / 180;

export interface GridLine {
  readonly direction: number;
  readonly index: number;
  /** Root mean square distance of the segment to the line, pattern units. */
  readonly miss: number;
}

/** The grid line that a segment runs along most nearly, or null where it runs across all of them. */
export function lineBeside(s: StraightSegment, step: number): GridLine | null {
  let best: GridLine | null = null;
  GRID_DIRECTIONS.forEach((g, direction) => {
    const turn = Math.sin(s.angle - g.angle);
    if (Math.abs(turn) > Math.sin(MOST_TURN)) return;
    const off = (g.a * s.x + g.b * s.y) / step;
    const index = Math.round(off);
    const middle = ((off - index) * step) / Math.hypot(g.a, g.b);
    best = { direction, index, miss: Math.hypot(middle, (s.length * turn) / Math.sqrt(12)) };
  });
  return best;
}

/**
 * How far strokes of the grid may lie beside its lines, pattern units. Unsteady hands draw beside the grid, while lines
 * that are truly off it lie anywhere between its lines: where nearly all length along the grid's directions lies within a
 * small share of the step, and few of it very much nearer than the rest, all of it belongs to the grid. 0 where that does not hold, or where there is no grid.
 */
export function gridReach({ straight, step }: Pick<LatticeFit, 'straight' | 'step'>): number {
  if (step === 0) return 0;
  const misses: { value: number; weight: number }[] = [];
  const lines = new Set<string>();
  for (const s of straight) {
    if (s.length < NEAR * step) continue;
    const line = lineBeside(s, step);
    if (!line) continue;
    misses.push({ value: line.miss, weight: s.length });
    lines.add(`${line.direction}/${line.index}`);
  }
  if (lines.size < LEAST_LINES) return 0;
  const most = weightedQuantile(misses, NEARLY_ALL);
  const isUnsteady = most < MOST_USUAL * weightedQuantile(misses, 0.5);
  return most < NEAR * step && isUnsteady ? ROOM * most : 0;
}
