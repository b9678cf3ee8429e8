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
/** A hand that strays at all strays everywhere: by 2 to 8 times its usual at most. Where most strokes lie on the grid, those that run beside it all along are meant to. */
const MOST_USUAL = 15;
const PARALLEL = 0.95;
/** The most that an unsteady stroke may turn from its line, radians. */
const MOST_TURN = (12 * Math.PI) / 180;

export interface GridLine {
  readonly direction: number;
  readonly index: number;
  /** Root mean square distance of the segment to the line, pattern units, and that of its middle. */
  readonly miss: number;
  readonly aside: number;
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
    best = { direction, index, miss: Math.hypot(middle, (s.length * turn) / Math.sqrt(12)), aside: Math.abs(middle) };
  });
  return best;
}

/**
 * How far strokes of the grid may lie beside its lines, pattern units. Unsteady hands draw beside the grid, while lines
 * that are truly off it lie anywhere between its lines: where nearly all length along the grid's directions lies within a
 * small share of the step, and no stroke runs beside its line very much farther than is usual, all of it belongs to the grid. 0 where that does not hold, or where there is no grid.
 */
export function gridReach({ straight, step }: Pick<LatticeFit, 'straight' | 'step'>): number {
  if (step === 0) return 0;
  const misses: Miss[] = [];
  const lines = new Set<string>();
  for (const s of straight) {
    if (s.length < NEAR * step) continue;
    const line = lineBeside(s, step);
    if (!line) continue;
    misses.push({ value: line.miss, weight: s.length, ...line });
    lines.add(`${line.direction}/${line.index}`);
  }
  if (lines.size < LEAST_LINES) return 0;
  const most = weightedQuantile(misses, NEARLY_ALL);
  const far = MOST_USUAL * usualMiss(misses);
  const isMeant = most > far && misses.some(({ value, aside }) => value > far && aside > PARALLEL * value);
  return most < NEAR * step && !isMeant ? ROOM * most : 0;
}

type Miss = GridLine & { readonly value: number; readonly weight: number };

/** How far lines usually lie beside the grid, but for the outermost of each direction: the border is where the grid was laid. */
function usualMiss(misses: readonly Miss[]): number {
  const ends = new Map<number, readonly [number, number]>();
  for (const { direction, index } of misses) {
    const [low, high] = ends.get(direction) ?? [index, index];
    ends.set(direction, [Math.min(low, index), Math.max(high, index)]);
  }
  const inner = misses.filter(({ direction, index }) => !ends.get(direction)!.includes(index));
  return inner.length > 0 ? weightedQuantile(inner, 0.5) : Infinity;
}
