/**
 * Places that no grid gives, by least squares (Gauss 1823): lines stay near where they were seen and creases end where they meet; then lines run in their family's
 * direction, and alternate angles around a vertex sum to half a turn (Kawasaki), one condition after the other wherever what was measured allows it.
 */
import type { Carrier } from '../graph/carriers.ts';
import { creasesAround } from '../laws/around.ts';
import type { Pattern, PatternPoint } from '../types.ts';
import { angleCondition } from './angle-condition.ts';
import { admit, type Condition, type Estimate, estimate, HOLDS, rescale, spreadAt } from './estimate.ts';
import { untangle } from './snap.ts';

export interface Adjustment {
  readonly vertices: readonly PatternPoint[];
  /** Normal spread of each vertex in the direction in which it is least well known, pattern units; 0 where it is exact. */
  readonly spread: Float64Array;
}

/** What is known of the lines that carry the creases. */
export interface LinePlaces {
  readonly carriers: readonly Carrier[];
  /** Carrier of each crease of the pattern. */
  readonly carrierOf: ArrayLike<number>;
  /** How far either end of a carrier may lie beside where it was seen, pattern units. */
  readonly strays: ArrayLike<number>;
  /** Direction of each carrier where a family may give it, radians; NaN elsewhere. */
  readonly directions: ArrayLike<number>;
}

/** More unknowns take seconds. */
const MOST_UNKNOWNS = 600;
/** Along its only line a vertex is known this well, pattern units. */
const LOOSE = 0.02;

const ROUNDS = 2;
/**
 * What disagrees by more spreads is no error of measurement. Lines of a family are off it seldom; where a crease is missing or too many, the sums around its ends
 * are off by chance, and would bend what lies beside them.
 */
const MOST_SPREADS = { direction: 3, angles: 2 };

/** A carrier between the outermost of its vertices, at t0 and t1: it lies still, or two unknowns say how far either end moves along its normal. */
interface Line {
  readonly nx: number;
  readonly ny: number;
  readonly off: number;
  readonly t0: number;
  readonly t1: number;
  readonly unknown: number | null;
}

/** What is sought: two unknowns for each vertex that is not exact, how far it moves, and two for each line that may move. */
interface Frame {
  readonly pattern: Pattern;
  readonly places: LinePlaces;
  readonly unknownOf: readonly (number | null)[];
  readonly lines: readonly (Line | null)[];
  readonly linesAt: readonly (readonly number[])[];
  readonly count: number;
}

/** The adjusted places; null where all are exact, or too many are not. */
export function adjustPlaces(pattern: Pattern, places: LinePlaces): Adjustment | null {
  const frame = frameOf(pattern, places);
  if (frame.count === 0 || frame.count > MOST_UNKNOWNS) return null;
  const drawn = estimate(asDrawn(frame), frame.count);
  if (!drawn) return null;
  admit(directionConditions(frame), drawn, MOST_SPREADS.direction);
  let known = drawn;
  // Sums of angles are not linear: they are taken about where the vertices came to lie.
  for (let round = 0; round < ROUNDS; round++) {
    const { values } = known;
    const now = { ...pattern, vertices: movedBy(frame, values) };
    const around = creasesAround(now);
    const angles = pattern.vertices.flatMap((_, v) => angleCondition(now, around, v, frame.unknownOf, values) ?? []);
    known = { values: Float64Array.from(drawn.values), covariance: Float64Array.from(drawn.covariance) };
    rescale(angles, known);
    admit(angles, known, MOST_SPREADS.angles);
  }
  const vertices = movedBy(frame, known.values);
  untangle(pattern.creases, pattern.vertices, vertices);
  return { vertices, spread: spreadsOf(frame.unknownOf, known) };
}

function frameOf(pattern: Pattern, places: LinePlaces): Frame {
  const { vertices, exact, creases } = pattern;
  const { carriers, carrierOf } = places;
  let count = 0;
  const unknownOf = exact.map((point): number | null => {
    if (point) return null;
    count += 2;
    return count - 2;
  });
  const on: Set<number>[] = carriers.map(() => new Set());
  const isBorder = new Uint8Array(carriers.length);
  creases.forEach(({ from, to, kind }, i) => {
    on[carrierOf[i]].add(from).add(to);
    if (kind === 'B') isBorder[carrierOf[i]] = 1;
  });
  const linesAt: number[][] = vertices.map(() => []);
  const lines = carriers.map((c, l): Line | null => {
    const own = [...on[l]];
    if (own.every((v) => exact[v])) return null;
    for (const v of own) linesAt[v].push(l);
    const known = own.filter((v) => exact[v]);
    if (isBorder[l] === 0 && known.length > 1) return { ...through(vertices, known, c), unknown: null };
    const stops = own.map((v) => c.dx * vertices[v][0] + c.dy * vertices[v][1]);
    const line = { nx: c.nx, ny: c.ny, off: c.off, t0: Math.min(...stops), t1: Math.max(...stops) };
    if (isBorder[l] === 1 || c.grid) return { ...line, unknown: null };
    count += 2;
    return { ...line, unknown: count - 2 };
  });
  return { pattern, places, unknownOf, lines, linesAt, count };
}

/** The line through the outermost of these vertices. */
function through(
  vertices: readonly PatternPoint[],
  known: readonly number[],
  { dx, dy }: Carrier,
): Omit<Line, 'unknown'> {
  const along = (v: number): number => dx * vertices[v][0] + dy * vertices[v][1];
  const first = known.reduce((a, b) => (along(b) < along(a) ? b : a));
  const last = known.reduce((a, b) => (along(b) > along(a) ? b : a));
  const [[ax, ay], [bx, by]] = [vertices[first], vertices[last]];
  const length = Math.hypot(bx - ax, by - ay);
  const [nx, ny] = [(ay - by) / length, (bx - ax) / length];
  return { nx, ny, off: nx * ax + ny * ay, t0: along(first), t1: along(last) };
}

/** What the drawing says: lines near where they were seen, through their vertices. */
function asDrawn({
  pattern: { vertices },
  places: { carriers, strays },
  unknownOf,
  lines,
  linesAt,
}: Frame): Condition[] {
  const out: Condition[] = [];
  lines.forEach((line, l) => {
    if (line?.unknown == null) return;
    for (const end of [line.unknown, line.unknown + 1])
      out.push({ unknowns: [end], factors: [1], sum: 0, spread: strays[l] });
  });
  linesAt.forEach((own, v) => {
    const [x, y] = vertices[v];
    const at = unknownOf[v];
    for (const l of own) {
      const { nx, ny, off, t0, t1, unknown } = lines[l]!;
      const [unknowns, factors]: [number[], number[]] =
        at === null
          ? [[], []]
          : [
              [at, at + 1],
              [nx, ny],
            ];
      if (unknown !== null) {
        const share = (carriers[l].dx * x + carriers[l].dy * y - t0) / (t1 - t0);
        unknowns.push(unknown, unknown + 1);
        factors.push(share - 1, -share);
      }
      if (unknowns.length > 0) out.push({ unknowns, factors, sum: off - nx * x - ny * y, spread: HOLDS });
    }
    if (at === null) return;
    for (const u of [at, at + 1]) out.push({ unknowns: [u], factors: [1], sum: 0, spread: LOOSE });
  });
  return out;
}

/** Lines in their family's direction. */
function directionConditions({ places: { carriers, directions }, lines }: Frame): Condition[] {
  return lines.flatMap((line, l): Condition[] => {
    if (line?.unknown == null || Number.isNaN(directions[l])) return [];
    const { nx, ny, dx, dy } = carriers[l];
    const left = Math.sign(dx * ny - dy * nx);
    const turn = turnBetween(Math.atan2(dy, dx), directions[l]) * left;
    const span = line.t1 - line.t0;
    const unknowns = [line.unknown, line.unknown + 1];
    return [{ unknowns, factors: [-1 / span, 1 / span], sum: turn, spread: HOLDS }];
  });
}

/** From one direction of a line to another, radians in [-π/2, π/2]. */
function turnBetween(from: number, to: number): number {
  const turn = (to - from) / Math.PI;
  return (turn - Math.round(turn)) * Math.PI;
}

function movedBy({ pattern: { vertices }, unknownOf }: Frame, values: Float64Array): PatternPoint[] {
  return vertices.map(([x, y], v) => {
    const u = unknownOf[v];
    return u === null ? [x, y] : [x + values[u], y + values[u + 1]];
  });
}

/** The longer half axis of each vertex's ellipse of spread. */
function spreadsOf(unknownOf: readonly (number | null)[], known: Estimate): Float64Array {
  return Float64Array.from(unknownOf, (u) => {
    if (u === null) return 0;
    const [xx, xy, yy] = [spreadAt(known, u, u), spreadAt(known, u, u + 1), spreadAt(known, u + 1, u + 1)];
    return Math.sqrt((xx + yy) / 2 + Math.hypot((xx - yy) / 2, xy));
  });
}
