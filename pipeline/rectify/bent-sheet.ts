/** Paper bent in one direction only, as it bends without creasing: a general cylinder, along whose bent direction lengths are kept. */
import type { PatternPoint } from '../types.ts';

/** Direction of bending, radians, and the slant along it: s times (b0 + b1 s + b2 s^2) at distance s from the middle of the sheet, radians. */
export type SheetBend = readonly [turn: number, b0: number, b1: number, b2: number];

/** Nodes and weights of the Gauss-Legendre rule of five points on [0, 1]. */
const NODES = [0.04691007703066802, 0.23076534494715845, 0.5, 0.7692346550528415, 0.9530899229693319];
const WEIGHTS = [
  0.11846344252809454, 0.23931433524968324, 0.28444444444444444, 0.23931433524968324, 0.11846344252809454,
];

/** Places on the sheet, and where they are once it is bent. */
export interface Places {
  /** Pattern frame, two numbers a place. */
  readonly flat: Float64Array;
  /** Three numbers a place, good while the bend is still `by`. */
  readonly bent: Float64Array;
  by: SheetBend | null;
}

/** Each corner of the polygon and then the places at those shares of the side that begins there. */
export function placesAlong(polygon: readonly PatternPoint[], shares: readonly number[]): Places {
  const flat = polygon.flatMap((a, i) => {
    const b = polygon[(i + 1) % polygon.length];
    return [...a, ...shares.flatMap((t) => [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])])];
  });
  return { flat: Float64Array.from(flat), bent: new Float64Array((flat.length / 2) * 3), by: null };
}

/** The places on the bent sheet, x, y and rise from its middle: most steps of a search leave the bend as it was. */
export function bentPlaces(bend: SheetBend, places: Places): Float64Array {
  const { flat, bent, by } = places;
  if (by && bend.every((term, i) => term === by[i])) return bent;
  const [c, s] = [Math.cos(bend[0]), Math.sin(bend[0])];
  for (let i = 0, o = 0; i < flat.length; i += 2, o += 3) bendPlace(bend, c, s, flat[i], flat[i + 1], bent, o);
  places.by = bend;
  return bent;
}

/** Where (px, py) of the pattern frame is on the bent sheet, whose direction of bending has that cosine and sine; written from `o` on. */
export function bendPlace(
  [, b0, b1, b2]: SheetBend,
  c: number,
  s: number,
  px: number,
  py: number,
  into: Float64Array,
  o: number,
): void {
  const x = px - 0.5;
  const y = 0.5 - py;
  const along = c * x + s * y;
  const across = c * y - s * x;
  let run = 0;
  let rise = 0;
  for (let g = 0; g < NODES.length; g++) {
    const at = NODES[g] * along;
    const slant = at * (b0 + at * (b1 + at * b2));
    run += WEIGHTS[g] * Math.cos(slant);
    rise += WEIGHTS[g] * Math.sin(slant);
  }
  run *= along;
  rise *= along;
  into[o] = c * run - s * across;
  into[o + 1] = s * run + c * across;
  into[o + 2] = rise;
}
