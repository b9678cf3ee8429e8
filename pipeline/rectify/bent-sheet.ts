/**
 * Paper bent as it bends without creasing: along straight rulings that are parallel (a general cylinder) or meet in one point beside the sheet (a general cone). Lengths on
 * the paper are kept.
 */
import type { PatternPoint } from '../types.ts';

/**
 * Direction of bending, radians; the slant along it: s times (b0 + b1 s + b2 s^2) at distance s from the middle of the sheet, radians; and one over the distance
 * from the middle to the point where the rulings meet, across that direction, 0 where they are parallel.
 */
export type SheetBend = readonly [turn: number, b0: number, b1: number, b2: number, cone: number];

/** Writes where (px, py) of the pattern frame is on the bent sheet, x, y and rise from its middle, from `o` on. */
export type BentSheet = (px: number, py: number, into: Float64Array, o: number) => void;

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
  const sheet = bentSheet(bend);
  for (let i = 0, o = 0; i < flat.length; i += 2, o += 3) sheet(flat[i], flat[i + 1], bent, o);
  places.by = bend;
  return bent;
}

/** Rulings that meet farther away than this are parallel, units. */
const FAR = 1000;

export function bentSheet(bend: SheetBend): BentSheet {
  const [c, s] = [Math.cos(bend[0]), Math.sin(bend[0])];
  const place = Math.abs(bend[4]) * FAR < 1 ? onCylinder(bend) : onCone(bend);
  return (px, py, into, o) => {
    const x = px - 0.5;
    const y = 0.5 - py;
    place(c * x + s * y, c * y - s * x, into, o);
    const [run, across] = [into[o], into[o + 1]];
    into[o] = c * run - s * across;
    into[o + 1] = s * run + c * across;
  };
}

/** From places along and across the direction of bending to such places and the rise. */
type Bending = (along: number, across: number, into: Float64Array, o: number) => void;

function onCylinder([, b0, b1, b2]: SheetBend): Bending {
  return (along, across, into, o) => {
    let run = 0;
    let rise = 0;
    for (let g = 0; g < NODES.length; g++) {
      const at = NODES[g] * along;
      const slant = at * (b0 + at * (b1 + at * b2));
      run += WEIGHTS[g] * Math.cos(slant);
      rise += WEIGHTS[g] * Math.sin(slant);
    }
    into[o] = run * along;
    into[o + 1] = across;
    into[o + 2] = rise * along;
  };
}

/** Steps along the sheet of this length, units, between which the bending is even; no sheet reaches farther. */
const STEP = 1 / 24;
const REACH = 24;

/**
 * The rulings as unit vectors from the point where they meet: a curve on the sphere that turns out of its plane as the slant grows (the frame of a curve on a
 * sphere after Darboux, 1887).
 */
function onCone([, b0, b1, b2, cone]: SheetBend): Bending {
  const sense = Math.sign(cone);
  const distance = 1 / Math.abs(cone);
  const step = STEP / distance;
  // How fast the curve leaves its plane, a radian around the point: the slant's growth a unit along the sheet.
  const bending = (at: number): number => distance * (b0 + at * (2 * b1 + 3 * b2 * at));
  // Ruling, tangent and normal, nine numbers, at each step to either side.
  const frames = [1, -1].map((side) => {
    const table = new Float64Array(9 * (REACH + 1));
    table.set([0, -1, 0, 1, 0, 0, 0, 0, 1]);
    for (let k = 0; k < REACH; k++)
      turned(table, 9 * k, side * step, bending(side * (k + 0.5) * STEP), table, 9 * k + 9);
    return table;
  });
  const frame = new Float64Array(9);
  return (along, across, into, o) => {
    const up = distance - sense * across;
    const angle = Math.atan2(along, up);
    const side = angle < 0 ? -1 : 1;
    const k = Math.min(REACH - 1, Math.floor(Math.abs(angle) / step));
    const rest = angle - side * k * step;
    turned(frames[side < 0 ? 1 : 0], 9 * k, rest, bending(distance * (side * k * step + rest / 2)), frame, 0);
    const far = Math.hypot(along, up);
    into[o] = far * frame[0];
    into[o + 1] = sense * (distance + far * frame[1]);
    into[o + 2] = far * frame[2];
  };
}

/** The frame moved on by so many radians around the point while it bends evenly: both turn it about one axis, normal and ruling together (Rodrigues 1840). */
function turned(from: Float64Array, at: number, angle: number, bending: number, into: Float64Array, o: number): void {
  const size = Math.hypot(1, bending);
  const [co, si] = [Math.cos(size * angle), Math.sin(size * angle)];
  // In the frame itself the axis is (bending, 0, 1) / size.
  const [a, n] = [bending / size, 1 / size];
  for (let i = 0; i < 3; i++) {
    const [ruling, tangent, normal] = [from[at + i], from[at + 3 + i], from[at + 6 + i]];
    const axis = a * ruling + n * normal;
    const beside = n * ruling - a * normal;
    into[o + i] = a * axis + n * (co * beside + si * tangent);
    into[o + 3 + i] = co * tangent - si * beside;
    into[o + 6 + i] = n * axis - a * (co * beside + si * tangent);
  }
}
