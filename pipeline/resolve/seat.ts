/** Places that were adjusted onto the grid. */
import { exact, toPoint } from '../geometry/exact.ts';
import type { ExactPoint, Pattern } from '../types.ts';
import type { Adjustment } from './adjust.ts';
import { pointKey } from './exact-lines.ts';

/** A place is the grid's where it comes to lie this near to it, px, and within so many spreads, which are this share of a half unit at most. */
const NEAR_PX = 0.3;
const MOST_SPREADS = 3;
const SHARP = 0.1;

/**
 * The adjusted pattern with exact places where adjusting laid a vertex onto a half unit of the square grid on which others lie: strokes that cross at a narrow angle
 * tell their crossing badly, but what is exact around it and Kawasaki's theorem may leave one place only.
 *
 * @param pattern as measured
 * @param px pattern units
 */
export function seatOnGrid(
  pattern: Pattern,
  adjusted: Adjustment,
  px: number,
): Pick<Pattern, 'vertices' | 'exact'> & Adjustment {
  const { lattice } = pattern;
  const vertices = [...adjusted.vertices];
  const places = [...pattern.exact];
  const spread = Float64Array.from(adjusted.spread);
  if (lattice?.kind !== 'square') return { vertices, exact: places, spread };
  const halves = 2 * Math.max(lattice.divisionsX, lattice.divisionsY);
  const taken = new Set(places.flatMap((place) => (place ? [pointKey(place)] : [])));
  places.forEach((known, v) => {
    if (known) return;
    const [x, y] = vertices[v];
    const place: ExactPoint = [exact(Math.round(x * halves), halves), exact(Math.round(y * halves), halves)];
    const [gx, gy] = toPoint(place);
    const off = Math.hypot(gx - x, gy - y);
    const isNear = off <= Math.min(NEAR_PX * px, MOST_SPREADS * spread[v]) && spread[v] < SHARP / halves;
    if (!isNear || taken.has(pointKey(place))) return;
    taken.add(pointKey(place));
    places[v] = place;
    vertices[v] = [gx, gy];
    spread[v] = 0;
  });
  return { vertices, exact: places, spread };
}
