/** One fold of a sheet: which faces go, cutting them at the line, turning them over. */
import { addExact, divExact, exact, mulExact, negExact, subExact, toNumber } from '../../pipeline/geometry/exact.ts';
import type { ExactPoint, Kind, PatternPoint } from '../../pipeline/types.ts';
import { dotExact, type ExactIsometry, type FoldLine, lineOnPaper, tryExact } from './fold-line.ts';
import { addPoint, copyPaper, edgeKey, type Face, facesByEdge, foldedRing, type Paper, SAME_POINT } from './paper.ts';

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
