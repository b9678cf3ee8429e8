import { toNumber } from '../geometry/exact.ts';
import type { Faces } from '../graph/faces.ts';
import { startOf } from '../graph/faces.ts';
import type { ExactPoint, Pattern } from '../types.ts';
import { EXACT_IDENTITY, type ExactIsometry, exactImage, reflectExactly, sameExactPoint } from './exact-isometry.ts';

/** Coordinates in double precision after a few thousand reflections are good to this, pattern units. */
export const ROUNDING_UNITS = 1e-9;
/** Reflecting at a line that is turned by an angle turns what lies beyond it by twice that angle. */
const REFLECTION_GAIN = 2;

/** Where every face lies after folding. The largest face of each connected part stays where it is, face up. */
export interface FoldedPosition {
  /** Isometry of face f: x' = m[6f]·x + m[6f+1]·y + m[6f+2], y' = m[6f+3]·x + m[6f+4]·y + m[6f+5]. */
  readonly isometry: Float64Array;
  /** 1 where the face lies with its back up. */
  readonly flipped: Uint8Array;
  /** Folded corner at each place of faces.halfEdge (start of that half-edge), pattern units. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Creases whose two faces disagree on where they lie, with the distance. */
  readonly open: readonly OpenLoop[];
  /** Largest distance that was accepted as measurement error, pattern units. */
  readonly gap: number;
  /** Share of the corners whose folded place is known exactly, 0..1. */
  readonly exactShare: number;
  /** Number of parts that folds join together; 1 for a whole sheet. */
  readonly parts: number;
}

export interface OpenLoop {
  readonly crease: number;
  readonly gap: number;
  readonly tolerance: number;
}

/**
 * Folds every mountain, valley and undecided crease flat: walks a spanning tree over the faces, reflecting at each crease, then
 * compares both sides of every crease that the tree did not use. Exact in Q, Q(√2) and Q(√3) for as long as the whole
 * numbers stay safe, in double precision beyond.
 *
 * @param positionTolerance how far vertices without exact coordinates may be off, pattern units
 */
export function foldPositions(pattern: Pattern, faces: Faces, positionTolerance: number): FoldedPosition {
  const isometry = new Float64Array(faces.count * 6);
  const exact: (ExactIsometry | null)[] = new Array<ExactIsometry | null>(faces.count).fill(null);
  const flipped = new Uint8Array(faces.count);
  // Variance of a face's place that measurement errors along its branch allow, pattern units².
  const variance = new Float64Array(faces.count);
  const reached = new Uint8Array(faces.count);
  let parts = 0;
  for (const root of bySize(faces)) {
    if (reached[root]) continue;
    parts++;
    reached[root] = 1;
    isometry.set([1, 0, 0, 0, 1, 0], root * 6);
    exact[root] = EXACT_IDENTITY;
    const queue = [root];
    for (let head = 0; head < queue.length; head++) {
      const f = queue[head];
      for (let place = faces.start[f]; place < faces.start[f + 1]; place++) {
        const half = faces.halfEdge[place];
        const g = faces.faceOf[half ^ 1];
        if (g < 0 || reached[g] || !isFold(pattern, half >> 1)) continue;
        reached[g] = 1;
        reflect(pattern, half >> 1, isometry, f, g);
        exact[g] = reflectExactly(pattern, half >> 1, exact[f]);
        flipped[g] = flipped[f] ^ 1;
        variance[g] = variance[f] + (REFLECTION_GAIN * turnOf(pattern, half >> 1, positionTolerance)) ** 2;
        queue.push(g);
      }
    }
  }
  const corners = placeCorners(pattern, faces, isometry, exact);
  return { isometry, flipped, parts, ...corners, ...checkLoops(pattern, faces, isometry, exact, variance) };
}

/** Faces from large to small; those of one size, but for rounding, as they are numbered. */
function bySize({ count, area }: Faces): number[] {
  const order = Array.from({ length: count }, (_, f) => f);
  return order.sort((f, g) => (Math.abs(area[f] - area[g]) <= ROUNDING_UNITS ? f - g : area[g] - area[f]));
}

/** Whether a crease is folded. */
export function isFold(pattern: Pattern, crease: number): boolean {
  const { kind } = pattern.creases[crease];
  return kind === 'M' || kind === 'V' || kind === 'U';
}

/** Isometry of g: reflect at the crease on the sheet, then move as f does. */
function reflect(pattern: Pattern, crease: number, m: Float64Array, f: number, g: number): void {
  const [px, py] = pattern.vertices[pattern.creases[crease].from];
  const [qx, qy] = pattern.vertices[pattern.creases[crease].to];
  const [dx, dy] = [qx - px, qy - py];
  const square = dx * dx + dy * dy;
  const cos = (dx * dx - dy * dy) / square;
  const sin = (2 * dx * dy) / square;
  for (const row of [0, 3]) {
    const [a, b, c] = [m[6 * f + row], m[6 * f + row + 1], m[6 * f + row + 2]];
    const [u, v] = [a * cos + b * sin, a * sin - b * cos];
    m[6 * g + row] = u;
    m[6 * g + row + 1] = v;
    // Points of the crease stay together.
    m[6 * g + row + 2] = a * px + b * py + c - u * px - v * py;
  }
}

/** Angle by which a crease may be turned, given what is known of its ends, radians. */
function turnOf(pattern: Pattern, crease: number, positionTolerance: number): number {
  const { from, to } = pattern.creases[crease];
  const unsure = (pattern.exact[from] ? 0 : 1) + (pattern.exact[to] ? 0 : 1);
  if (unsure === 0) return 0;
  const [p, q] = [pattern.vertices[from], pattern.vertices[to]];
  return (unsure * positionTolerance) / Math.hypot(q[0] - p[0], q[1] - p[1]);
}

function placeCorners(
  pattern: Pattern,
  faces: Faces,
  m: Float64Array,
  exact: readonly (ExactIsometry | null)[],
): { x: Float64Array; y: Float64Array; exactShare: number } {
  const x = new Float64Array(faces.halfEdge.length);
  const y = new Float64Array(faces.halfEdge.length);
  let exactly = 0;
  for (let f = 0; f < faces.count; f++)
    for (let place = faces.start[f]; place < faces.start[f + 1]; place++) {
      const v = startOf(pattern, faces.halfEdge[place]);
      const image = exactImageOf(pattern, exact[f], v);
      if (image) {
        exactly++;
        x[place] = toNumber(image[0]);
        y[place] = toNumber(image[1]);
      } else {
        [x[place], y[place]] = imageOf(pattern, m, f, v);
      }
    }
  return { x, y, exactShare: faces.halfEdge.length === 0 ? 1 : exactly / faces.halfEdge.length };
}

function checkLoops(
  pattern: Pattern,
  faces: Faces,
  m: Float64Array,
  exact: readonly (ExactIsometry | null)[],
  variance: Float64Array,
): { open: OpenLoop[]; gap: number } {
  const open: OpenLoop[] = [];
  let largest = 0;
  for (let c = 0; c < pattern.creases.length; c++) {
    const [f, g] = [faces.faceOf[2 * c], faces.faceOf[2 * c + 1]];
    if (f < 0 || g < 0 || !isFold(pattern, c)) continue;
    const tolerance = ROUNDING_UNITS + Math.sqrt(variance[f] + variance[g]);
    let gap = 0;
    let certain: boolean | null = null;
    for (const v of [pattern.creases[c].from, pattern.creases[c].to]) {
      const [p, q] = [imageOf(pattern, m, f, v), imageOf(pattern, m, g, v)];
      gap = Math.max(gap, Math.hypot(p[0] - q[0], p[1] - q[1]));
      const [s, t] = [exactImageOf(pattern, exact[f], v), exactImageOf(pattern, exact[g], v)];
      if (s && t) certain = (certain ?? true) && sameExactPoint(s, t);
    }
    if (certain === false || gap > tolerance) open.push({ crease: c, gap, tolerance });
    else largest = Math.max(largest, gap);
  }
  return { open, gap: largest };
}

function imageOf(pattern: Pattern, m: Float64Array, f: number, vertex: number): [number, number] {
  const [x, y] = pattern.vertices[vertex];
  return [m[6 * f] * x + m[6 * f + 1] * y + m[6 * f + 2], m[6 * f + 3] * x + m[6 * f + 4] * y + m[6 * f + 5]];
}

function exactImageOf(pattern: Pattern, isometry: ExactIsometry | null, vertex: number): ExactPoint | null {
  const point = pattern.exact[vertex];
  return isometry && point ? exactImage(isometry, point) : null;
}
