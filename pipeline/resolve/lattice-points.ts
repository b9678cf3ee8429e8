/** Vertices of slanted lines that end on points of the grid. */
import { exact, toNumber } from '../geometry/exact.ts';
import type { ExactPoint } from '../types.ts';
import { isOn } from './exact-lines.ts';
import type { ExactState, Incidence } from './grow-exact.ts';

/** Least probability that a vertex so near a grid point is meant to be there. */
const LEAST_BELIEF = 0.9;
/** Nearness says nothing where the tolerance fills more than this share of the distance between grid points. */
const MOST_SHARE = 0.22;

interface Near {
  readonly vertex: number;
  readonly point: ExactPoint | null;
  /** Chance that a vertex which has nothing to do with the grid lies so near to it. */
  readonly chance: number;
}

/**
 * Grid points (whole or half units) for vertices that too few exact lines reach. How many of them lie near a grid point,
 * compared with what chance would give, says how far nearness can be believed in this pattern.
 *
 * @param spacing distance between grid points, half units included, as 1 / `parts`
 */
export function gridPoints(
  inc: Incidence,
  state: ExactState,
  parts: number,
  tolerance: number,
): Map<number, ExactPoint> {
  const found = new Map<number, ExactPoint>();
  const share = tolerance * parts;
  if (share > MOST_SHARE) return found;
  const near: Near[] = [];
  inc.places.forEach(([x, y], vertex) => {
    if (state.points[vertex] || inc.linesAt[vertex].length < 2) return;
    const held = inc.linesAt[vertex].flatMap((l) => (state.lines[l] ? [state.lines[l]] : []));
    const point: ExactPoint = [exact(Math.round(x * parts), parts), exact(Math.round(y * parts), parts)];
    const miss = Math.hypot(toNumber(point[0]) - x, toNumber(point[1]) - y);
    const hit = miss <= tolerance && held.every((line) => isOn(line, point));
    const chance = held.length > 0 ? 2 * share : Math.PI * share * share;
    near.push({ vertex, point: hit ? point : null, chance });
  });
  const hits = near.filter(({ point }) => point).length;
  const byChance = near.reduce((sum, { chance }) => sum + chance, 0);
  const meant = Math.max(0, hits - byChance) / Math.max(1, near.length - byChance);
  for (const { vertex, point, chance } of near) {
    if (!point) continue;
    if (meant / (meant + (1 - meant) * chance) >= LEAST_BELIEF) found.set(vertex, point);
  }
  return found;
}
