/** A sheet in two planes that meet at a ridge, before a camera: what is seen of a place, and which place is seen. */
import { type Camera, look } from './camera.ts';

/** The two planes: the ridge from (ax, ay), its direction (tx, ty) and normal (-ty, tx), the turn of each plane; x rightwards, y down, from the sheet's middle. */
export interface Planes {
  readonly ax: number;
  readonly ay: number;
  readonly bx: number;
  readonly by: number;
  readonly tx: number;
  readonly ty: number;
  readonly cos: number;
  readonly sin: number;
}

const scratch = new Float64Array(3);
const lookedAt = new Float64Array(2);

/** Where the camera sees the place (x, y) of the flat sheet, px from the lens' axis and without what the lens does. */
export function seesPlace(
  camera: Camera,
  { ax, ay, tx, ty, cos, sin }: Planes,
  x: number,
  y: number,
): [number, number] {
  const s = -(x - ax) * ty + (y - ay) * tx;
  scratch[0] = x - ty * s * (cos - 1);
  scratch[1] = y + tx * s * (cos - 1);
  scratch[2] = Math.abs(s) * sin;
  look(camera, scratch, 0, lookedAt);
  return [lookedAt[0], lookedAt[1]];
}

/** The place of the flat sheet that is seen at (x, y), px from the lens' axis and without what the lens does. */
export function placeAt(
  { focal, m, x: px, y: py, depth }: Camera,
  { ax, ay, tx, ty, cos, sin }: Planes,
  x: number,
  y: number,
): [number, number] {
  let [bestX, bestY] = [0, 0];
  for (const side of [1, -1]) {
    // On this side of the ridge the sheet is a + t (tx, ty, 0) + s (-ty cos, tx cos, side sin).
    const column = (vx: number, vy: number, vz: number) => [
      m[0] * vx + m[1] * vy + m[2] * vz,
      m[3] * vx + m[4] * vy + m[5] * vz,
      m[6] * vx + m[7] * vy + m[8] * vz,
    ];
    const e = column(tx, ty, 0);
    const f = column(-ty * cos, tx * cos, side * sin);
    const o = column(ax, ay, 0);
    o[0] += px;
    o[1] += py;
    o[2] += depth;
    const row = (k: 0 | 1, at: number) => [
      focal * e[k] - at * e[2],
      focal * f[k] - at * f[2],
      at * o[2] - focal * o[k],
    ];
    const [a, b, c] = row(0, x);
    const [d, g, h] = row(1, y);
    const area = a * g - b * d;
    const t = (c * g - b * h) / area;
    const s = (a * h - c * d) / area;
    if (side === 1 || s < 0) [bestX, bestY] = [ax + t * tx - s * ty, ay + t * ty + s * tx];
    if (side === 1 && s >= 0) break;
  }
  return [bestX, bestY];
}

/** Undoes the lens by fixed-point steps; `lens` as in Camera, points px from the axis. */
export function withoutLens(lens: number, points: Float64Array): Float64Array {
  if (lens === 0) return points;
  const out = new Float64Array(points.length);
  for (let i = 0; i < points.length; i += 2) {
    let [x, y] = [points[i], points[i + 1]];
    for (let step = 0; step < 3; step++) {
      const bulge = 1 + lens * (x * x + y * y);
      x = points[i] / bulge;
      y = points[i + 1] / bulge;
    }
    out[i] = x;
    out[i + 1] = y;
  }
  return out;
}
