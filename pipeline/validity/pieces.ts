import type { Faces } from '../graph/faces.ts';
import { startOf } from '../graph/faces.ts';
import type { Pattern } from '../types.ts';
import type { FoldedPosition } from './position.ts';
import { isFold } from './position.ts';

/**
 * Convex pieces of the folded faces, as flat tables over sides. A face that is not convex (notched sheets only) is cut into
 * triangles that are joined flat along the cuts, so that two pieces never overlap in more than one region.
 * Side s runs from its corner to the corner of the next side of the same piece.
 */
export interface Pieces {
  readonly count: number;
  /** Sides of piece p stand at places start[p] .. start[p + 1] - 1, counterclockwise on the sheet. */
  readonly start: Int32Array;
  /** Folded corner where each side starts, pattern units. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Piece that each side belongs to. */
  readonly piece: Int32Array;
  /** The same side seen from the piece beyond it; -1 at the sheet's edge and at cuts. */
  readonly mate: Int32Array;
  /** Crease along each side; -1 where a face was cut in two. */
  readonly crease: Int32Array;
  readonly face: Int32Array;
  /** Middle of the corners of each piece on the sheet, x and y, pattern units. */
  readonly middle: Float64Array;
  /** 1 where the piece lies back up. */
  readonly flipped: Uint8Array;
}

/** Sines of turns below this are rounding. */
const STRAIGHT = 1e-9;

/**
 * Cuts the folded faces into convex pieces.
 *
 * @param same corners that are nearer to the line between their neighbours count as straight, pattern units
 */
export function cutPieces(pattern: Pattern, faces: Faces, folded: FoldedPosition, same: number): Pieces {
  const start: number[] = [0];
  const place: number[] = [];
  const crease: number[] = [];
  const piece: number[] = [];
  const face: number[] = [];
  // Side by its half-edge on the sheet, or by 'from,to' places of a cut.
  const sideOfHalf = new Int32Array(pattern.creases.length * 2).fill(-1);
  const sideOfCut = new Map<string, number>();
  const add = (f: number, ring: readonly number[]): void => {
    ring.forEach((corner, i) => {
      const after = ring[(i + 1) % ring.length];
      const side = place.length;
      const whole = corner + 1 === after || (after === faces.start[f] && corner + 1 === faces.start[f + 1]);
      if (whole) sideOfHalf[faces.halfEdge[corner]] = side;
      else sideOfCut.set(`${corner},${after}`, side);
      place.push(corner);
      crease.push(whole ? faces.halfEdge[corner] >> 1 : -1);
      piece.push(face.length);
    });
    face.push(f);
    start.push(place.length);
  };
  for (let f = 0; f < faces.count; f++) {
    const ring: number[] = [];
    for (let p = faces.start[f]; p < faces.start[f + 1]; p++) ring.push(p);
    const corner = (p: number): readonly [number, number] => pattern.vertices[startOf(pattern, faces.halfEdge[p])];
    if (isConvex(ring.map(corner), same)) add(f, ring);
    else for (const triangle of clipEars(ring, corner)) add(f, triangle);
  }
  const mate = new Int32Array(place.length).fill(-1);
  for (let h = 0; h < sideOfHalf.length; h += 2) {
    const [a, b] = [sideOfHalf[h], sideOfHalf[h + 1]];
    if (a < 0 || b < 0 || !isFold(pattern, h >> 1)) continue;
    mate[a] = b;
    mate[b] = a;
  }
  for (const [cut, side] of sideOfCut) mate[side] = sideOfCut.get(cut.split(',').reverse().join(',')) ?? -1;
  return {
    count: face.length,
    start: Int32Array.from(start),
    x: Float64Array.from(place, (p) => folded.x[p]),
    y: Float64Array.from(place, (p) => folded.y[p]),
    piece: Int32Array.from(piece),
    mate,
    crease: Int32Array.from(crease),
    face: Int32Array.from(face),
    middle: middles(start, place, (p) => pattern.vertices[startOf(pattern, faces.halfEdge[p])]),
    flipped: Uint8Array.from(face, (f) => folded.flipped[f]),
  };
}

type Point = readonly [number, number];

function middles(start: readonly number[], place: readonly number[], corner: (place: number) => Point): Float64Array {
  const middle = new Float64Array(2 * (start.length - 1));
  for (let p = 0; p + 1 < start.length; p++) {
    const share = 1 / (start[p + 1] - start[p]);
    for (let s = start[p]; s < start[p + 1]; s++) {
      const [x, y] = corner(place[s]);
      middle[2 * p] += x * share;
      middle[2 * p + 1] += y * share;
    }
  }
  return middle;
}

/** Sine of the turn at b, positive to the left. */
function turn(a: Point, b: Point, c: Point): number {
  const [ux, uy, vx, vy] = [b[0] - a[0], b[1] - a[1], c[0] - b[0], c[1] - b[1]];
  return (ux * vy - uy * vx) / (Math.hypot(ux, uy) * Math.hypot(vx, vy));
}

function isConvex(ring: readonly Point[], same: number): boolean {
  const n = ring.length;
  return ring.every((b, i) => {
    const [a, c] = [ring[(i + n - 1) % n], ring[(i + 1) % n]];
    const nearer = Math.min(Math.hypot(b[0] - a[0], b[1] - a[1]), Math.hypot(c[0] - b[0], c[1] - b[1]));
    return turn(a, b, c) * nearer > -same;
  });
}

/** Triangles of a simple counterclockwise ring, by cutting off ears. */
function clipEars(ring: readonly number[], corner: (place: number) => Point): number[][] {
  const left = [...ring];
  const triangles: number[][] = [];
  while (left.length > 3) {
    const n = left.length;
    const ear = left.findIndex((b, i) => {
      const [a, c] = [left[(i + n - 1) % n], left[(i + 1) % n]];
      if (turn(corner(a), corner(b), corner(c)) <= STRAIGHT) return false;
      return left.every((p) => p === a || p === b || p === c || !isWithin(corner(p), corner(a), corner(b), corner(c)));
    });
    // A ring without an ear has no inside left that folding could see.
    if (ear < 0) break;
    triangles.push([left[(ear + n - 1) % n], left[ear], left[(ear + 1) % n]]);
    left.splice(ear, 1);
  }
  triangles.push(left);
  return triangles;
}

function isWithin(p: Point, a: Point, b: Point, c: Point): boolean {
  return [
    [a, b],
    [b, c],
    [c, a],
  ].every(([u, v]) => (v[0] - u[0]) * (p[1] - u[1]) - (v[1] - u[1]) * (p[0] - u[0]) > -STRAIGHT);
}
