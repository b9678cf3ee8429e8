import { type Bend, unbend } from '../geometry/bend.ts';
import { patternToPaper } from '../geometry/frames.ts';
import type { Side } from '../geometry/sides.ts';
import { weightedMedian } from '../geometry/weighted-median.ts';
import type { InkField } from '../ink/ink.ts';
import type { PatternPoint, Sheet } from '../types.ts';

/** Density of the ink at a place of the straightened pattern. */
export type DensityAt = (x: number, y: number) => number;

/** Over so few px a bend moves everything alike: it is asked once for a cell. */
const CELL_PX = 8;
const KEY_STEP = 1 << 16;
const NO_SHIFT = [0, 0] as const;

/** Reads the ink between pixels; the bend is put back in. 0 off the raster. */
export function densityReader(
  ink: Pick<InkField, 'width' | 'height' | 'density'>,
  sheet: Pick<Sheet, 'originPx' | 'pxPerUnit'>,
  bend: Bend,
): DensityAt {
  const { width, height, density } = ink;
  const cell = CELL_PX / sheet.pxPerUnit;
  const shifts = new Map<number, readonly [number, number]>();
  const shiftAt = (px: number, py: number): readonly [number, number] => {
    const [i, j] = [Math.floor(px / cell), Math.floor(py / cell)];
    const key = i * KEY_STEP + j;
    let shift = shifts.get(key);
    if (!shift) {
      const [cx, cy] = [(i + 0.5) * cell, (j + 0.5) * cell];
      const [ux, uy] = unbend(bend, cx, cy);
      shift = [ux - cx, uy - cy];
      shifts.set(key, shift);
    }
    return shift;
  };
  const isFlat = bend.degree < 0;
  return (px, py) => {
    const shift = isFlat ? NO_SHIFT : shiftAt(px, py);
    const [x, y] = patternToPaper(sheet, [px + shift[0], py + shift[1]]);
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

/** A border is no thicker than this, stroke widths and px. */
const BORDER_WIDTHS = 2;
const BORDER_PX = 3;
/** ... and ends where the ink falls below this share of its own; it is looked at in steps of this, px. */
const BORDER_SHARE = 0.5;
const BORDER_STEP_PX = 10;

/** How far the border's ink reaches into the sheet, pattern units; 0 where none is drawn. */
export function borderDepth(
  { from, length, dx, dy, nx, ny }: Side,
  densityAt: DensityAt,
  width: number,
  px: number,
): number {
  const most = BORDER_WIDTHS * width + BORDER_PX * px;
  const depths: { value: number; weight: number }[] = [];
  for (let t = most; t < length - most; t += BORDER_STEP_PX * px) {
    const [x, y] = [from[0] + t * dx, from[1] + t * dy];
    let full = 0;
    for (let d = -2 * px; d <= 2 * px; d += px / 2) full = Math.max(full, densityAt(x + d * nx, y + d * ny));
    let depth = 0;
    while (depth < most && densityAt(x + depth * nx, y + depth * ny) > BORDER_SHARE * full) depth += px / 2;
    depths.push({ value: depth, weight: 1 });
  }
  return weightedMedian(depths);
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
export function lineOfInk(
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
