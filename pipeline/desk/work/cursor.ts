import type { Pattern, PatternPoint } from '../../types.ts';
import { SAME_PLACE } from './draft.ts';
import { gridOf, isOnSheet, nearestGridPoint } from './grid.ts';

export type Direction = 'left' | 'right' | 'up' | 'down';

const AHEAD: Readonly<Record<Direction, readonly [number, number]>> = {
  left: [-1, 0],
  right: [1, 0],
  up: [0, 1],
  down: [0, -1],
};
const EDGE_TOLERANCE = 1e-4;

/**
 * Where the keyboard's cursor goes next: the nearest vertex or grid point that lies more ahead than aside. Stays where it
 * is if there is none.
 */
export function nextPlace(pattern: Pattern, from: PatternPoint, direction: Direction): PatternPoint {
  const [ux, uy] = AHEAD[direction];
  const candidates: PatternPoint[] = [...pattern.vertices];
  const grid = gridOf(pattern);
  if (grid) {
    const { at } = nearestGridPoint(grid, from);
    for (const steps of [0, 1]) {
      const next: PatternPoint = [at[0] + (steps * ux) / grid.parts, at[1] + (steps * uy) / grid.parts];
      if (isOnSheet(pattern, next, EDGE_TOLERANCE)) candidates.push(next);
    }
  }
  let best = from;
  let least = Number.POSITIVE_INFINITY;
  for (const [x, y] of candidates) {
    const [dx, dy] = [x - from[0], y - from[1]];
    const ahead = dx * ux + dy * uy;
    const aside = Math.abs(dx * uy - dy * ux);
    if (ahead <= SAME_PLACE || aside > ahead + SAME_PLACE) continue;
    // What lies straight ahead comes before what lies as near but aside.
    const cost = ahead + 2 * aside;
    if (cost >= least) continue;
    least = cost;
    best = [x, y];
  }
  return best;
}

/** Creases that end at a place. */
export function creasesAtPlace({ vertices, creases }: Pattern, [x, y]: PatternPoint): number[] {
  const isHere = (v: number) => Math.hypot(vertices[v][0] - x, vertices[v][1] - y) <= SAME_PLACE;
  return creases.flatMap(({ from, to }, c) => (isHere(from) || isHere(to) ? [c] : []));
}
