/** A pinhole camera with one term of lens distortion (Brown 1971) before a sheet: what it sees, and the pose that a flat sheet's corners tell. */
import { homographyFrom } from '../geometry/homography.ts';
import { cross, dot } from '../geometry/vector.ts';
import type { PatternPoint, PicturePoint } from '../types.ts';

/** Focal length over the picture's diagonal, natural log: phones and cameras, cropped or not. */
export const FOCAL = { middle: Math.log(0.9), spread: 0.4 };
/** Lens distortion at the picture's corners: usual size. */
export const LENS_SPREAD = 0.06;

/** Places on the sheet are x rightwards and y DOWN from its middle, and rise away from the camera where it is seen straight on; units of its longest side. */
export interface Camera {
  readonly focal: number;
  /** Rotation, row-major, and place: x, y, depth. */
  readonly m: Float64Array;
  readonly x: number;
  readonly y: number;
  readonly depth: number;
  readonly lens: number;
  readonly axisX: number;
  readonly axisY: number;
}

/** Where the camera sees the place whose three numbers begin at `o`, picture px. */
export function look(
  { focal, m, x, y, depth, lens, axisX, axisY }: Camera,
  bent: Float64Array,
  o: number,
  into: Float64Array,
) {
  const sx = bent[o];
  const sy = bent[o + 1];
  const rise = bent[o + 2];
  const z = m[6] * sx + m[7] * sy + m[8] * rise + depth;
  const X = (focal * (m[0] * sx + m[1] * sy + m[2] * rise + x)) / z;
  const Y = (focal * (m[3] * sx + m[4] * sy + m[5] * rise + y)) / z;
  const bulge = 1 + lens * (X * X + Y * Y);
  into[0] = axisX + bulge * X;
  into[1] = axisY + bulge * Y;
}

/** How a flat sheet lies before the camera: rotation, row-major, and place. */
export interface Pose {
  readonly turn: readonly number[];
  readonly x: number;
  readonly y: number;
  readonly depth: number;
}

/** The flat sheet's pose through its corners, for a focal length in px. */
export function poseFrom(
  polygon: readonly PatternPoint[],
  corners: readonly PicturePoint[],
  centre: PicturePoint,
  focal: number,
): Pose | null {
  const h = homographyFrom(
    polygon.map(([x, y]) => [x - 0.5, 0.5 - y] as const),
    corners.map(([x, y]) => [(x - centre[0]) / focal, (y - centre[1]) / focal] as const),
  );
  const column = (c: number) => [h[c], h[3 + c], h[6 + c]];
  const [a, b, t] = [column(0), column(1), column(2)];
  const scale = Math.sign(t[2]) / Math.sqrt(norm(a) * norm(b));
  if (!Number.isFinite(scale) || scale === 0) return null;
  const r1 = a.map((v) => v / (norm(a) * Math.sign(t[2])));
  const across = b.map((v) => v * scale);
  const along = dot(across, r1);
  const left = across.map((v, i) => v - along * r1[i]);
  const r2 = left.map((v) => v / norm(left));
  const r3 = cross(r1, r2);
  const turn = [r1[0], r2[0], r3[0], r1[1], r2[1], r3[1], r1[2], r2[2], r3[2]];
  return turn.every(Number.isFinite) ? { turn, x: t[0] * scale, y: t[1] * scale, depth: t[2] * scale } : null;
}

/** Rotation by the vector (x, y, z), radians (Rodrigues 1840), row-major. */
export function rotation(x: number, y: number, z: number): number[] {
  const angle = Math.hypot(x, y, z);
  if (angle < 1e-12) return [1, 0, 0, 0, 1, 0, 0, 0, 1];
  const [a, b, c] = [x / angle, y / angle, z / angle];
  const [co, si] = [Math.cos(angle), Math.sin(angle)];
  const k = 1 - co;
  return [
    co + a * a * k,
    a * b * k - c * si,
    a * c * k + b * si,
    b * a * k + c * si,
    co + b * b * k,
    b * c * k - a * si,
    c * a * k - b * si,
    c * b * k + a * si,
    co + c * c * k,
  ];
}

export function multiply(a: readonly number[], b: readonly number[]): Float64Array {
  const out = new Float64Array(9);
  for (let r = 0; r < 3; r++)
    for (let c = 0; c < 3; c++) for (let k = 0; k < 3; k++) out[3 * r + c] += a[3 * r + k] * b[3 * k + c];
  return out;
}

function norm(a: readonly number[]): number {
  return Math.hypot(...a);
}
