/** A flat sheet whose outline a hand drew: the paper is known, and the sides waver about where they belong on it. */
import type { PatternPoint, PicturePoint } from '../types.ts';
import { HAND_REACH } from './warp.ts';

type OnPicture = (p: PatternPoint) => PicturePoint;

/** How far apart two places are whose directions on the picture tell that of a side, pattern units. */
const ALONG = 0.01;

/**
 * The map of the paper, pulled to the drawn sides near them, across each side only: along it, the paper knows better.
 *
 * @param paper from the rectangle to the picture as the paper lies
 * @param drawn the same as the outline was drawn: its sides are carried to the drawn ones
 */
export function alongDrawnSides(
  paper: OnPicture,
  drawn: OnPicture,
  { width, height }: { readonly width: number; readonly height: number },
): OnPicture {
  const pull = (foot: PatternPoint, beside: PatternPoint, depth: number): PicturePoint => {
    const share = Math.max(0, 1 - depth / HAND_REACH);
    if (share === 0) return [0, 0];
    const [at, next, to] = [paper(foot), paper(beside), drawn(foot)];
    const [dx, dy] = [next[0] - at[0], next[1] - at[1]];
    const length = Math.hypot(dx, dy);
    const off = ((to[1] - at[1]) * dx - (to[0] - at[0]) * dy) / length;
    return [(-dy / length) * off * share, (dx / length) * off * share];
  };
  return ([x, y]) => {
    const [column, row] = [Math.min(width, Math.max(0, x)), Math.min(height, Math.max(0, y))];
    const side = x < width / 2 ? 0 : width;
    const end = y < height / 2 ? 0 : height;
    const across = pull([side, row], [side, row + ALONG], Math.max(0, Math.abs(column - side)));
    const up = pull([column, end], [column + ALONG, end], Math.max(0, Math.abs(row - end)));
    const at = paper([x, y]);
    return [at[0] + across[0] + up[0], at[1] + across[1] + up[1]];
  };
}
