/**
 * Whether a sheet was folded once and opened again, or is bent smoothly: what each leaves of the sides' points, and of the straightness of the lines drawn on the sheet.
 * Lines were not fitted to at first, so they decide where they say anything; and where they do, the ridge is placed by them as well.
 */
import type { Homography } from '../geometry/homography.ts';
import type { PatternPoint, PicturePoint } from '../types.ts';
import { type Bow, evaluate, largestBow, robustPolynomial } from './curve.ts';
import { ridgeGuesses, type SeenSide, seenSide } from './ridge.ts';
import { diagonalFold } from './ridge-lines.ts';
import { type RidgedView, viewOf } from './ridged-view.ts';
import { type Fitted, leftOfSides, ridgedViews, type SeenSheet, withLines } from './sheet-view.ts';
import { straysOn } from './straightness.ts';
import type { View } from './view.ts';

type ToPicture = (p: PatternPoint) => PicturePoint;

/** A sheet's outline and the lines on it, as in `sheetMap`. */
export interface Drawn {
  readonly polygon: readonly PatternPoint[];
  readonly corners: readonly PicturePoint[];
  readonly bows: readonly Bow[];
  readonly points: readonly (readonly PicturePoint[])[];
  readonly view: View;
  readonly lines: readonly (readonly PicturePoint[])[];
  readonly homography: Homography;
}

/** How the sheet is laid flat where it is taken to be bent smoothly, and the view of a curled sheet that this rests on, if any. */
export interface Smooth {
  readonly toPicture: ToPicture;
  readonly curled: ToPicture | null;
}

/** What the sides and lines say of an old fold. */
export interface OldFold {
  /** The two planes, by how much they are turned to each other, and what the sides leave over, px outward by the share along the chord; null where the sheet is rather bent smoothly. */
  readonly ridge: { readonly toPicture: ToPicture; readonly left: readonly Bow[]; readonly turnRad: number } | null;
  /** How far inner places may be off, px. */
  readonly spreadPx: number;
}

/** Two planes are taken where they leave less than this share of what a curled sheet leaves of the sides, root mean square, ... */
const CLEARER = 0.7;
/** ... and hardly more than curves of their own for each side do: a share, and px. */
const AS_CLOSE = 1.15;
const CLOSE_PX = 0.15;
/** Where lines are straighter on the two planes, these may leave so much more of the sides: a sheet is seldom quite flat beside its fold. */
const NEAR = 2;
/** Lines speak for the map on which they are crooked by less than this share of what they are on the other. */
const STRAIGHTER = 0.8;
/** A line that is more crooked than this on both maps is no straight line, pattern units. */
const MOST_STRAY = 0.004;
/** Lines that stray less are straight, px: under what can be traced. */
const LEAST_STRAY_PX = 0.4;
/** Either may be where the two planes leave no more than so many times what the smooth sheet does. */
const ABOUT_EQUAL = 1.5;
/** Planes turned less than this are one, radians: half a degree; ... */
const LEAST_TURN = 0.009;
/** ... a sheet that was pressed flat for its picture stands up no farther than 25 degrees: more is what a hand's wavering border looks like. */
const MOST_TURN = 0.44;
/** Leftovers of the sides follow curves of this degree. */
const LEFT_DEGREE = 3;

/** Two planes that leave less than this share of what a curled sheet leaves of the sides are sure without lines. */
const SURE = 0.4;
/** Other ridges may be where they leave no more than this of the sides, of what the best one leaves (half the sum of squares). */
const AS_GOOD = { share: 1.3, more: 3 };

/** Null where nothing speaks for a ridge. */
export function oldFold(drawn: Drawn, smooth: Smooth): OldFold | null {
  const { polygon, corners, bows, points, view, lines, homography } = drawn;
  const sides = corners.map((p, i) => seenSide(p, corners[(i + 1) % corners.length], points[i] ?? []));
  const sheet = { polygon, corners, sides, view };
  const guesses = ridgeGuesses(sides);
  if (guesses.length === 0) return cornerToCorner(drawn, sheet, smooth);
  const smoothStrays = straysOn(smooth.toPicture, homography, lines);
  const longest = longestOf(drawn);
  const ridges = ridgedViews(sheet, guesses).map((fitted): Ridge => {
    const planes = viewOf(fitted);
    const strays = straysOn(planes.toPicture, homography, lines);
    return { fitted, planes, crooked: compared(strays, smoothStrays, lines, LEAST_STRAY_PX / longest) };
  });
  const asGood = ridges.filter(({ fitted }) => fitted.error < AS_GOOD.share * ridges[0].fitted.error + AS_GOOD.more);
  // Where the sides leave it open, the lines say which.
  const ridge = asGood.reduce(
    (one: Ridge | null, other) => (one && other.crooked > STRAIGHTER * one.crooked ? one : other),
    null,
  );
  const turn = Math.abs(ridge?.planes.turnRad ?? 0);
  if (!ridge || turn < LEAST_TURN || turn > MOST_TURN) return cornerToCorner(drawn, sheet, smooth);
  const { fitted, planes, crooked } = ridge;
  const byBows = missOf(sides, (i, t) => evaluate(bows[i], t));
  const byCurl = smooth.curled ? missOf(sides, sidesBy(smooth.curled, polygon, corners)) : Number.POSITIVE_INFINITY;
  const isClose = planes.missPx < AS_CLOSE * byBows + CLOSE_PX;
  const isFolded =
    crooked < STRAIGHTER
      ? planes.missPx < NEAR * byBows + CLOSE_PX
      : crooked < 1 / STRAIGHTER && isClose && planes.missPx < CLEARER * byCurl;
  const apart = (): number => farthest(planes.toPicture, smooth.toPicture, polygon);
  if (!isFolded) {
    const mayBe = crooked < 1 / STRAIGHTER && planes.missPx < ABOUT_EQUAL * Math.min(byBows, byCurl);
    return mayBe ? { ridge: null, spreadPx: apart() } : cornerToCorner(drawn, sheet, smooth);
  }
  const best = straightLines(planes, fitted, drawn, LEAST_STRAY_PX / longest);
  const isSure = crooked < STRAIGHTER || planes.missPx < SURE * byCurl;
  const others = asGood.filter((other) => other !== ridge && other.crooked * STRAIGHTER < crooked);
  return {
    ridge: {
      toPicture: best.view.toPicture,
      turnRad: best.view.turnRad,
      left: leftovers(best.fitted, sides),
    },
    spreadPx: Math.max(
      best.view.spreadPx,
      isSure ? 0 : apart(),
      ...others.map((other) => farthest(planes.toPicture, other.planes.toPicture, polygon)),
    ),
  };
}

/** A ridge that may be, and how crooked the lines are with it as a share of how crooked they are where the sheet is bent smoothly. */
interface Ridge {
  readonly fitted: Fitted;
  readonly planes: RidgedView;
  readonly crooked: number;
}

/** Sides that leave their chords by less than this share of the longest are straight. */
const STRAIGHT_SHARE = 0.002;

/** What no side shows is not laid flat by the lines alone, but where they show it places may be off. */
function cornerToCorner(drawn: Drawn, sheet: SeenSheet, smooth: Smooth): OldFold | null {
  const { polygon, bows, lines, homography } = drawn;
  if (Math.max(...bows.map(largestBow)) > STRAIGHT_SHARE * longestOf(drawn)) return null;
  const planes = diagonalFold(sheet, lines, homography);
  return planes && { ridge: null, spreadPx: farthest(planes.toPicture, smooth.toPicture, polygon) };
}

/** The longest side's chord, px. */
function longestOf({ corners }: Drawn): number {
  const chords = corners.map((p, i) => {
    const q = corners[(i + 1) % corners.length];
    return Math.hypot(p[0] - q[0], p[1] - q[1]);
  });
  return Math.max(...chords);
}

/** How crooked lines are on one map as a share of how crooked they are on another; 1 where they say nothing. Lines that stray by `least` are straight. */
function compared(one: readonly number[], other: readonly number[], lines: Drawn['lines'], least: number): number {
  let [a, b] = [0, 0];
  one.forEach((stray, i) => {
    if (Math.min(stray, other[i]) > MOST_STRAY) return;
    a += lines[i].length * Math.min(MOST_STRAY, Math.max(least, stray));
    b += lines[i].length * Math.min(MOST_STRAY, Math.max(least, other[i]));
  });
  return b > 0 ? a / b : 1;
}

/** The view fitted to the lines as well that are straight on the two planes, where that makes them straighter. */
function straightLines(
  view: RidgedView,
  fitted: Fitted,
  { lines, homography }: Drawn,
  least: number,
): { view: RidgedView; fitted: Fitted } {
  const before = straysOn(view.toPicture, homography, lines);
  const straight = lines.filter((_, i) => before[i] < MOST_STRAY);
  const again = straight.length > 0 ? withLines(fitted, straight) : null;
  if (!again) return { view, fitted };
  const refined = viewOf(again);
  return compared(straysOn(refined.toPicture, homography, lines), before, lines, least) <= 1
    ? { view: refined, fitted: again }
    : { view, fitted };
}

/** What the fitted sides leave of the traced ones, as smooth curves. */
function leftovers(fitted: Fitted, sides: readonly (SeenSide | null)[]): Bow[] {
  return leftOfSides(fitted).map((left, i) => {
    const side = sides[i];
    return side
      ? robustPolynomial(
          side.ts,
          [...left],
          side.ts.map(() => 1),
          LEFT_DEGREE,
        )
      : [0];
  });
}

/** Root mean square distance of the sides' points from what is said of them: px outward by side and share along its chord. */
function missOf(sides: readonly (SeenSide | null)[], said: (side: number, t: number) => number): number {
  let sum = 0;
  let count = 0;
  sides.forEach((side, i) => {
    side?.ts.forEach((t, k) => {
      sum += Math.min(FAR_PX, Math.abs(side.offs[k] - said(i, t))) ** 2;
      count++;
    });
  });
  return count > 0 ? Math.sqrt(sum / count) : 0;
}

/** Departures beyond this count no more, px: other lines. */
const FAR_PX = 3;
/** Places along a side at which a map is asked where it goes. */
const STEPS = 48;

/** Where a map lays the sides: px outward by side and share along the chord. */
function sidesBy(
  toPicture: ToPicture,
  polygon: readonly PatternPoint[],
  corners: readonly PicturePoint[],
): (side: number, t: number) => number {
  const runs = polygon.map((a, i) => {
    const b = polygon[(i + 1) % polygon.length];
    const [p, q] = [corners[i], corners[(i + 1) % corners.length]];
    const [cx, cy] = [q[0] - p[0], q[1] - p[1]];
    const chord = Math.hypot(cx, cy);
    return Array.from({ length: STEPS + 1 }, (_, k) => {
      const [x, y] = toPicture([a[0] + (k / STEPS) * (b[0] - a[0]), a[1] + (k / STEPS) * (b[1] - a[1])]);
      return {
        t: ((x - p[0]) * cx + (y - p[1]) * cy) / chord ** 2,
        off: (-(x - p[0]) * cy + (y - p[1]) * cx) / chord,
      };
    });
  });
  return (side, t) => {
    const run = runs[side];
    let k = 1;
    while (k < STEPS && run[k].t < t) k++;
    const [from, to] = [run[k - 1], run[k]];
    return from.off + ((to.off - from.off) * (t - from.t)) / (to.t - from.t);
  };
}

/** Inner places at which maps are compared, along each direction. */
const COMPARED = 7;

/** How far apart two maps see an inner place at most, px. */
function farthest(one: ToPicture, other: ToPicture, polygon: readonly PatternPoint[]): number {
  const width = Math.max(...polygon.map((p) => p[0]));
  const height = Math.max(...polygon.map((p) => p[1]));
  let most = 0;
  for (let i = 0; i < COMPARED; i++) {
    for (let j = 0; j < COMPARED; j++) {
      const p: PatternPoint = [(width * (i + 0.5)) / COMPARED, (height * (j + 0.5)) / COMPARED];
      const [a, b] = [one(p), other(p)];
      most = Math.max(most, Math.hypot(a[0] - b[0], a[1] - b[1]));
    }
  }
  return most;
}
