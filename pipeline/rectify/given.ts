/** Corners that a person set. */
import { PlicaError } from '../errors.ts';
import type { Picture, PicturePoint } from '../types.ts';
import { inPatternOrder, type Ring } from './ring.ts';

/** The ring through corners in original picture px, given in any order around the sheet; throws 'bad-option' for what is no outline. */
export function givenOutline(picture: Picture, given: readonly PicturePoint[]): { ring: Ring; assumed: string[] } {
  if (given.length < 3 || !given.every((p) => Number.isFinite(p[0]) && Number.isFinite(p[1]))) {
    throw new PlicaError(
      'bad-option',
      'the corners are not an outline',
      'give the four corners of the sheet as x,y in picture pixels',
    );
  }
  const points = given.map((p): PicturePoint => [p[0] * picture.scale, p[1] * picture.scale]);
  const cx = points.reduce((s, p) => s + p[0], 0) / points.length;
  const cy = points.reduce((s, p) => s + p[1], 0) / points.length;
  // y points down: counterclockwise as seen is by falling screen angle around the middle.
  const angle = (p: PicturePoint): number => Math.atan2(p[1] - cy, p[0] - cx);
  const corners = [...points].sort((p, q) => angle(q) - angle(p));
  const convex = corners.every((p, i) => {
    const q = corners[(i + 1) % corners.length];
    const r = corners[(i + 2) % corners.length];
    const turn = (q[0] - p[0]) * (r[1] - q[1]) - (q[1] - p[1]) * (r[0] - q[0]);
    return turn < -LEAST_TURN * Math.hypot(q[0] - p[0], q[1] - p[1]) * Math.hypot(r[0] - q[0], r[1] - q[1]);
  });
  if (!convex) {
    throw new PlicaError(
      'bad-option',
      'the corners do not enclose a sheet',
      'give corners that lie apart and bulge outward, none on the line between two others',
    );
  }
  return { ring: inPatternOrder({ corners, bows: corners.map(() => [0]) }), assumed: [] };
}

/** Least sine of the turn at a corner. */
const LEAST_TURN = 0.05;
