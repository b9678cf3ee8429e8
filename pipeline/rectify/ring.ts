/** The outline on the picture in pattern order. */
import type { PicturePoint } from '../types.ts';
import { type Bow, mirrored } from './curve.ts';
import type { InkMap } from './inkmap.ts';
import type { WorkPoint } from './polygon.ts';
import type { Side } from './sides.ts';

/** Corners in working picture px, counterclockwise on the sheet as seen; bows[i] belongs to the side from corner i to the next. */
export interface Ring {
  readonly corners: readonly PicturePoint[];
  readonly bows: readonly Bow[];
  /** Points of each side as they were seen, without a curve laid through them; missing where none were traced. */
  readonly points?: readonly (readonly PicturePoint[])[];
}

/** From traced sides on the working copy (clockwise on the screen, each from its corner to the next), and their points if they were traced. */
export function ringOf(sides: readonly Side[], map: InkMap, traced: readonly (readonly WorkPoint[])[] = []): Ring {
  const k = 1 / map.scale;
  const onPicture = ([x, y]: WorkPoint): PicturePoint => [(x - map.rim + 0.5) * k, (y - map.rim + 0.5) * k];
  const corners: PicturePoint[] = [];
  const bows: Bow[] = [];
  for (let i = sides.length - 1; i >= 0; i--) {
    const { to, bow } = sides[i];
    corners.push(onPicture(to));
    bows.push(mirrored(bow).map((c) => c * k));
  }
  return { corners, bows, points: [...traced].reverse().map((side) => side.map(onPicture)) };
}

/** Starts at the corner from which the side towards the next runs nearest to rightwards: that side is the bottom. */
export function inPatternOrder(ring: Ring): Ring {
  const { corners, bows, points = [] } = ring;
  const n = corners.length;
  let first = 0;
  let best = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < n; i++) {
    const p = corners[i];
    const q = corners[(i + 1) % n];
    const rightward = (q[0] - p[0]) / Math.hypot(q[0] - p[0], q[1] - p[1]);
    if (rightward > best + 1e-9) {
      best = rightward;
      first = i;
    }
  }
  return {
    corners: corners.map((_, i) => corners[(first + i) % n]),
    bows: bows.map((_, i) => bows[(first + i) % n]),
    points: points.map((_, i) => points[(first + i) % n]),
  };
}
