import type { StraightPoints } from './straight-points.ts';

/** Where more than this share of the crossings keeps to Maekawa's law, pale and dark are two kinds of crease. */
export const LAWFUL = 0.5;
/** Arms are looked at between these distances from a crossing, in grid steps. */
const ARM_FROM = 0.12;
const ARM_TO = 0.42;
/** An arm is drawn if this share of that stretch shows centre line. */
const ARM_DRAWN = 0.5;
/** Turn up to which a point runs along an arm, sine. */
const ARM_TURN = 0.25;

/** Where the lines of a grid cross, and which ways creases run from there. */
export interface Crossings {
  /** The inner crossing nearest to a place of the pattern frame, with a number of its own; null beside the sheet and at its border. */
  readonly nearest: (x: number, y: number) => { readonly key: number; readonly x: number; readonly y: number } | null;
  /** From one crossing to the next, pattern units. */
  readonly side: number;
  /** Direction of one arm, radians, and how many there are, evenly spread. */
  readonly angle: number;
  readonly arms: 8 | 12;
}

/** The crossings of a square grid of so many divisions on a unit square. */
export function squareCrossings(divisions: number): Crossings {
  const nearest: Crossings['nearest'] = (x, y) => {
    const [ix, iy] = [Math.round(x * divisions), Math.round(y * divisions)];
    if (ix < 1 || iy < 1 || ix >= divisions || iy >= divisions) return null;
    return { key: iy * (divisions + 1) + ix, x: ix / divisions, y: iy / divisions };
  };
  return { nearest, side: 1 / divisions, angle: 0, arms: 8 };
}

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
  { nearest, side, angle: first, arms }: Crossings,
  px: number,
): number {
  const turn = (2 * Math.PI) / arms;
  // Of each crossing a count of pale and of dark points for every arm.
  const counts = new Map<number, Int32Array>();
  for (let p = 0; p < points.x.length; p++) {
    const crossing = nearest(points.x[p], points.y[p]);
    if (!crossing) continue;
    const [dx, dy] = [(points.x[p] - crossing.x) / side, (points.y[p] - crossing.y) / side];
    const away = Math.hypot(dx, dy);
    if (away < ARM_FROM || away > ARM_TO) continue;
    const angle = Math.atan2(dy, dx);
    const arm = (Math.round((angle - first) / turn) + 2 * arms) % arms;
    const way = first + arm * turn;
    if (Math.abs(Math.sin(angle - way)) * away > NEAR_ARM) continue;
    if (Math.abs(Math.sin(points.angle[p] - way)) > ARM_TURN) continue;
    const own = counts.get(crossing.key) ?? new Int32Array(2 * arms);
    own[2 * arm + (dark(p) ? 1 : 0)]++;
    counts.set(crossing.key, own);
  }
  const drawn = (ARM_DRAWN * (ARM_TO - ARM_FROM) * side) / px;
  let all = 0;
  let lawful = 0;
  for (const own of counts.values()) {
    const count = [0, 0];
    for (let arm = 0; arm < arms; arm++) {
      const [pale, darker] = [own[2 * arm], own[2 * arm + 1]];
      if (pale + darker >= drawn) count[darker > pale ? 1 : 0]++;
    }
    if (count[0] + count[1] < 4) continue;
    all++;
    if (Math.abs(count[0] - count[1]) === 2) lawful++;
  }
  return all > 0 ? lawful / all : 0;
}

/** How far beside its arm a point may lie, in grid steps. */
const NEAR_ARM = 0.06;
