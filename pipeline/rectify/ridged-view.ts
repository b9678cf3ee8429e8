/** The map between a sheet in two planes and its picture, as it was fitted, and how well it is known. */
import type { PatternPoint, PicturePoint } from '../types.ts';
import { COUNT, cameraOf, FAR_PX, type Fitted, lensOf, planesOf, type Setting, sideMisses } from './sheet-view.ts';
import { placeAt, seesPlace, withoutLens } from './two-planes.ts';

export interface RidgedView {
  /** Pattern frame to picture px, and back. */
  readonly toPicture: (p: PatternPoint) => PicturePoint;
  readonly toSheet: (p: PicturePoint) => PatternPoint;
  /** How far the fitted sides lie from the traced ones, px, root mean square. */
  readonly missPx: number;
  /** Ends of the ridge on the outline, pattern frame, and how far the planes are turned to each other, radians. */
  readonly ends: readonly [PatternPoint, PatternPoint];
  readonly turnRad: number;
  /** How far inner places may be off by the spread of what was traced, px. */
  readonly spreadPx: number;
}

/** What was fitted, ready for use. */
export function viewOf(fitted: Fitted): RidgedView {
  const { unknowns: u, setting } = fitted;
  const planes = planesOf(u, setting);
  const misses = sideMisses(u, setting);
  const project = projection(u, setting);
  const [camera, lens, { centre }] = [cameraOf(u, setting), lensOf(u, setting), setting];
  return {
    toPicture: project,
    toSheet: ([px, py]) => {
      const [sx, sy] = withoutLens(lens, Float64Array.of(px - centre[0], py - centre[1]));
      const [x, y] = placeAt(camera, planes, sx, sy);
      return [x + 0.5, 0.5 - y];
    },
    missPx: Math.sqrt(misses.reduce((sum, r) => sum + Math.min(r * r, FAR_PX ** 2), 0) / misses.length),
    ends: [
      [planes.ax + 0.5, 0.5 - planes.ay],
      [planes.bx + 0.5, 0.5 - planes.by],
    ],
    turnRad: 2 * Math.atan2(planes.sin, planes.cos),
    spreadPx: spreadOf(fitted),
  };
}

function projection(u: ArrayLike<number>, setting: Setting): RidgedView['toPicture'] {
  const [camera, planes, lens, { centre }] = [cameraOf(u, setting), planesOf(u, setting), lensOf(u, setting), setting];
  return ([px, py]) => {
    const [x, y] = seesPlace(camera, planes, px - 0.5, 0.5 - py);
    const bulge = 1 + lens * (x * x + y * y);
    return [centre[0] + bulge * x, centre[1] + bulge * y];
  };
}

/** Inner places at which the spread is asked for, shares between the outline's middle and its corners and sides. */
const ASKED = [0, 0.5];

/** Largest spread of an inner place, by the linear propagation of the unknowns' covariance, px. */
function spreadOf({ unknowns, covariance, setting }: Fitted): number {
  const { polygon } = setting.sheet;
  const middle = [0, 1].map((k) => polygon.reduce((sum, p) => sum + p[k], 0) / polygon.length);
  const asked = polygon.flatMap((p, i) => {
    const q = polygon[(i + 1) % polygon.length];
    return ASKED.flatMap((t) =>
      [p, [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2]].map(
        ([x, y]): PatternPoint => [middle[0] + t * (x - middle[0]), middle[1] + t * (y - middle[1])],
      ),
    );
  });
  const at = projection(unknowns, setting);
  const rates = asked.map(() => new Float64Array(2 * COUNT));
  for (let k = 0; k < COUNT; k++) {
    const step = 1e-5;
    const moved = Float64Array.from(unknowns);
    moved[k] += step;
    const then = projection(moved, setting);
    asked.forEach((p, i) => {
      const [a, b] = [at(p), then(p)];
      rates[i][k] = (b[0] - a[0]) / step;
      rates[i][COUNT + k] = (b[1] - a[1]) / step;
    });
  }
  let most = 0;
  for (const rate of rates) {
    let sum = 0;
    for (const from of [0, COUNT])
      for (let r = 0; r < COUNT; r++)
        for (let c = 0; c < COUNT; c++) sum += rate[from + r] * covariance[r * COUNT + c] * rate[from + c];
    most = Math.max(most, sum);
  }
  return Math.sqrt(most);
}
