/**
 * Where a point of the page lands on the picture: page -> bent surface -> pinhole camera -> radial distortion -> picture px.
 * The sheet bends as paper does, round a cylinder, so lengths along it are kept.
 */

/** Bend of the page: curvature along one direction, by sums of sines. */
export interface Bend {
  /** Direction along which the page bends, radians on the page. */
  readonly alongRad: number;
  /** Curvature terms: amplitude (radians per page unit), cycles over the page, phase. */
  readonly terms: readonly (readonly [amplitude: number, cycles: number, phase: number])[];
}

export interface Camera {
  /** Rotation of the page seen from the camera, row-major 3 by 3. */
  readonly turn: readonly number[];
  /** Distance of the camera to the middle of the page, page units (longest side 2). */
  readonly distance: number;
  /** Radial terms on normalised radius (1 at the picture's corner). */
  readonly k1: number;
  readonly k2: number;
  /** Picture px per unit of the undistorted plane, and the middle of the picture. */
  readonly zoom: number;
  readonly shiftX: number;
  readonly shiftY: number;
  readonly middleX: number;
  readonly middleY: number;
  /** Half diagonal, px. */
  readonly radius: number;
}

export interface Point3 {
  readonly x: number;
  readonly y: number;
  readonly z: number;
}

const BEND_STEPS = 512;
/** Arc positions with bend: the half diagonal of the page; beyond it the surface goes on straight, so that it can be inverted anywhere. */
const BEND_REACH = Math.SQRT2;

/** A bent page as a function: page units (origin in the middle, y down) to space (z away from the desk, towards the camera). */
export function surfaceOf(bend: Bend | null): (u: number, v: number) => Point3 {
  if (!bend) return (u, v) => ({ x: u, y: v, z: 0 });
  const flat = new Float64Array(2 * BEND_STEPS + 1);
  const rise = new Float64Array(2 * BEND_STEPS + 1);
  const ds = BEND_REACH / BEND_STEPS;
  const curvature = (s: number): number => {
    let sum = 0;
    for (const [amplitude, cycles, phase] of bend.terms) sum += amplitude * Math.sin(Math.PI * cycles * s + phase);
    return sum;
  };
  for (const way of [1, -1]) {
    let [slope, x, z] = [0, 0, 0];
    for (let i = 1; i <= BEND_STEPS; i++) {
      slope += way * ds * curvature(way * (i - 0.5) * ds);
      x += way * ds * Math.cos(slope);
      z += way * ds * Math.sin(slope);
      flat[BEND_STEPS + way * i] = x;
      rise[BEND_STEPS + way * i] = z;
    }
  }
  // Level the page: remove its mean slope, so that it still rests on the desk, and set its lowest point at 0.
  const inner = Math.round(1 / ds);
  const tilt = Math.atan2(
    rise[BEND_STEPS + inner] - rise[BEND_STEPS - inner],
    flat[BEND_STEPS + inner] - flat[BEND_STEPS - inner],
  );
  const [cosTilt, sinTilt] = [Math.cos(tilt), Math.sin(tilt)];
  let lowest = Number.POSITIVE_INFINITY;
  for (let i = 0; i < flat.length; i++) {
    const [x, z] = [flat[i], rise[i]];
    flat[i] = x * cosTilt + z * sinTilt;
    rise[i] = z * cosTilt - x * sinTilt;
    if (Math.abs(i - BEND_STEPS) <= inner) lowest = Math.min(lowest, rise[i]);
  }
  const [ax, ay] = [Math.cos(bend.alongRad), Math.sin(bend.alongRad)];
  return (u, v) => {
    const s = u * ax + v * ay;
    const across = v * ax - u * ay;
    const at = (s + BEND_REACH) / ds;
    const i = Math.min(2 * BEND_STEPS - 1, Math.max(0, Math.floor(at)));
    const f = at - i;
    const along = flat[i] + (flat[i + 1] - flat[i]) * f;
    const z = rise[i] + (rise[i + 1] - rise[i]) * f - lowest;
    return { x: along * ax - across * ay, y: along * ay + across * ax, z };
  };
}

/** Rotation that tips the page by `tiltRad` about the axis at `axisRad` on the page, after rolling it by `rollRad`. */
export function turnOf(tiltRad: number, axisRad: number, rollRad: number): number[] {
  const [ct, st] = [Math.cos(tiltRad), Math.sin(tiltRad)];
  const [kx, ky] = [Math.cos(axisRad), Math.sin(axisRad)];
  const [cr, sr] = [Math.cos(rollRad), Math.sin(rollRad)];
  // Rodrigues' formula for an axis in the page's plane, then the roll.
  const tip = [
    ct + kx * kx * (1 - ct),
    kx * ky * (1 - ct),
    ky * st,
    kx * ky * (1 - ct),
    ct + ky * ky * (1 - ct),
    -kx * st,
    -ky * st,
    kx * st,
    ct,
  ];
  const roll = [cr, -sr, 0, sr, cr, 0, 0, 0, 1];
  const out = new Array<number>(9).fill(0);
  for (let i = 0; i < 3; i++)
    for (let j = 0; j < 3; j++) for (let k = 0; k < 3; k++) out[3 * i + j] += tip[3 * i + k] * roll[3 * k + j];
  return out;
}

/** Space to the undistorted plane of the camera. */
export function toPlane(camera: Pick<Camera, 'turn' | 'distance'>, point: Point3): [number, number] {
  const { turn, distance } = camera;
  const x = turn[0] * point.x + turn[1] * point.y + turn[2] * point.z;
  const y = turn[3] * point.x + turn[4] * point.y + turn[5] * point.z;
  const z = turn[6] * point.x + turn[7] * point.y + turn[8] * point.z;
  const depth = distance - z;
  return [x / depth, y / depth];
}

/** Undistorted plane to picture px. */
export function toPicture(camera: Camera, plane: readonly [number, number]): [number, number] {
  const x = (plane[0] * camera.zoom + camera.shiftX) / camera.radius;
  const y = (plane[1] * camera.zoom + camera.shiftY) / camera.radius;
  const r2 = x * x + y * y;
  const stretch = 1 + camera.k1 * r2 + camera.k2 * r2 * r2;
  return [camera.middleX + x * stretch * camera.radius, camera.middleY + y * stretch * camera.radius];
}

/** Fit zoom and shift so that the given plane points fill `share` of the picture, off centre by `offX`, `offY` (shares of the spare room, -1..1). */
export function framed(
  turn: readonly number[],
  distance: number,
  lens: { readonly k1: number; readonly k2: number },
  picture: { readonly width: number; readonly height: number },
  mustShow: readonly Point3[],
  share: number,
  offX: number,
  offY: number,
): Camera {
  const plane = mustShow.map((point) => toPlane({ turn, distance }, point));
  const xs = plane.map((p) => p[0]);
  const ys = plane.map((p) => p[1]);
  const [left, right, top, bottom] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
  let zoom = share * Math.min(picture.width / (right - left), picture.height / (bottom - top));
  const base = {
    turn,
    distance,
    ...lens,
    middleX: picture.width / 2,
    middleY: picture.height / 2,
    radius: Math.hypot(picture.width, picture.height) / 2,
  };
  // The lens moves points outwards or inwards: shrink until everything is inside.
  for (let attempt = 0; ; attempt++) {
    const spareX = (picture.width - zoom * (right - left)) / 2;
    const spareY = (picture.height - zoom * (bottom - top)) / 2;
    const camera: Camera = {
      ...base,
      zoom,
      shiftX: (-zoom * (left + right)) / 2 + offX * spareX,
      shiftY: (-zoom * (top + bottom)) / 2 + offY * spareY,
    };
    const inside = plane.every((p) => {
      const [x, y] = toPicture(camera, p);
      return x >= 1 && y >= 1 && x <= picture.width - 1 && y <= picture.height - 1;
    });
    if (inside || attempt > 60) return camera;
    zoom *= 0.985;
  }
}

/** For every node of a coarse grid over the picture: the page point seen there. Node spacing in px. */
export interface InverseMap {
  readonly step: number;
  readonly columns: number;
  readonly rows: number;
  /** u, v interleaved, page units. */
  readonly nodes: Float32Array;
}

const NODE_STEP = 8;

/** Invert page -> picture by Newton's method at each node, starting from its neighbour's answer. */
export function invert(
  forward: (u: number, v: number) => readonly [number, number],
  width: number,
  height: number,
): InverseMap {
  const columns = Math.ceil(width / NODE_STEP) + 1;
  const rows = Math.ceil(height / NODE_STEP) + 1;
  const nodes = new Float32Array(columns * rows * 2);
  const h = 1e-4;
  let [startU, startV] = [0, 0];
  for (let r = 0; r < rows; r++) {
    let [u, v] = [startU, startV];
    for (let c = 0; c < columns; c++) {
      const [goalX, goalY] = [c * NODE_STEP, r * NODE_STEP];
      const rounds = r === 0 && c === 0 ? 60 : 6;
      for (let i = 0; i < rounds; i++) {
        const [x, y] = forward(u, v);
        const [ex, ey] = [goalX - x, goalY - y];
        if (ex * ex + ey * ey < 1e-6) break;
        const [xu, yu] = forward(u + h, v);
        const [xv, yv] = forward(u, v + h);
        const [a, b, d, e] = [(xu - x) / h, (xv - x) / h, (yu - y) / h, (yv - y) / h];
        const det = a * e - b * d;
        if (Math.abs(det) < 1e-9) break;
        // Far starts may overshoot on a bent page: no step longer than a quarter of the page.
        const [du, dv] = [(e * ex - b * ey) / det, (a * ey - d * ex) / det];
        const length = Math.hypot(du, dv);
        const cut = length > 0.5 ? 0.5 / length : 1;
        u += du * cut;
        v += dv * cut;
      }
      if (c === 0) [startU, startV] = [u, v];
      nodes[2 * (r * columns + c)] = u;
      nodes[2 * (r * columns + c) + 1] = v;
    }
  }
  return { step: NODE_STEP, columns, rows, nodes };
}
