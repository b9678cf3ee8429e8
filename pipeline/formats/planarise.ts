import Flatbush from 'flatbush';
import type { Crease, ExactPoint, Kind, Pattern, PatternPoint } from '../types.ts';

/** A drawing before its lines are known to meet: the same arrays as a Pattern's. */
export interface Lines {
  readonly vertices: readonly PatternPoint[];
  readonly exact: readonly (ExactPoint | null)[];
  readonly creases: readonly Crease[];
}

export interface Planarised extends Pick<Pattern, 'vertices' | 'exact' | 'creases'> {
  /** Vertices that were made where lines crossed without one. */
  readonly crossings: number;
  /** Creases that were cut at a vertex lying on them. */
  readonly cutAtVertices: number;
  /** Vertices that lay within the tolerance of another and were joined to it. */
  readonly joined: number;
  /** Creases of no length, or drawn twice, that were dropped. */
  readonly dropped: number;
  /** Creases drawn twice with different kinds: left undecided. */
  readonly conflicts: number;
}

/**
 * Makes a planar graph of lines: joins vertices, cuts creases at vertices that lie on them and where they cross, and
 * drops doubles. Vertices keep their order; those that carry no crease are left out.
 *
 * @param tolerance pattern units; vertices nearer than this are one, and a vertex this near to a crease lies on it
 */
export function planarise(lines: Lines, tolerance: number): Planarised {
  const points = joinPoints(lines, tolerance);
  const whole = lines.creases
    .map(({ from, to, kind }) => ({ from: points.of[from], to: points.of[to], kind }))
    .filter(({ from, to }) => from !== to);
  const stops = stopsAtVertices(points.vertices, whole, tolerance);
  const cutAtVertices = stops.filter((on) => on.length > 0).length;
  const crossings = addCrossings(points, whole, stops, tolerance);
  const { creases, doubles, conflicts } = piecesOf(points.vertices, whole, stops);
  const dropped = lines.creases.length - whole.length + doubles;
  return { ...withoutLoose(points, creases), crossings, cutAtVertices, joined: points.joined, dropped, conflicts };
}

interface Points {
  readonly vertices: PatternPoint[];
  readonly exact: (ExactPoint | null)[];
  /** Old index to new. */
  readonly of: number[];
  readonly joined: number;
  /** Index of the vertex within the tolerance of a point, or -1. */
  readonly near: (p: PatternPoint) => number;
  readonly add: (p: PatternPoint, exact: ExactPoint | null) => number;
}

function joinPoints(lines: Lines, tolerance: number): Points {
  const vertices: PatternPoint[] = [];
  const exact: (ExactPoint | null)[] = [];
  const cells = new Map<string, number[]>();
  // Cells of twice the tolerance: any neighbour within it lies in the same or an adjoining cell.
  const cellOf = (v: number) => Math.floor(v / (2 * tolerance));
  const near = ([x, y]: PatternPoint): number => {
    for (let cx = cellOf(x) - 1; cx <= cellOf(x) + 1; cx++) {
      for (let cy = cellOf(y) - 1; cy <= cellOf(y) + 1; cy++) {
        for (const i of cells.get(`${cx},${cy}`) ?? []) {
          if (Math.hypot(vertices[i][0] - x, vertices[i][1] - y) <= tolerance) return i;
        }
      }
    }
    return -1;
  };
  const add = (p: PatternPoint, e: ExactPoint | null): number => {
    const key = `${cellOf(p[0])},${cellOf(p[1])}`;
    const cell = cells.get(key);
    if (cell) cell.push(vertices.length);
    else cells.set(key, [vertices.length]);
    exact.push(e);
    return vertices.push(p) - 1;
  };
  const of = lines.vertices.map((p, i) => {
    const same = near(p);
    return same >= 0 ? same : add(p, lines.exact[i]);
  });
  return { vertices, exact, of, joined: of.length - vertices.length, near, add };
}

/** For each crease, the vertices strictly inside it. */
function stopsAtVertices(vertices: readonly PatternPoint[], creases: readonly Crease[], tolerance: number): number[][] {
  if (vertices.length === 0) return creases.map(() => []);
  const index = new Flatbush(vertices.length);
  for (const [x, y] of vertices) index.add(x, y);
  index.finish();
  return creases.map(({ from, to }) => {
    const [a, b] = [vertices[from], vertices[to]];
    const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    const length = Math.hypot(dx, dy);
    return index.search(...boxAround(a, b, tolerance)).filter((v) => {
      if (v === from || v === to) return false;
      const [px, py] = [vertices[v][0] - a[0], vertices[v][1] - a[1]];
      const along = (px * dx + py * dy) / length;
      return along > 0 && along < length && Math.abs(px * dy - py * dx) / length <= tolerance;
    });
  });
}

/** Cuts creases that cross between their vertices; returns the number of vertices made. */
function addCrossings(points: Points, creases: readonly Crease[], stops: number[][], tolerance: number): number {
  if (creases.length === 0) return 0;
  const { vertices } = points;
  const index = new Flatbush(creases.length);
  const boxes = creases.map(({ from, to }) => boxAround(vertices[from], vertices[to], tolerance));
  for (const box of boxes) index.add(...box);
  index.finish();
  const before = vertices.length;
  for (let i = 0; i < creases.length; i++) {
    for (const j of index.search(...boxes[i])) {
      if (j <= i) continue;
      const at = crossing(vertices, creases[i], creases[j]);
      if (at === null) continue;
      const known = points.near(at);
      const v = known >= 0 ? known : points.add(at, null);
      for (const c of [i, j]) {
        if (v !== creases[c].from && v !== creases[c].to && !stops[c].includes(v)) stops[c].push(v);
      }
    }
  }
  return vertices.length - before;
}

/** Where two creases meet inside both; null where they do not, or run along each other. */
function crossing(vertices: readonly PatternPoint[], one: Crease, other: Crease): PatternPoint | null {
  const [a, b, c, d] = [vertices[one.from], vertices[one.to], vertices[other.from], vertices[other.to]];
  const [ux, uy, vx, vy] = [b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]];
  const cross = ux * vy - uy * vx;
  if (cross === 0) return null;
  const s = ((c[0] - a[0]) * vy - (c[1] - a[1]) * vx) / cross;
  const t = ((c[0] - a[0]) * uy - (c[1] - a[1]) * ux) / cross;
  return s > 0 && s < 1 && t > 0 && t < 1 ? [a[0] + s * ux, a[1] + s * uy] : null;
}

function boxAround(a: PatternPoint, b: PatternPoint, by: number): [number, number, number, number] {
  const [left, right] = a[0] < b[0] ? [a[0], b[0]] : [b[0], a[0]];
  const [low, high] = a[1] < b[1] ? [a[1], b[1]] : [b[1], a[1]];
  return [left - by, low - by, right + by, high + by];
}

/** Creases between neighbouring stops, each pair of vertices once. */
function piecesOf(vertices: readonly PatternPoint[], creases: readonly Crease[], stops: readonly number[][]) {
  const pieces = new Map<string, { from: number; to: number; kind: Kind }>();
  let doubles = 0;
  let conflicts = 0;
  creases.forEach(({ from, to, kind }, c) => {
    const [ax, ay] = vertices[from];
    const away = (v: number) => Math.hypot(vertices[v][0] - ax, vertices[v][1] - ay);
    const chain = [from, ...stops[c].sort((u, v) => away(u) - away(v)), to];
    for (let i = 1; i < chain.length; i++) {
      const [u, v] = [chain[i - 1], chain[i]];
      const key = u < v ? `${u},${v}` : `${v},${u}`;
      const known = pieces.get(key);
      if (!known) pieces.set(key, { from: u, to: v, kind });
      else {
        doubles++;
        const kept = strongerOf(known.kind, kind);
        if (kept === null) conflicts++;
        known.kind = kept ?? 'U';
      }
    }
  });
  return { creases: [...pieces.values()], doubles, conflicts };
}

/** Of a line drawn twice: an edge stays an edge, a guide or an undecided line gives way; null where two folds disagree. */
function strongerOf(a: Kind, b: Kind): Kind | null {
  if (a === b) return a;
  for (const strong of ['B', 'C'] as const) if (a === strong || b === strong) return strong;
  for (const weak of ['F', 'U'] as const) {
    if (a === weak) return b;
    if (b === weak) return a;
  }
  return null;
}

function withoutLoose(points: Points, creases: readonly Crease[]): Pick<Pattern, 'vertices' | 'exact' | 'creases'> {
  const used = new Uint8Array(points.vertices.length);
  for (const { from, to } of creases) used[from] = used[to] = 1;
  const place = new Int32Array(used.length);
  for (let v = 0, next = 0; v < used.length; v++) if (used[v]) place[v] = next++;
  return {
    vertices: points.vertices.filter((_, v) => used[v]),
    exact: points.exact.filter((_, v) => used[v]),
    creases: creases.map(({ from, to, kind }) => ({ from: place[from], to: place[to], kind })),
  };
}
