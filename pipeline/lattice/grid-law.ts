import { GRID_DIRECTIONS } from './grid-directions.ts';
import type { StraightPoints } from './straight-points.ts';

/** Arms are looked at between these distances from a crossing, in grid steps. */
const ARM_FROM = 0.12;
const ARM_TO = 0.42;
/** An arm is drawn if this share of that stretch shows centre line. */
const ARM_DRAWN = 0.5;
/** Turn up to which a point runs along an arm, sine. */
const ARM_TURN = 0.25;

/**
 * Share of the grid's inner crossings where the pale and the dark arms differ by two: Maekawa's law, if pale and dark are
 * mountain and valley. Graph paper under creases keeps to it where slanted creases run through its crossings, and breaks it
 * wherever it is bare: four pale arms.
 *
 * @param dark for each point whether it has the ink of the darker lines
 * @param px size of a paper px, pattern units
 * @returns 0..1; 0 where there are no crossings
 */
export function shareOfMaekawa(
  points: StraightPoints,
  dark: (point: number) => boolean,
  divisions: number,
  px: number,
): number {
  const across = divisions + 1;
  // Eight arms a crossing, a count of pale and dark points each.
  const arms = new Int32Array(across * across * 8 * 2);
  for (let p = 0; p < points.x.length; p++) {
    const [gx, gy] = [points.x[p] * divisions, points.y[p] * divisions];
    const [ix, iy] = [Math.round(gx), Math.round(gy)];
    if (ix < 1 || iy < 1 || ix >= divisions || iy >= divisions) continue;
    const away = Math.hypot(gx - ix, gy - iy);
    if (away < ARM_FROM || away > ARM_TO) continue;
    const angle = Math.atan2(gy - iy, gx - ix);
    const arm = (Math.round(angle / (Math.PI / 4)) + 8) % 8;
    const way = GRID_DIRECTIONS[arm % 4].angle;
    if (Math.abs(Math.sin(angle - way)) * away > NEAR_ARM) continue;
    if (Math.abs(Math.sin(points.angle[p] - way)) > ARM_TURN) continue;
    arms[((iy * across + ix) * 8 + arm) * 2 + (dark(p) ? 1 : 0)]++;
  }
  const drawn = (ARM_DRAWN * (ARM_TO - ARM_FROM)) / divisions / px;
  let all = 0;
  let lawful = 0;
  for (let crossing = 0; crossing < across * across; crossing++) {
    const count = [0, 0];
    for (let arm = 0; arm < 8; arm++) {
      const at = (crossing * 8 + arm) * 2;
      if (arms[at] + arms[at + 1] >= drawn) count[arms[at + 1] > arms[at] ? 1 : 0]++;
    }
    if (count[0] + count[1] < 4) continue;
    all++;
    if (Math.abs(count[0] - count[1]) === 2) lawful++;
  }
  return all > 0 ? lawful / all : 0;
}

/** How far beside its arm a point may lie, in grid steps. */
const NEAR_ARM = 0.06;
