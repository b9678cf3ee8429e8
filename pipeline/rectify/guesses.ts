/** Outlines that may be the sheet, from the lines at the rim of one network. */
import { coverage, inkOf, type LineInk } from './coverage.ts';
import { type Curve, cornerOf, rebase, straight } from './curve.ts';
import type { Marks } from './marks.ts';
import type { Network } from './networks.ts';
import { crossing, hugPolygon, isConvex, polygonArea, turn, type WorkPoint } from './polygon.ts';
import { type KnownLine, type Points, type RimLine, rimLines, type SideKind, thin } from './rim.ts';

export interface Guess {
  /** Clockwise on the screen, each from its corner to the next. */
  readonly sides: readonly Curve[];
  readonly kinds: readonly SideKind[];
  /** Coverage of the sides, less ink outside. */
  readonly score: number;
  /** Kept beside the best ones, whatever its score. */
  readonly reserved: boolean;
}

/** Polygons have no side shorter than this share of the longest, and turn at each corner by this at least (sine). */
const LEAST_SIDE_SHARE = 0.15;
const LEAST_TURN = 0.25;
/** Neighbouring sides of a quadrilateral turn by 30 to 150 degrees (sine). */
const LEAST_QUAD_TURN = 0.5;
/** Corners may lie outside the picture by this share of its size: cut crops. */
const BEYOND_SHARE = 0.04;
/** A quadrilateral covers this share of its network's hull at least, or too much ink lies outside. */
const LEAST_HULL_SHARE = 0.6;
/** Numbers of sides tried beside four for the polygon that hugs the hull. */
const POLYGON_SIDES = [3, 5, 6, 8];
/** Lines with at most these shares of ink outside bound a polygon together. */
const CUT_LEVELS = [0.005, 0.03, 0.1];
/** Four-sided guesses kept. */
const MOST_QUADS = 3;

/** The likeliest outlines of the network, best first, different from each other. */
export function guessOutlines(
  marks: Marks,
  network: Network,
  width: number,
  height: number,
  known: readonly KnownLine[],
): Guess[] {
  const points = thin(marks, network);
  const lines = rimLines(marks, network, points, known);
  const fits = (corners: readonly WorkPoint[]): boolean => {
    const margin = BEYOND_SHARE * Math.max(width, height);
    return (
      corners.every((p) => p[0] > -margin && p[1] > -margin && p[0] < width + margin && p[1] < height + margin) &&
      Math.abs(polygonArea(corners)) >= LEAST_HULL_SHARE * Math.abs(polygonArea(network.hull))
    );
  };
  const edges = known.filter(({ kind }) => kind === 'sheet');
  const quads = quadsOf(lines, points, fits).filter((guess) => !overshoots(guess, edges));
  const hull = hugPolygon(network.hull, 4);
  if (hull)
    quads.push(
      scored(
        plainSides(hull),
        hull.map((): SideKind => 'hull'),
        points,
      ),
    );
  quads.sort((p, q) => q.score - p.score);
  const kept: Guess[] = [];
  for (const guess of quads) {
    if (kept.every((other) => !alike(other, guess, 0.5 * points.tolerance))) kept.push(guess);
    if (kept.length >= MOST_QUADS) break;
  }
  // A border drawn beside the sheet's edge covers it, too: which of both bounds the pattern is seen when they are traced.
  const atEdge = kept.filter(({ kinds }) => kinds.includes('sheet'));
  kept.push(...atEdge.flatMap((guess) => drawnTwin(guess, quads, 0.5 * points.tolerance) ?? []));
  // The hull, the sheet and the picture itself stay in the race however little is drawn along them.
  const isPlain = ({ kinds: [kind, ...others] }: Guess): boolean => kind !== 'ink' && others.every((k) => k === kind);
  const reserved = quads.filter(isPlain).map((guess) => ({ ...guess, reserved: true }));
  const raced = kept.filter((guess) => !isPlain(guess));
  return [
    ...raced,
    ...reserved,
    ...polygonsOf(network, lines, points, known, edges).filter((g) => fits(g.sides.map((s) => s.from))),
  ];
}

/** A corner of a sheet that is turned up or hidden is no more than this share of it. */
const HIDDEN_CORNER = 0.15;

/** Whether a quadrilateral runs along edges of a sheet with more, and is much larger than it. */
function overshoots({ sides, kinds }: Guess, edges: readonly KnownLine[]): boolean {
  if (edges.length <= 4 || kinds.some((kind) => kind !== 'sheet')) return false;
  const sheet = Math.abs(polygonArea(edges.map(({ from }) => from)));
  return Math.abs(polygonArea(sides.map(({ from }) => from))) > (1 + HIDDEN_CORNER) * sheet;
}

function scored(
  sides: readonly Curve[],
  kinds: readonly SideKind[],
  points: Points,
  inks: readonly LineInk[] = sides.map((side) => inkOf(side, points)),
): Guess {
  return { sides, kinds, score: coverage(sides, kinds, points, inks), reserved: false };
}

function plainSides(corners: readonly WorkPoint[]): Curve[] {
  return corners.map((p, i) => straight(p, corners[(i + 1) % corners.length]));
}

/** The guess around nearly the same corners all of whose sides are drawn. */
function drawnTwin(guess: Guess, others: readonly Guess[], tolerance: number): Guess | undefined {
  return others.find((other) => other.kinds.every((kind) => kind === 'ink') && alike(other, guess, tolerance));
}

function alike(a: Guess, b: Guess, tolerance: number): boolean {
  return a.sides.every(({ from: p }) =>
    b.sides.some(({ from: q }) => Math.hypot(p[0] - q[0], p[1] - q[1]) < tolerance),
  );
}

function quadsOf(lines: readonly RimLine[], points: Points, fits: (c: readonly WorkPoint[]) => boolean): Guess[] {
  const out: Guess[] = [];
  const n = lines.length;
  const inks = new Map(lines.map((line) => [line, inkOf(line, points)]));
  for (let a = 0; a < n; a++) {
    for (let b = a + 1; b < n; b++) {
      for (let c = b + 1; c < n; c++) {
        for (let d = c + 1; d < n; d++) {
          const guess = between([lines[a], lines[b], lines[c], lines[d]], LEAST_QUAD_TURN, fits);
          if (!guess) continue;
          const { sides, kinds, ring } = guess;
          const on = ring.map((line, i) => (line.bow.length > 1 ? inkOf(sides[i], points) : inks.get(line)!));
          out.push(scored(sides, kinds, points, on));
        }
      }
    }
  }
  return out;
}

/** A region and the lines that bound it, one for each side. */
interface Bounded {
  readonly sides: readonly Curve[];
  readonly kinds: readonly SideKind[];
  readonly ring: readonly RimLine[];
}

/** The convex region to the right of all lines; null where they do not bound one that `fits`, with a side on each. */
function between(
  lines: readonly RimLine[],
  leastTurn: number,
  fits: (corners: readonly WorkPoint[]) => boolean,
): Bounded | null {
  const ring = [...lines].sort((a, b) => a.direction - b.direction);
  const n = ring.length;
  const corners: WorkPoint[] = [];
  for (let i = 0; i < n; i++) {
    const a = ring[(i + n - 1) % n];
    const b = ring[i];
    if (Math.sin(b.direction - a.direction) < leastTurn) return null;
    const curved = a.bow.length > 1 || b.bow.length > 1;
    const p = curved ? cornerOf(a, b) : crossing(a.from, a.to, b.from, b.to);
    if (!p) return null;
    corners.push(p);
  }
  if (!isConvex(corners) || !fits(corners)) return null;
  const sides = ring.map((line, i) => {
    const to = corners[(i + 1) % n];
    return line.bow.length > 1 ? rebase(line, corners[i], to) : straight(corners[i], to);
  });
  return { sides, kinds: ring.map((l) => l.kind), ring };
}

/** Polygons with another number of sides than four: around the hull, and bounded by drawn lines. */
function polygonsOf(
  network: Network,
  lines: readonly RimLine[],
  points: Points,
  known: readonly KnownLine[],
  edges: readonly KnownLine[],
): Guess[] {
  const out: Guess[] = [];
  if (edges.length > 0 && edges.length !== 4)
    out.push({
      ...scored(
        edges,
        edges.map(({ kind }) => kind),
        points,
      ),
      reserved: true,
    });
  for (const n of POLYGON_SIDES) {
    const corners = hugPolygon(network.hull, n);
    if (!corners || !hasFairSides(corners)) continue;
    const kinds = corners.map((p, i) => kindOf(p, corners[(i + 1) % n], known, points.tolerance));
    out.push(scored(plainSides(corners), kinds, points));
  }
  for (const most of CUT_LEVELS) {
    const ring = boundedBy(lines.filter((l) => l.drawn > 0 && l.outside <= most));
    if (ring && ring.sides.length !== 4) out.push(scored(ring.sides, ring.kinds, points));
  }
  return out;
}

/** The polygon that all lines bound together; lines that leave no fair side are dropped. */
function boundedBy(lines: readonly RimLine[]): Bounded | null {
  let left = [...lines];
  while (left.length >= 3) {
    const ring = between(left, LEAST_TURN, hasFairSides);
    if (ring) return ring;
    // The least drawn line goes: twins of a side, creases near a corner.
    left = [...left].sort((a, b) => b.drawn - a.drawn).slice(0, -1);
  }
  return null;
}

function hasFairSides(corners: readonly WorkPoint[]): boolean {
  const n = corners.length;
  if (!isConvex(corners)) return false;
  const lengths = corners.map((p, i) => Math.hypot(corners[(i + 1) % n][0] - p[0], corners[(i + 1) % n][1] - p[1]));
  if (Math.min(...lengths) < LEAST_SIDE_SHARE * Math.max(...lengths)) return false;
  return corners.every(
    (p, i) => turn(p, corners[(i + 1) % n], corners[(i + 2) % n]) > LEAST_TURN * lengths[i] * lengths[(i + 1) % n],
  );
}

/** A side of a hull that runs along a known line is of that line's kind. */
function kindOf(from: WorkPoint, to: WorkPoint, known: readonly KnownLine[], tolerance: number): SideKind {
  for (const line of known) {
    const length = Math.hypot(line.to[0] - line.from[0], line.to[1] - line.from[1]);
    const off = (p: WorkPoint): number => Math.abs(turn(line.from, line.to, p)) / length;
    if (off(from) < tolerance && off(to) < tolerance) return line.kind;
  }
  return 'hull';
}
