/** Whether strokes are all of one colour, as a printed grid is. */
import { dot } from '../geometry/vector.ts';
import type { InkField } from '../ink/ink.ts';
import type { Ridges } from '../strokes/ridges.ts';
import type { StraightPoints } from './straight-points.ts';

/** Two colours of ink lie this far apart at least, radians between paper minus ink (red and blue: 1, shades of one ink under JPEG's coarse colour: 0.2), ... */
const TWO_COLOURS_RAD = 0.45;
/** ... each has this share of the strokes, and strays this much less from its own mean than the two lie apart. */
const LEAST_SHARE = 0.15;
const MOST_STRAY = 0.4;
/** Rounds until two means stand (Lloyd 1982; from memory). */
const ROUNDS = 6;

type Colour = readonly [number, number, number];

/** Ink of the strokes within one square of the grid, as a direction of length 1, and its share of the points. */
interface Patch {
  readonly colour: Colour;
  readonly weight: number;
}

/**
 * @param points centre-line points in the pattern frame, of which those that `isOf` says are looked at
 * @param step length over which their ink is pooled, pattern units
 */
export function areOneInk(
  ridges: Ridges,
  points: StraightPoints,
  isOf: (p: number) => boolean,
  ink: InkField,
  step: number,
): boolean {
  const patches = patchesOf(ridges, points, isOf, ink, step);
  if (patches.length < 2) return true;
  const middle = meanOf(patches);
  const first = farthestFrom(middle, patches);
  let means: readonly [Colour, Colour] = [first, farthestFrom(first, patches)];
  for (let round = 0; round < ROUNDS; round++) {
    const [a, b] = partBetween(means, patches);
    if (a.length === 0 || b.length === 0) return true;
    means = [meanOf(a), meanOf(b)];
  }
  const parts = partBetween(means, patches);
  const apart = angleBetween(...means);
  const [few, all] = [Math.min(...parts.map(weightOf)), weightOf(patches)];
  const stray = Math.sqrt(
    parts.reduce(
      (sum, part, k) => sum + part.reduce((s, p) => s + p.weight * angleBetween(p.colour, means[k]) ** 2, 0),
      0,
    ) / all,
  );
  return apart < TWO_COLOURS_RAD || few < LEAST_SHARE * all || stray > MOST_STRAY * apart;
}

function patchesOf(
  ridges: Ridges,
  { x, y }: StraightPoints,
  isOf: (p: number) => boolean,
  ink: InkField,
  step: number,
): Patch[] {
  const sums = new Map<string, [number, number, number, number]>();
  for (let p = 0; p < ridges.count; p++) {
    if (!isOf(p)) continue;
    const key = `${Math.floor(x[p] / step)} ${Math.floor(y[p] / step)}`;
    const sum = sums.get(key) ?? [0, 0, 0, 0];
    sums.set(key, sum);
    addInk(sum, Math.floor(ridges.x[p]), Math.floor(ridges.y[p]), ink);
  }
  return [...sums.values()].flatMap(([r, g, b, weight]) => {
    const length = Math.hypot(r, g, b);
    return length > 0 ? [{ colour: [r / length, g / length, b / length] as const, weight }] : [];
  });
}

/** Adds paper minus ink of a pixel and those around it, and counts one point. */
function addInk(sum: [number, number, number, number], x: number, y: number, { width, height, diff }: InkField): void {
  for (let v = Math.max(0, y - 1); v <= Math.min(height - 1, y + 1); v++) {
    for (let u = Math.max(0, x - 1); u <= Math.min(width - 1, x + 1); u++) {
      for (let c = 0; c < 3; c++) sum[c] += diff[(v * width + u) * 3 + c];
    }
  }
  sum[3]++;
}

function partBetween([a, b]: readonly [Colour, Colour], patches: readonly Patch[]): [Patch[], Patch[]] {
  const isFirst = ({ colour }: Patch): boolean => angleBetween(colour, a) <= angleBetween(colour, b);
  return [patches.filter(isFirst), patches.filter((patch) => !isFirst(patch))];
}

function meanOf(patches: readonly Patch[]): Colour {
  const sum = [0, 1, 2].map((c) => patches.reduce((s, { colour, weight }) => s + weight * colour[c], 0));
  const length = Math.hypot(...sum) || 1;
  return [sum[0] / length, sum[1] / length, sum[2] / length];
}

function farthestFrom(from: Colour, patches: readonly Patch[]): Colour {
  return patches.reduce(
    (far, { colour }) => (angleBetween(colour, from) > angleBetween(far, from) ? colour : far),
    from,
  );
}

function weightOf(patches: readonly Patch[]): number {
  return patches.reduce((sum, { weight }) => sum + weight, 0);
}

function angleBetween(a: Colour, b: Colour): number {
  return Math.acos(Math.min(1, dot(a, b)));
}
