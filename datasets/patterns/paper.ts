/**
 * Simulated folding. The sheet is a stack of flat convex faces, bottom first; each face carries the isometry that takes
 * it from the sheet to its folded place and says whether its front is up. A fold takes faces from the top (or bottom) of
 * the stack over a line, so every pattern made here has a flat folded state by construction.
 *
 * Frames: "paper" is the pattern frame (unit sheet, y up); "folded" is where the faces lie now, same scale.
 */
import { addExact, exact } from '../../pipeline/geometry/exact.ts';
import type { Crease, Exact, ExactPoint, Kind, Lattice, Pattern, PatternPoint } from '../../pipeline/types.ts';
import { dotExact, type ExactIsometry, tryExact } from './fold-line.ts';
import { tidyPattern } from './graph.ts';

/** Two points nearer than this are one: rounding after dozens of reflections stays below it, drawn detail far above. */
export const SAME_POINT = 1e-8;

export interface Face {
  /** Vertex numbers, counterclockwise on the sheet. */
  readonly ring: readonly number[];
  /** x' = m0 x + m1 y + m2, y' = m3 x + m4 y + m5. */
  readonly place: readonly [number, number, number, number, number, number];
  readonly exactPlace: ExactIsometry | null;
  readonly frontUp: boolean;
}

export interface Paper {
  readonly points: PatternPoint[];
  readonly exact: (ExactPoint | null)[];
  /** Kind of each edge by edgeKey. */
  readonly edges: Map<number, Kind>;
  /** Bottom first. */
  readonly faces: Face[];
  /** Vertices by small square of the sheet, to find one at a place. */
  readonly cells: Map<string, number[]>;
}

/** Vertex numbers stay below this, so that a pair makes one safe integer. */
const KEY_BASE = 1 << 20;

/** One number for the edge between two vertices, whichever comes first. */
export function edgeKey(u: number, v: number): number {
  return u < v ? u * KEY_BASE + v : v * KEY_BASE + u;
}

/** The two vertices of an edge, from its number. */
export function edgeEnds(key: number): [number, number] {
  return [Math.floor(key / KEY_BASE), key % KEY_BASE];
}

/** A flat sheet, front up. The outline is convex, counterclockwise. */
export function newPaper(outline: readonly PatternPoint[], exactOutline: readonly (ExactPoint | null)[]): Paper {
  const paper: Paper = { points: [], exact: [], edges: new Map(), faces: [], cells: new Map() };
  const ring = outline.map((p, i) => addPoint(paper, p, exactOutline[i]));
  for (let i = 0; i < ring.length; i++) paper.edges.set(edgeKey(ring[i], ring[(i + 1) % ring.length]), 'B');
  const one = exact(1);
  const zero = exact(0);
  paper.faces.push({
    ring,
    place: [1, 0, 0, 0, 1, 0],
    exactPlace: { m: [one, zero, zero, one], t: [zero, zero] },
    frontUp: true,
  });
  return paper;
}

export function copyPaper(paper: Paper): Paper {
  return {
    points: [...paper.points],
    exact: [...paper.exact],
    edges: new Map(paper.edges),
    faces: [...paper.faces],
    cells: new Map([...paper.cells].map(([k, v]) => [k, [...v]])),
  };
}

/** Side of such a square: far above SAME_POINT, so that looking next door is enough. */
const CELL = 1e-4;

/** The number of the vertex at a point; a new one unless one is there. */
export function addPoint(paper: Paper, p: PatternPoint, at: ExactPoint | null): number {
  const [cx, cy] = [Math.floor(p[0] / CELL), Math.floor(p[1] / CELL)];
  for (let dx = -1; dx <= 1; dx++) {
    for (let dy = -1; dy <= 1; dy++) {
      for (const i of paper.cells.get(`${cx + dx},${cy + dy}`) ?? []) {
        if (Math.hypot(paper.points[i][0] - p[0], paper.points[i][1] - p[1]) < SAME_POINT) return i;
      }
    }
  }
  const index = paper.points.push(p) - 1;
  paper.exact.push(at);
  const key = `${cx},${cy}`;
  const cell = paper.cells.get(key);
  if (cell) cell.push(index);
  else paper.cells.set(key, [index]);
  return index;
}

/** Where the vertices of a face lie now. */
export function foldedRing(paper: Paper, face: Face): [number, number][] {
  const [a, b, c, d, e, f] = face.place;
  return face.ring.map((v) => {
    const [x, y] = paper.points[v];
    return [a * x + b * y + c, d * x + e * y + f];
  });
}

/** Faces by edge: one at the border, two inside. */
export function facesByEdge(paper: Paper): Map<number, number[]> {
  const out = new Map<number, number[]>();
  paper.faces.forEach((face, f) => {
    face.ring.forEach((v, i) => {
      const key = edgeKey(v, face.ring[(i + 1) % face.ring.length]);
      const list = out.get(key);
      if (list) list.push(f);
      else out.set(key, [f]);
    });
  });
  return out;
}

/** The creases made so far, as a tidy pattern. */
export function creasesOf(paper: Paper, lattice: Lattice | null): Pattern {
  const edges = [...paper.edges].map(([key, kind]): Crease => {
    const [from, to] = edgeEnds(key);
    return { from, to, kind };
  });
  return tidyPattern({ points: paper.points, exact: paper.exact, edges }, lattice);
}

/** Bounds of the folded shape: [minX, minY, maxX, maxY]. */
export function foldedBounds(paper: Paper): [number, number, number, number] {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const face of paper.faces) {
    for (const [x, y] of foldedRing(paper, face)) {
      x0 = Math.min(x0, x);
      y0 = Math.min(y0, y);
      x1 = Math.max(x1, x);
      y1 = Math.max(y1, y);
    }
  }
  return [x0, y0, x1, y1];
}

/** Offset c of the line a·x + b·y = c through a point of the sheet where the face has brought it; null on overflow. */
export function offsetThrough(face: Face, at: ExactPoint, a: Exact, b: Exact): Exact | null {
  const place = face.exactPlace;
  if (!place) return null;
  return tryExact(() => {
    const { m, t } = place;
    const x = addExact(dotExact(m[0], at[0], m[1], at[1]), t[0]);
    const y = addExact(dotExact(m[2], at[0], m[3], at[1]), t[1]);
    return dotExact(a, x, b, y);
  });
}
