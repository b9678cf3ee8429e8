/** What shape the sheet has, from its outline on the picture: square, rectangle, regular polygon or as seen. */
import { apply, homographyFrom } from '../geometry/homography.ts';
import type { MeasuredProportions, PatternPoint, PicturePoint, RecoverOptions } from '../types.ts';
import { proportionWorth, SIMPLE_PROPORTIONS, type Slope } from './proportions.ts';
import { seenRatio } from './seen-ratio.ts';
import type { View } from './view.ts';

export interface Shape {
  /** Pattern frame, counterclockwise, first corner bottom left; longest side of the bounding box 1. */
  readonly polygon: readonly PatternPoint[];
  readonly width: number;
  readonly height: number;
  readonly assumed: readonly string[];
  /** Probability that the proportions are right, given that the outline is. */
  readonly probability: number;
  /** Spread of width over height (natural log) where it was measured; missing where it is known or guessed. */
  readonly spread?: number;
  /** What the picture says of the proportions, where lines drawn on the sheet may still correct them. */
  readonly measured?: MeasuredProportions;
}

/** A straight mark inside the outline, picture px. */
export interface Mark {
  readonly a: PicturePoint;
  readonly b: PicturePoint;
}

/** Proportions tried: from 1 : 4 to 4 : 1 in steps of 0.4 %. */
const MOST_RATIO = Math.log(4);
const RATIO_STEP = 0.004;
/** An outline whose sides lie along the picture's to this share of their length was drawn by a program, and its sides are known to about a px. */
const UPRIGHT = 0.001;
const UPRIGHT_PX = 1.5;
/**
 * Beside what the camera leaves open, the proportion (natural log) is known this well where its axis passes through the picture's middle and its lens is good, and only
 * so well in this share of pictures, of which something was cut off or whose lens bends. Common practice, no source.
 */
const FINE = 0.004;
const ROUGH = { spread: 0.012, share: 1 / 2 };
/** Simple proportions are tried as near as this to the measured one, natural log. */
const SIMPLE_REACH = 0.03;
/** A sheet that is seen as a square to this (natural log), and this share of its perspective, is one. */
const SEEN_SQUARE = 0.012;
const SEEN_SQUARE_PER_PERSPECTIVE = 0.25;
/** A square beyond so many spreads from the measured proportion was drawn out. */
const STRETCH_SEEN = 4;
/** Opposite sides differ by less than this (natural log) where a sheet is seen straight on. */
const FRONTAL = 0.025;
/** Directions nearer to the axes than this say nothing about the proportions, radians. */
const AXIS_ZONE = 0.07;
/** Marks are heard from this share of the longest side. */
const LEAST_MARK = 0.05;
/** A regular polygon is believed when its corners fit to this share of its size. */
const REGULAR_RESIDUAL = 0.015;
/** A triangle is taken for a standard one when its angles agree to this, radians. */
const TRIANGLE_ANGLE = 0.14;

const SQUARE_WORDS = 'the sheet is taken as square';

export function shapeOf(
  corners: readonly PicturePoint[],
  marks: readonly Mark[],
  view: View,
  paper: RecoverOptions['paper'],
): Shape {
  if (corners.length !== 4) return polygonShape(corners);
  if (paper === 'square') return rectangle(1, [], 1);
  if (typeof paper === 'object') return rectangle(paper.width / paper.height, [], 1);
  // Seen at a slant, proportions are hard to tell: without a word from the user the sheet is square.
  if (paper !== 'auto' && perspectiveOf(corners) > FRONTAL) {
    return rectangle(1, [SQUARE_WORDS], Math.abs(seenRatio(corners, view).log) < 0.1 ? 0.98 : 0.85);
  }
  return proportionsOf(corners, marks, view, paper === 'auto');
}

/** `ratio` is width over height. */
function rectangle(ratio: number, assumed: readonly string[], probability: number): Shape {
  const width = Math.min(1, ratio);
  const height = Math.min(1, 1 / ratio);
  return {
    polygon: [
      [0, 0],
      [width, 0],
      [width, height],
      [0, height],
    ],
    width,
    height,
    assumed,
    probability,
  };
}

/** The likeliest proportion: the measured one, pulled to the square, to simple ones and to those that turn marks to folders' directions. */
function proportionsOf(corners: readonly PicturePoint[], marks: readonly Mark[], view: View, toldAny: boolean): Shape {
  const { log: seen, fine, elsewhere, rough } = seenRatio(corners, view);
  const upright = uprightSpread(corners);
  const measured: MeasuredProportions = {
    log: seen,
    spread: Math.hypot(ROUGH.spread, rough),
    fine: upright ?? Math.hypot(FINE, fine),
    rough: upright === null ? 1 - (1 - ROUGH.share) * (1 - elsewhere) : 0,
    toldAny,
  };
  // That a sheet of another shape was drawn out to just a square is too much of a chance: one slope can always be turned to 45 degrees.
  const nearlySquare = SEEN_SQUARE + SEEN_SQUARE_PER_PERSPECTIVE * perspectiveOf(corners);
  if (Math.abs(seen) < nearlySquare) return rectangleOf(measured, 0);
  const slopes = unitSlopes(corners, marks);
  let best = 0;
  let most = proportionWorth(measured, slopes, 0);
  const consider = (log: number, head: number): void => {
    const value = proportionWorth(measured, slopes, log) + head;
    if (value <= most) return;
    most = value;
    best = log;
  };
  consider(seen, 0);
  for (let log = -MOST_RATIO; log <= MOST_RATIO; log += RATIO_STEP) consider(log, 0);
  for (const { log, worth } of SIMPLE_PROPORTIONS) if (Math.abs(log - seen) < SIMPLE_REACH) consider(log, worth);
  return rectangleOf(measured, best);
}

/** The rectangle of the proportion exp(log) (width over height), with what is said of it. */
export function rectangleOf(measured: MeasuredProportions, log: number): Shape {
  const { log: seen, spread, fine, rough } = measured;
  const off = Math.abs(seen);
  if (log === 0) {
    const percent = Math.round(100 * Math.expm1(off));
    const stretch = `the picture is taken as drawn out by ${percent} % in one direction`;
    const assumed = off > STRETCH_SEEN * spread ? [SQUARE_WORDS, stretch] : [SQUARE_WORDS];
    return { ...rectangle(1, assumed, off < 2 * spread ? 0.98 : 0.85), measured };
  }
  const ratio = Math.exp(log);
  const words = ratio >= 1 ? `${ratio.toFixed(3)} : 1` : `1 : ${(1 / ratio).toFixed(3)}`;
  return {
    ...rectangle(ratio, [`the sheet's sides are taken as ${words} (width : height)`], 0.85),
    spread: Math.hypot(fine, Math.sqrt(rough) * spread),
    measured,
  };
}

/** Spread of the measured proportion (natural log) of an outline that a program drew; null for others. */
function uprightSpread(corners: readonly PicturePoint[]): number | null {
  const sides = corners.map((p, i) => {
    const q = corners[(i + 1) % 4];
    return [Math.abs(q[0] - p[0]), Math.abs(q[1] - p[1])].sort((a, b) => b - a);
  });
  const isUpright = sides.every(([long, off]) => off < UPRIGHT * long);
  return isUpright ? UPRIGHT_PX / Math.min(...sides.map(([long]) => long)) : null;
}

/** How unequal opposite sides are, natural log. */
function perspectiveOf(corners: readonly PicturePoint[]): number {
  const length = (i: number): number => {
    const p = corners[i];
    const q = corners[(i + 1) % 4];
    return Math.hypot(q[0] - p[0], q[1] - p[1]);
  };
  return Math.max(Math.abs(Math.log(length(0) / length(2))), Math.abs(Math.log(length(1) / length(3))));
}

/** Steepness (|dy| / |dx|, natural log) of the marks on the sheet stretched to a unit square, and their lengths; near-axis ones left out. */
function unitSlopes(corners: readonly PicturePoint[], marks: readonly Mark[]): Slope[] {
  const toUnit = homographyFrom(corners, [
    [0, 0],
    [1, 0],
    [1, 1],
    [0, 1],
  ]);
  const out: Slope[] = [];
  for (const { a, b } of marks) {
    const p = apply(toUnit, a);
    const q = apply(toUnit, b);
    const dx = Math.abs(q[0] - p[0]);
    const dy = Math.abs(q[1] - p[1]);
    const length = Math.hypot(dx, dy);
    const angle = Math.atan2(dy, dx);
    if (length < LEAST_MARK || angle < AXIS_ZONE || angle > Math.PI / 2 - AXIS_ZONE) continue;
    out.push({ log: Math.log(dy / dx), weight: Math.min(length, 0.5) });
  }
  return out;
}

function polygonShape(corners: readonly PicturePoint[]): Shape {
  const n = corners.length;
  const words = n === 3 ? 'triangle' : n === 5 ? 'pentagon' : n === 6 ? 'hexagon' : n === 8 ? 'octagon' : 'polygon';
  if (n === 3) {
    const standard = standardTriangle(corners);
    if (standard) return placed(standard, [`the sheet is taken as a regular or right-angled triangle`], 0.85);
  } else {
    const regular = Array.from({ length: n }, (_, i): PatternPoint => {
      const angle = (2 * Math.PI * i) / n - Math.PI / 2 - Math.PI / n;
      return [Math.cos(angle), Math.sin(angle)];
    });
    const h = homographyFrom(regular, corners);
    let worst = 0;
    regular.forEach((p, i) => {
      const q = apply(h, p);
      worst = Math.max(worst, Math.hypot(q[0] - corners[i][0], q[1] - corners[i][1]));
    });
    const size = Math.max(...corners.map((p) => Math.hypot(p[0] - corners[0][0], p[1] - corners[0][1])));
    if (worst < REGULAR_RESIDUAL * size) return placed(regular, [`the sheet is taken as a regular ${words}`], 0.9);
  }
  const flipped = corners.map((p): PatternPoint => [p[0], -p[1]]);
  return placed(turned(flipped), [`the sheet is taken as the ${words} that the picture shows, seen straight on`], 0.6);
}

/** Turned so that the first side is level. */
function turned(points: readonly PatternPoint[]): PatternPoint[] {
  const angle = -Math.atan2(points[1][1] - points[0][1], points[1][0] - points[0][0]);
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  return points.map((p): PatternPoint => [c * p[0] - s * p[1], s * p[0] + c * p[1]]);
}

/** The equilateral or the right-angled isosceles triangle with its corners in this order, if the picture shows one nearly. */
function standardTriangle(corners: readonly PicturePoint[]): PatternPoint[] | null {
  const angles = corners.map((p, i) => {
    const q = corners[(i + 1) % 3];
    const r = corners[(i + 2) % 3];
    const turn = Math.atan2(q[1] - p[1], q[0] - p[0]) - Math.atan2(r[1] - p[1], r[0] - p[0]);
    return Math.abs(Math.atan2(Math.sin(turn), Math.cos(turn)));
  });
  const third = Math.PI / 3;
  if (angles.every((a) => Math.abs(a - third) < TRIANGLE_ANGLE)) {
    return [
      [0, 0],
      [1, 0],
      [0.5, Math.sqrt(3) / 2],
    ];
  }
  const right = angles.findIndex((a) => Math.abs(a - Math.PI / 2) < TRIANGLE_ANGLE);
  const rest = angles.filter((_, i) => i !== right);
  if (right < 0 || rest.some((a) => Math.abs(a - Math.PI / 4) > TRIANGLE_ANGLE)) return null;
  const apex: PatternPoint[] = [
    [0, 1],
    [1, 1],
    [0.5, 0.5],
  ];
  return [[0, 0], [1, 0], apex[right]];
}

/** Moved and scaled so that its bounding box starts at the origin and its longer side is 1. */
function placed(points: readonly PatternPoint[], assumed: readonly string[], probability: number): Shape {
  const left = Math.min(...points.map((p) => p[0]));
  const low = Math.min(...points.map((p) => p[1]));
  const wide = Math.max(...points.map((p) => p[0])) - left;
  const tall = Math.max(...points.map((p) => p[1])) - low;
  const size = Math.max(wide, tall);
  return {
    polygon: points.map((p): PatternPoint => [(p[0] - left) / size, (p[1] - low) / size]),
    width: wide / size,
    height: tall / size,
    assumed,
    probability,
  };
}
