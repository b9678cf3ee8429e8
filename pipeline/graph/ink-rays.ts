import { type Bend, unbend } from '../geometry/bend.ts';
import { patternToPaper } from '../geometry/frames.ts';
import type { InkField } from '../ink/ink.ts';
import type { PatternPoint, Sheet } from '../types.ts';

/** Density of the ink at a place of the straightened pattern. */
export type DensityAt = (x: number, y: number) => number;

/** Reads the ink between pixels; the bend is put back in. 0 off the raster. */
export function densityReader(
  ink: Pick<InkField, 'width' | 'height' | 'density'>,
  sheet: Pick<Sheet, 'originPx' | 'pxPerUnit'>,
  bend: Bend,
): DensityAt {
  const { width, height, density } = ink;
  return (px, py) => {
    const [x, y] = patternToPaper(sheet, unbend(bend, px, py));
    const [fx, fy] = [x - 0.5, y - 0.5];
    const [ix, iy] = [Math.floor(fx), Math.floor(fy)];
    if (ix < 0 || iy < 0 || ix >= width - 1 || iy >= height - 1) return 0;
    const [tx, ty] = [fx - ix, fy - iy];
    const p = iy * width + ix;
    const above = (1 - tx) * density[p] + tx * density[p + 1];
    const below = (1 - tx) * density[p + width] + tx * density[p + width + 1];
    return (1 - ty) * above + ty * below;
  };
}

/** A way out of a vertex that is ink all along. */
export interface InkedRay {
  /** Direction, radians. */
  readonly angle: number;
  /** Where it ends, distance from the vertex. */
  readonly length: number;
  /** The stretch that no other ink hides, distances from the vertex. */
  readonly from: number;
  readonly to: number;
}

/** How far a ray may be followed: the stretch to look at, and where it ends; null where there is nothing to see. */
export type StretchOf = (angle: number) => Pick<InkedRay, 'length' | 'from' | 'to'> | null;

/** All in pattern units but `level`, the density that is ink. */
export interface RayOptions {
  readonly level: number;
  readonly px: number;
  readonly width: number;
}

/** Rays are tried in steps of a degree. */
const RAYS = 360;
/** A stroke seen from its end fills so many times the angle that its width makes at the far end; more is a blot. */
const FILLS = 1.7;

/** The strokes that leave a place: middles of the runs of neighbouring rays that are ink all along. */
export function inkedRays(
  [x, y]: PatternPoint,
  stretchOf: StretchOf,
  densityAt: DensityAt,
  options: RayOptions,
): InkedRay[] {
  const { level, px, width } = options;
  const angleOf = (k: number) => (2 * Math.PI * k) / RAYS;
  const amounts = Float64Array.from({ length: RAYS }, (_, k) => {
    const stretch = stretchOf(angleOf(k));
    if (!stretch) return 0;
    const [dx, dy] = [Math.cos(angleOf(k)), Math.sin(angleOf(k))];
    let sum = 0;
    let n = 0;
    for (let r = stretch.from; r <= stretch.to; r += px / 2) {
      const here = densityAt(x + r * dx, y + r * dy);
      if (here < level) return 0;
      sum += here;
      n++;
    }
    return n > 0 ? sum / n : 0;
  });
  const start = amounts.indexOf(0);
  if (start < 0) return [];
  const out: InkedRay[] = [];
  for (let k = start; k < start + RAYS; ) {
    let end = k;
    let [sum, weight] = [0, 0];
    for (; amounts[end % RAYS] > 0; end++) {
      sum += amounts[end % RAYS] * end;
      weight += amounts[end % RAYS];
    }
    if (weight > 0) {
      const angle = angleOf(sum / weight);
      const stretch = stretchOf(angle);
      const most = stretch && FILLS * 2 * Math.asin(Math.min(1, (width / 2 + px) / stretch.to));
      if (stretch && most && angleOf(end - k) <= most) out.push({ angle, ...stretch });
    }
    k = end + 1;
  }
  return out;
}

/** A vertex is known to so much less than the middle of a stroke is where it is seen: weight of the vertex against one px of stroke. */
const VERTEX_WEIGHT = 0.1;

/**
 * The line that the ink along a ray lies on, by least squares through the middles of the stroke from `from` to `to` and, with
 * less weight, the place itself: a ray from a place that is a little off points past the stroke's far end.
 */
export function lineAlong(
  [x, y]: PatternPoint,
  { angle, from, to }: Pick<InkedRay, 'angle' | 'from' | 'to'>,
  densityAt: DensityAt,
  { px, width }: RayOptions,
): { place: PatternPoint; angle: number } {
  const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
  const reach = width / 2 + px;
  let [n, r1, r2, o1, ro] = [VERTEX_WEIGHT, 0, 0, 0, 0];
  for (let r = from; r <= to; r += px) {
    let [sum, moment] = [0, 0];
    for (let o = -reach; o <= reach; o += px / 2) {
      const here = Math.max(0, densityAt(x + r * dx - o * dy, y + r * dy + o * dx));
      sum += here;
      moment += here * o;
    }
    if (sum === 0) continue;
    const off = moment / sum;
    n++;
    r1 += r;
    r2 += r * r;
    o1 += off;
    ro += r * off;
  }
  const slope = (n * ro - r1 * o1) / (n * r2 - r1 * r1);
  const start = (o1 - slope * r1) / n;
  return { place: [x - start * dy, y + start * dx], angle: angle + Math.atan(slope) };
}
