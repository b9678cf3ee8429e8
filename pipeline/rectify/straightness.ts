/** How straight lines of the picture are on the sheet. */
import { apply, type Homography, inverse } from '../geometry/homography.ts';
import type { PatternPoint, PicturePoint } from '../types.ts';

/** Steps of Newton's method, its difference quotients' step (pattern units), and where it has arrived. */
const STEPS = 8;
const DELTA = 1e-4;
const ARRIVED = 1e-6;
/** A line that strays farther than this is two, pattern units. */
const MOST_STRAY = 0.02;

/**
 * Mean distance of the lines' points from straight lines on the sheet, pattern units; 0 without lines.
 *
 * @param toPicture from the pattern frame to picture px
 * @param near a homography that does about the same
 * @param lines picture px, line by line
 */
export function crookedness(
  toPicture: (p: PatternPoint) => PicturePoint,
  near: Homography,
  lines: readonly (readonly PicturePoint[])[],
): number {
  let sum = 0;
  let count = 0;
  straysOn(toPicture, near, lines).forEach((stray, i) => {
    sum += Math.min(MOST_STRAY, stray) * lines[i].length;
    count += lines[i].length;
  });
  return count > 0 ? sum / count : 0;
}

/** How far each line's points are from a straight line on the sheet, pattern units, root mean square. */
export function straysOn(
  toPicture: (p: PatternPoint) => PicturePoint,
  near: Homography,
  lines: readonly (readonly PicturePoint[])[],
): number[] {
  const back = inverse(near);
  return lines.map((line) => strayOf(line.map((p) => sheetPoint(toPicture, apply(back, p), p))));
}

/** The sheet's point that is seen at `seen`, by Newton's method from a guess. */
function sheetPoint(
  toPicture: (p: PatternPoint) => PicturePoint,
  guess: PatternPoint,
  seen: PicturePoint,
): PatternPoint {
  let [x, y] = guess;
  for (let step = 0; step < STEPS; step++) {
    const at = toPicture([x, y]);
    const right = toPicture([x + DELTA, y]);
    const up = toPicture([x, y + DELTA]);
    const [a, b, c, d] = [right[0] - at[0], up[0] - at[0], right[1] - at[1], up[1] - at[1]];
    const [dx, dy] = [seen[0] - at[0], seen[1] - at[1]];
    const area = a * d - b * c;
    const [mx, my] = [(DELTA * (d * dx - b * dy)) / area, (DELTA * (a * dy - c * dx)) / area];
    if (!Number.isFinite(mx + my)) break;
    x += mx;
    y += my;
    if (Math.hypot(mx, my) < ARRIVED) break;
  }
  return [x, y];
}

/** Root mean square distance of the points from the line that fits them best (total least squares, Pearson 1901). */
function strayOf(points: readonly PatternPoint[]): number {
  const n = points.length;
  const mx = points.reduce((sum, p) => sum + p[0], 0) / n;
  const my = points.reduce((sum, p) => sum + p[1], 0) / n;
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (const [x, y] of points) {
    xx += (x - mx) ** 2;
    xy += (x - mx) * (y - my);
    yy += (y - my) ** 2;
  }
  const least = (xx + yy - Math.hypot(xx - yy, 2 * xy)) / 2;
  return Math.sqrt(Math.max(0, least) / n);
}
