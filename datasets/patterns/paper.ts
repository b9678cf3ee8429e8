/**
 * Simulated folding. The sheet is a stack of flat convex faces, bottom first; each face carries the isometry that takes
 * it from the sheet to its folded place and says whether its front is up. A fold takes faces from the top (or bottom) of
 * the stack over a line, so every pattern made here has a flat folded state by construction.
 *
 * Frames: "paper" is the pattern frame (unit sheet, y up); "folded" is where the faces lie now, same scale.
 */
import {
  addExact,
  divExact,
  ExactOverflowError,
  exact,
  mulExact,
  negExact,
  subExact,
  toNumber,
} from '../../pipeline/geometry/exact.ts';
import type { Crease, Exact, ExactPoint, Kind, Lattice, Pattern, PatternPoint } from '../../pipeline/types.ts';
import { tidyPattern } from './graph.ts';

/** Two points nearer than this are one: rounding after dozens of reflections stays below it, drawn detail far above. */
const SAME_POINT = 1e-8;

/** a·x + b·y = c; the side a·x + b·y > c moves when the line is folded. Exact coefficients where the line has them. */
export interface FoldLine {
  readonly a: number;
  readonly b: number;
  readonly c: number;
  readonly exact: readonly [a: Exact, b: Exact, c: Exact] | null;
}

interface ExactIsometry {
  readonly m: readonly [Exact, Exact, Exact, Exact];
  readonly t: ExactPoint;
}

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

const CELL = 1e-4;

function addPoint(paper: Paper, p: PatternPoint, at: ExactPoint | null): number {
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

function tryExact<T>(make: () => T): T | null {
  try {
    return make();
  } catch (error) {
    if (error instanceof ExactOverflowError) return null;
    throw error;
  }
}

function dotExact(a: Exact, x: Exact, b: Exact, y: Exact): Exact {
  return addExact(mulExact(a, x), mulExact(b, y));
}

/** The line as seen on the sheet, through the face's isometry: exact coefficients. */
function lineOnPaper(line: FoldLine, place: ExactIsometry): readonly [Exact, Exact, Exact] {
  const [a, b, c] = line.exact!;
  const { m, t } = place;
  return [dotExact(a, m[0], b, m[2]), dotExact(a, m[1], b, m[3]), subExact(c, dotExact(a, t[0], b, t[1]))];
}

/** The face after it was turned over the line. */
export function reflect(face: Face, line: FoldLine): Face {
  const [m0, m1, m2, m3, m4, m5] = face.place;
  const { a, b, c } = line;
  const n = a * a + b * b;
  // p' = p - 2 (n·p - c) n / |n|²
  const [r0, r1, r3] = [1 - (2 * a * a) / n, (-2 * a * b) / n, 1 - (2 * b * b) / n];
  const [s, t] = [(2 * c * a) / n, (2 * c * b) / n];
  const exactPlace =
    face.exactPlace && line.exact
      ? tryExact((): ExactIsometry => {
          const [ea, eb, ec] = line.exact!;
          const two = exact(2);
          const inv = divExact(two, dotExact(ea, ea, eb, eb));
          const e0 = subExact(exact(1), mulExact(inv, mulExact(ea, ea)));
          const e1 = negExact(mulExact(inv, mulExact(ea, eb)));
          const e3 = subExact(exact(1), mulExact(inv, mulExact(eb, eb)));
          const sx = mulExact(inv, mulExact(ec, ea));
          const sy = mulExact(inv, mulExact(ec, eb));
          const { m, t: move } = face.exactPlace!;
          return {
            m: [
              dotExact(e0, m[0], e1, m[2]),
              dotExact(e0, m[1], e1, m[3]),
              dotExact(e1, m[0], e3, m[2]),
              dotExact(e1, m[1], e3, m[3]),
            ],
            t: [addExact(dotExact(e0, move[0], e1, move[1]), sx), addExact(dotExact(e1, move[0], e3, move[1]), sy)],
          };
        })
      : null;
  return {
    ring: face.ring,
    place: [
      r0 * m0 + r1 * m3,
      r0 * m1 + r1 * m4,
      r0 * m2 + r1 * m5 + s,
      r1 * m0 + r3 * m3,
      r1 * m1 + r3 * m4,
      r1 * m2 + r3 * m5 + t,
    ],
    exactPlace,
    frontUp: !face.frontUp,
  };
}

type Side = 'stays' | 'moves' | 'split';

/** Signed distances of a face's vertices to the line in the folded frame, exact zeros where rounding hides them. */
export function distances(paper: Paper, face: Face, line: FoldLine): number[] {
  const n = Math.hypot(line.a, line.b);
  return foldedRing(paper, face).map(([x, y]) => {
    const d = (line.a * x + line.b * y - line.c) / n;
    return Math.abs(d) < SAME_POINT ? 0 : d;
  });
}

/** Which side of the line a face lies on, from its distances. */
export function sideOf(d: readonly number[]): Side {
  const plus = d.some((x) => x > 0);
  const minus = d.some((x) => x < 0);
  return plus && minus ? 'split' : plus ? 'moves' : 'stays';
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

export interface FoldOptions {
  /** over: the moving part lands on top; under: below the bottom. */
  readonly way: 'over' | 'under';
  /**
   * Number of faces, counted from the top (over) or bottom (under), that the fold would like to take. More are taken
   * where the paper forces it: faces joined to a moving part, and faces that would be in its way.
   */
  readonly reach: number;
}

/**
 * Folds along a line and returns the paper after it, or null where nothing would move or everything would. The paper
 * given is not changed.
 */
export function foldPaper(before: Paper, line: FoldLine, options: FoldOptions): Paper | null {
  const paper = copyPaper(before);
  const count = paper.faces.length;
  const gaps = paper.faces.map((face) => distances(paper, face, line));
  const sides = gaps.map(sideOf);
  // Depth counts from the side the part moves to: 0 is the first face to be lifted.
  const depthOf = (f: number): number => (options.way === 'over' ? count - 1 - f : f);
  const neighbours = facesByEdge(paper);
  let depth = Math.min(options.reach, count) - 1;
  for (let grown = true; grown; ) {
    grown = false;
    for (let f = 0; f < count; f++) {
      if (depthOf(f) > depth || sides[f] === 'stays') continue;
      const { ring } = paper.faces[f];
      ring.forEach((v, i) => {
        const j = (i + 1) % ring.length;
        // Only edges of the moving piece matter: those with a part beyond the line, or lying on it.
        if (Math.max(gaps[f][i], gaps[f][j]) <= 0 && Math.min(gaps[f][i], gaps[f][j]) < 0) return;
        for (const g of neighbours.get(edgeKey(v, ring[j]))!) {
          if (depthOf(g) > depth) {
            depth = depthOf(g);
            grown = true;
          }
        }
      });
    }
  }
  const taken = paper.faces.map((_, f) => sides[f] !== 'stays' && depthOf(f) <= depth);
  if (!taken.includes(true)) return null;
  if (taken.every((t, f) => t && sides[f] === 'moves')) return null;
  const stays: Face[] = [];
  const moves: Face[] = [];
  paper.faces.forEach((face, f) => {
    if (!taken[f]) stays.push(face);
    else if (sides[f] === 'moves') moves.push(reflect(face, line));
    else {
      const [kept, lifted] = splitFace(
        paper,
        face,
        gaps[f],
        line,
        face.frontUp === (options.way === 'over') ? 'V' : 'M',
      );
      stays.push(kept);
      moves.push(reflect(lifted, line));
    }
  });
  moves.reverse();
  paper.faces.length = 0;
  paper.faces.push(...(options.way === 'over' ? [...stays, ...moves] : [...moves, ...stays]));
  return paper;
}

/** Cuts a face along the line; the new crease gets the kind. Returns what lies before and beyond the line. */
export function splitFace(paper: Paper, face: Face, d: readonly number[], line: FoldLine, kind: Kind): [Face, Face] {
  const kept: number[] = [];
  const lifted: number[] = [];
  const onLine: number[] = [];
  const { ring } = face;
  ring.forEach((u, i) => {
    const j = (i + 1) % ring.length;
    const v = ring[j];
    if (d[i] <= 0) kept.push(u);
    if (d[i] >= 0) lifted.push(u);
    if (d[i] === 0) onLine.push(u);
    if (d[i] * d[j] < 0) {
      const w = cutEdge(paper, face, u, v, d[i] / (d[i] - d[j]), line);
      kept.push(w);
      lifted.push(w);
      onLine.push(w);
    }
  });
  paper.edges.set(edgeKey(onLine[0], onLine[1]), kind);
  return [
    { ...face, ring: kept },
    { ...face, ring: lifted },
  ];
}

function cutEdge(paper: Paper, face: Face, u: number, v: number, t: number, line: FoldLine): number {
  const [p, q] = [paper.points[u], paper.points[v]];
  let at: ExactPoint | null = null;
  const [ep, eq] = [paper.exact[u], paper.exact[v]];
  if (ep && eq && face.exactPlace && line.exact) {
    const place = face.exactPlace;
    at = tryExact((): ExactPoint => {
      const [a, b, c] = lineOnPaper(line, place);
      const [dx, dy] = [subExact(eq[0], ep[0]), subExact(eq[1], ep[1])];
      const s = divExact(subExact(c, dotExact(a, ep[0], b, ep[1])), dotExact(a, dx, b, dy));
      return [addExact(ep[0], mulExact(s, dx)), addExact(ep[1], mulExact(s, dy))];
    });
  }
  const point: PatternPoint = at
    ? [toNumber(at[0]), toNumber(at[1])]
    : [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])];
  const w = addPoint(paper, point, at);
  const kind = paper.edges.get(edgeKey(u, v));
  if (kind !== undefined) {
    paper.edges.delete(edgeKey(u, v));
    paper.edges.set(edgeKey(u, w), kind);
    paper.edges.set(edgeKey(w, v), kind);
  }
  return w;
}

/** The creases made so far, as a tidy pattern. */
export function creasesOf(paper: Paper, lattice: Lattice | null): Pattern {
  const edges = [...paper.edges].map(([key, kind]): Crease => {
    const [from, to] = edgeEnds(key);
    return { from, to, kind };
  });
  return tidyPattern({ points: paper.points, exact: paper.exact, edges }, lattice);
}

/** A line through two exact numbers of direction and offset, as a FoldLine. */
export function exactLine(a: Exact, b: Exact, c: Exact): FoldLine {
  return { a: toNumber(a), b: toNumber(b), c: toNumber(c), exact: [a, b, c] };
}

/** The same line with the other side moving. */
export function otherSide(line: FoldLine): FoldLine {
  const e = line.exact;
  return {
    a: -line.a,
    b: -line.b,
    c: -line.c,
    exact: e ? [negExact(e[0]), negExact(e[1]), negExact(e[2])] : null,
  };
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
