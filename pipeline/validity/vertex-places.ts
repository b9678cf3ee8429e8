/** Places to which a misplaced vertex may belong. */
import { exact } from '../geometry/exact.ts';
import type { Around } from '../laws/around.ts';
import { FULL_TURN, foldsAt, kawasakiDeviation } from '../laws/vertex.ts';
import type { Pattern, PatternPoint } from '../types.ts';
import type { Place } from './edit.ts';

/** A vertex is moved by less than so many grid steps, or by less than this share of the sheet where there is no grid. */
const REACH_STEPS = 1.6;
const REACH = 0.06;
/** Places nearer than this support each other, pattern units. */
const NEARLY_SAME = 1e-6;
/** Sums of angles below this are rounding, radians. */
const ROUNDING = 1e-12;
/** Lines within a degree of each other say little about where they meet. */
const LEAST_SINE = Math.sin(Math.PI / 180);
/** Points at which a line is tried for a change of sign, and halvings of each step: 2·REACH / 64 / 2^44 is below rounding. */
const SAMPLES = 64;
const HALVINGS = 44;

/** Grid points and half-way points around a place, nearest first. */
export function latticePlaces({ lattice }: Pattern, [x, y]: PatternPoint): Place[] {
  if (lattice?.kind !== 'square' || lattice.divisionsX === 0) return [];
  const halves = 2 * Math.max(lattice.divisionsX, lattice.divisionsY);
  const reach = Math.ceil(2 * REACH_STEPS);
  const [cx, cy] = [Math.round(x * halves), Math.round(y * halves)];
  const places: Place[] = [];
  for (let i = cx - reach; i <= cx + reach; i++)
    for (let j = cy - reach; j <= cy + reach; j++)
      if (Math.hypot(i / halves - x, j / halves - y) * halves <= 2 * REACH_STEPS)
        places.push({ at: [i / halves, j / halves], exact: [exact(i, halves), exact(j, halves)] });
  const distance = ({ at }: Place): number => Math.hypot(at[0] - x, at[1] - y);
  return places.sort((a, b) => distance(a) - distance(b));
}

/**
 * Where the vertex would have to lie for Kawasaki's condition at its neighbours: each neighbour of even degree wants its crease to
 * the vertex in one direction. Two such lines meet in a place; on one alone, the condition at the vertex itself fixes the place.
 */
export function kawasakiPlaces(
  pattern: Pattern,
  around: Around,
  vertex: number,
  neighbours: readonly number[],
): Place[] {
  const here = pattern.vertices[vertex];
  const lines: { from: PatternPoint; angle: number }[] = [];
  for (const w of neighbours) {
    const folds = foldsAt(pattern, around, w);
    const i = folds?.far.indexOf(vertex) ?? -1;
    if (folds === null || i < 0 || folds.far.length % 2 === 1) continue;
    const [dx, dy] = difference(here, pattern.vertices[w]);
    // Turning crease i moves the sum of even sectors down where i is even, up where it is odd.
    const turn = kawasakiDeviation(folds.sectorsRad) * (i % 2 === 0 ? 1 : -1);
    lines.push({ from: pattern.vertices[w], angle: Math.atan2(dy, dx) + turn });
  }
  const places: PatternPoint[] = [];
  lines.forEach((first, i) => {
    for (const second of lines.slice(i + 1)) {
      const place = meet(first, second);
      if (place && Math.hypot(...difference(place, here)) < REACH) places.push(place);
    }
  });
  for (const line of lines) places.push(...rootsAlong(pattern, line, here, neighbours));
  const support = (p: PatternPoint): number =>
    places.filter((q) => Math.hypot(...difference(p, q)) < NEARLY_SAME).length;
  return places.sort((p, q) => support(q) - support(p)).map((at) => ({ at, exact: null }));
}

/** Places on a line, near the vertex, at which alternate sums of the directions to its neighbours are equal. */
function rootsAlong(
  pattern: Pattern,
  { from, angle }: Line,
  here: PatternPoint,
  ends: readonly number[],
): PatternPoint[] {
  if (ends.length % 2 === 1) return [];
  const at = (r: number): PatternPoint => [from[0] + r * Math.cos(angle), from[1] + r * Math.sin(angle)];
  const deviation = (r: number): number => {
    const [x, y] = at(r);
    const angles = ends.map((w) => Math.atan2(pattern.vertices[w][1] - y, pattern.vertices[w][0] - x));
    angles.sort((a, b) => a - b);
    return kawasakiDeviation(angles.map((a, i) => (i + 1 < angles.length ? angles[i + 1] : angles[0] + FULL_TURN) - a));
  };
  const middle = Math.hypot(...difference(here, from));
  // On a line of symmetry every place will do: the nearest.
  if (Math.abs(deviation(middle)) < ROUNDING) return [at(middle)];
  const step = (2 * REACH) / SAMPLES;
  const roots: PatternPoint[] = [];
  for (let k = 0; k < SAMPLES; k++) {
    let low = Math.max(middle - REACH + k * step, NEARLY_SAME);
    let high = Math.max(low, middle - REACH + (k + 1) * step);
    const sign = Math.sign(deviation(low));
    if (sign === Math.sign(deviation(high))) continue;
    for (let i = 0; i < HALVINGS; i++) {
      const half = (low + high) / 2;
      if (Math.sign(deviation(half)) === sign) low = half;
      else high = half;
    }
    // A jump where the line meets a crease changes the sign as well.
    if (Math.abs(deviation(high)) < NEARLY_SAME) roots.push(at(high));
  }
  return roots;
}

interface Line {
  readonly from: PatternPoint;
  readonly angle: number;
}

function meet(first: Line, second: Line): PatternPoint | null {
  const sine = Math.sin(second.angle - first.angle);
  if (Math.abs(sine) < LEAST_SINE) return null;
  const [dx, dy] = difference(second.from, first.from);
  const t = (dx * Math.sin(second.angle) - dy * Math.cos(second.angle)) / sine;
  return [first.from[0] + t * Math.cos(first.angle), first.from[1] + t * Math.sin(first.angle)];
}
export function difference(a: PatternPoint, b: PatternPoint): [number, number] {
  return [a[0] - b[0], a[1] - b[1]];
}
