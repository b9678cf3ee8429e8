import type { Lattice, Pattern } from '../types.ts';
import { type Finding, middleOf } from './doubt-list.ts';

/** People divide paper by these primes (common practice, no source). */
const USUAL_PRIMES = [2, 3, 5, 7];
/** A hand misses its lines by up to so much, pattern units; a grid of another number of divisions is looked for that near. */
const HAND_MISSES = 0.01;
const NEARBY = 4;
/** Beyond this share of a step any line lies near some other grid. */
const SURE_SHARE = 1 / 3;
/** The sheet's own two sides lie on every grid. */
const SIDES = 2;
/** Places that differ by less between the grids are the same. */
const SAME_PLACE = 0.002;
/** How often the unusual grid is the true one then. */
const AS_SHOWN = 0.5;

/**
 * Creases of a sparse drawing on a grid of an unusual number of divisions, 17 or 22, whose lines all lie near those of a usual one: where the first line is drawn
 * a little off, 16 divisions look like 17. Drawings by a program are exact and leave no doubt.
 */
export function unusualGridFindings(pattern: Pattern): Finding[] {
  const { lattice } = pattern;
  if (lattice?.kind !== 'square') return [];
  const finest = lattice.halfUnits ? 2 : 1;
  const moved = [lattice.divisionsX, lattice.divisionsY].map((n, axis) => movedTo(pattern, lattice, n, finest, axis));
  if (moved.every((offsets) => offsets === null)) return [];
  const offOf = (v: number): number => Math.max(...moved.map((offsets) => offsets?.[v] ?? 0));
  return pattern.creases.flatMap(({ from, to, kind }, crease): Finding[] => {
    const off = Math.max(offOf(from), offOf(to));
    if (kind === 'C' || off < SAME_PLACE) return [];
    const facts = { offPercent: Math.round(off * 1000) / 10, divisions: lattice.divisionsX };
    return [
      { what: 'place-unsure', crease, at: middleOf(pattern, crease), facts, probability: AS_SHOWN, instead: 'other' },
    ];
  });
}

/**
 * How far each vertex would move along an axis to the nearest usual grid that has a line of its own near each of theirs; null where there is none. Of each of the
 * `divisions` the lines are `finest` parts.
 */
function movedTo(
  { vertices, creases }: Pattern,
  lattice: Lattice,
  divisions: number,
  finest: number,
  axis: number,
): Float64Array | null {
  const extent = axis === 0 ? 1 : lattice.divisionsY / lattice.divisionsX;
  if (isUsual(divisions)) return null;
  const n = divisions * finest;
  // Lines that run across the axis say where the grid lies; what crosses slanted ones lies anywhere.
  const lines = creases.flatMap(({ from, to }) => {
    const [a, b] = [vertices[from][axis], vertices[to][axis]];
    return Math.abs(a - b) < SAME_PLACE ? [Math.round((a / extent) * n)] : [];
  });
  const places = [...new Set(lines)];
  if (places.length <= SIDES) return null;
  const near = Math.min(HAND_MISSES, SURE_SHARE / n);
  for (let by = 1; by <= NEARBY; by++) {
    for (const usual of [divisions - by, divisions + by].filter(isUsual)) {
      const other = usual * finest;
      const offOf = (at: number) => Math.abs(at - Math.round(at * other) / other);
      const own = new Set(places.map((k) => Math.round((k / n) * other)));
      if (own.size < places.length || !places.every((k) => offOf(k / n) < near)) continue;
      return Float64Array.from(vertices, (p) => offOf(p[axis] / extent));
    }
  }
  return null;
}

/** Whether the number has small prime factors alone. */
function isUsual(n: number): boolean {
  let rest = n;
  for (const prime of USUAL_PRIMES) while (rest % prime === 0) rest /= prime;
  return rest === 1;
}
