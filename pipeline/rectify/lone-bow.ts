/** Whether the sides of an outline bend because the sheet does, or because the hand that drew them wavered: straight creases tell. */
import { apply, homographyFrom } from '../geometry/homography.ts';
import type { PatternPoint, PicturePoint } from '../types.ts';
import type { Ring } from './ring.ts';
import type { View } from './shape.ts';
import { sheetMap } from './warp.ts';

/** Shorter strokes do not tell, a share of the longest side; nor does ink this near to a side, likewise. */
const LEAST_STROKE = 0.12;
const BESIDE_SIDE = 0.02;
/** Sides that bend less than this share of the longest hardly matter. */
const LEAST_BOW = 0.002;
/** The sides' bend is not the sheet's where taking it out leaves strokes so much more crooked, as a factor and px. */
const CROOKED = 1.5;
const CROOKED_PX = 0.4;
/** Strokes that must tell, a share of the longest side in all. */
const LEAST_TOLD = 0.8;

/**
 * The ring with straight sides where its strokes are straighter so: a sheet that bends bends its creases with its sides. `strokes` are
 * points along each stroke, picture px; `polygon` corresponds to the ring's corners; `view` is the picture's size, px.
 */
export function withoutLoneBow(
  ring: Ring,
  polygon: readonly PatternPoint[],
  strokes: readonly (readonly PicturePoint[])[],
  view: View,
): Ring {
  const { corners, bows } = ring;
  if (corners.length < 4) return ring;
  const longest = Math.max(...corners.map((p, i) => away(p, corners[(i + 1) % corners.length])));
  const { toPicture, homography, mostBow } = sheetMap(polygon, corners, bows, view);
  if (mostBow < LEAST_BOW * longest) return ring;
  const back = homographyFrom(corners, polygon);
  const isClear = (p: PicturePoint) =>
    corners.every((a, i) => {
      const b = corners[(i + 1) % corners.length];
      const across = (p[0] - a[0]) * (b[1] - a[1]) - (p[1] - a[1]) * (b[0] - a[0]);
      return Math.abs(across) / away(a, b) > BESIDE_SIDE * longest;
    });
  let [told, flat, bent] = [0, 0, 0];
  for (const stroke of strokes) {
    const inner = stroke.filter(isClear);
    if (inner.length < 3) continue;
    const length = away(inner[0], inner[inner.length - 1]);
    if (length < LEAST_STROKE * longest) continue;
    const unbent = inner.map((p): PicturePoint => {
      const at = apply(back, p);
      const [[x, y], [u, v]] = [toPicture(at), apply(homography, at)];
      return [p[0] - x + u, p[1] - y + v];
    });
    told += length;
    flat += length * crookedness(inner) ** 2;
    bent += length * crookedness(unbent) ** 2;
  }
  if (told < LEAST_TOLD * longest) return ring;
  const isLone = Math.sqrt(bent / told) > CROOKED * Math.sqrt(flat / told) + CROOKED_PX;
  return isLone ? { corners, bows: bows.map(() => [0]) } : ring;
}

function away(p: PicturePoint, q: PicturePoint): number {
  return Math.hypot(q[0] - p[0], q[1] - p[1]);
}

/** Root mean square distance of points from the straight line through them. */
function crookedness(points: readonly PicturePoint[]): number {
  const n = points.length;
  const [mx, my] = [0, 1].map((axis) => points.reduce((sum, p) => sum + p[axis], 0) / n);
  let [xx, xy, yy] = [0, 0, 0];
  for (const [x, y] of points) {
    xx += (x - mx) ** 2;
    xy += (x - mx) * (y - my);
    yy += (y - my) ** 2;
  }
  const least = (xx + yy) / 2 - Math.hypot((xx - yy) / 2, xy);
  return Math.sqrt(Math.max(0, least) / n);
}
