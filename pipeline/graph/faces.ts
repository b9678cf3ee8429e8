import { creasesAround } from '../laws/around.ts';
import type { Pattern } from '../types.ts';

/**
 * Faces of a planar pattern as flat tables over half-edges. Half-edge 2c runs along crease c from `from` to `to`,
 * 2c + 1 runs back; each has its face on the LEFT.
 *
 *          ────── 2c ──────▶
 *   from ●                    ● to       face of 2c above the line, face of 2c + 1 below it
 *          ◀──── 2c + 1 ────
 */
export interface Faces {
  readonly count: number;
  /** Half-edges of face f, counterclockwise, stand at places start[f] .. start[f + 1] - 1. Length: count + 1. */
  readonly start: Int32Array;
  readonly halfEdge: Int32Array;
  /** Face of each half-edge; -1 outside the sheet (and for guides, where they are left out). */
  readonly faceOf: Int32Array;
  /** Signed area of each face, pattern units², positive. */
  readonly area: Float64Array;
  /** Closed walks that have the paper on their outside: the sheet's surroundings, and one more for each loose piece. */
  readonly outside: readonly Int32Array[];
}

export interface FindFacesOptions {
  /** True: guides (F) cut faces, too. Default false: they are not folded and lie inside faces. */
  readonly guides?: boolean;
}

/**
 * Walks around every face of a planar straight-line graph: at the end of each half-edge it turns to the next crease
 * clockwise. Needs creases that meet only at vertices (`checkPlanarGraph`). A dangling crease is walked on both sides, so
 * its face names it twice.
 */
export function findFaces(pattern: Pattern, options: FindFacesOptions = {}): Faces {
  const { vertices, creases } = pattern;
  const next = nextHalfEdges(pattern, options.guides ?? false);
  const faceOf = new Int32Array(next.length).fill(-1);
  const seen = new Uint8Array(next.length);
  const start: number[] = [0];
  const halfEdge: number[] = [];
  const area: number[] = [];
  const outside: Int32Array[] = [];
  const walk: number[] = [];
  for (let first = 0; first < next.length; first++) {
    if (next[first] < 0 || seen[first]) continue;
    walk.length = 0;
    let twice = 0;
    for (let h = first; !seen[h]; h = next[h]) {
      seen[h] = 1;
      walk.push(h);
      const [a, b] = [vertices[startOf(pattern, h)], vertices[startOf(pattern, h ^ 1)]];
      twice += a[0] * b[1] - a[1] * b[0];
    }
    if (twice <= 0) {
      outside.push(Int32Array.from(walk));
      continue;
    }
    for (const h of walk) {
      faceOf[h] = area.length;
      halfEdge.push(h);
    }
    start.push(halfEdge.length);
    area.push(twice / 2);
  }
  return {
    count: area.length,
    start: Int32Array.from(start),
    halfEdge: Int32Array.from(halfEdge),
    faceOf: faceOf.subarray(0, creases.length * 2),
    area: Float64Array.from(area),
    outside,
  };
}

/** Vertex where a half-edge starts; the one of its twin (h ^ 1) is where it ends. */
export function startOf(pattern: Pattern, halfEdge: number): number {
  const crease = pattern.creases[halfEdge >> 1];
  return halfEdge & 1 ? crease.to : crease.from;
}

/** Vertices of a face, counterclockwise. */
export function faceVertices(pattern: Pattern, faces: Faces, face: number): number[] {
  const ring: number[] = [];
  for (let place = faces.start[face]; place < faces.start[face + 1]; place++) {
    ring.push(startOf(pattern, faces.halfEdge[place]));
  }
  return ring;
}

/** The half-edge after each one around its face; -1 for guides that are left out. */
function nextHalfEdges(pattern: Pattern, guides: boolean): Int32Array {
  const { creases, vertices } = pattern;
  const around = creasesAround(pattern);
  const next = new Int32Array(creases.length * 2).fill(-1);
  for (let v = 0; v < vertices.length; v++) {
    // Half-edges that leave v, counterclockwise; the one before h in this order follows h's twin.
    let firstOut = -1;
    let lastOut = -1;
    for (let place = around.start[v]; place < around.start[v + 1]; place++) {
      const c = around.crease[place];
      if (!guides && creases[c].kind === 'F') continue;
      const out = creases[c].from === v ? 2 * c : 2 * c + 1;
      if (lastOut >= 0) next[out ^ 1] = lastOut;
      else firstOut = out;
      lastOut = out;
    }
    if (firstOut >= 0) next[firstOut ^ 1] = lastOut;
  }
  return next;
}
