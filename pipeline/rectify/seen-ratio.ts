/** Width over height of the rectangle that a camera sees as a quadrilateral, as well as it can be told from one picture. */
import { type Homography, homographyFrom } from '../geometry/homography.ts';
import { cross, dot } from '../geometry/vector.ts';
import type { PicturePoint } from '../types.ts';
import type { View } from './view.ts';

export interface SeenRatio {
  /** Natural log of width over height, the likeliest. */
  readonly log: number;
  /** Its spread near there, where the camera's axis passes through the picture's middle, and the probability that it is not near, even so. */
  readonly fine: number;
  readonly elsewhere: number;
  /** Its spread all told, where something of the picture was cut off. */
  readonly rough: number;
}

/** Diagonal of the frame that focal lengths are given for, mm (35 mm film). */
const FRAME_MM = 43.27;
/**
 * Focal lengths, mm on that frame by the diagonal: most pictures are taken with a telephone's usual lens, the others with longer ones, or are cropped, which is the
 * same. Shares, middles and spreads (natural log). Common practice, no source.
 */
const FOCAL = [
  { share: 0.55, middle: Math.log(26), spread: 0.1 },
  { share: 0.45, middle: Math.log(45), spread: 0.45 },
];
/** Focal lengths tried, mm. */
const SHORTEST = 15;
const LONGEST = 250;
const FOCAL_STEPS = 48;
/** Angles of the outline are right to about this (cosine): corners of a print are surer, those that a hand drew less, hence no normal curve. */
const RIGHT = 0.003;
/** A sheet leans away from the camera by an angle of about this size, radians: who wants it read stands over it. Common practice, no source. */
const LEAN = 0.45;
/** Where something was cut off, the axis passes beside the picture's middle by about this share of its diagonal; so many places are tried each way. */
const BESIDE = 0.06;
const BESIDE_STEPS = [-1.6, -0.8, 0, 0.8, 1.6];
/** Proportions this near to each other are one, natural log. */
const NEAR = 0.02;

/**
 * The proportions of a rectangle seen as this quadrilateral by a pinhole camera (Zhang & He 2007), over all focal lengths that a camera may have: each counts as
 * much as it is usual, and as right as it makes the rectangle's angles. A sheet that leans straight away from the camera has them right at any.
 *
 * @param corners picture px, in order, the first two at the ends of the width
 */
export function seenRatio(corners: readonly PicturePoint[], { width, height }: View): SeenRatio {
  const toPicture = homographyFrom(UNIT, corners);
  const diagonal = Math.hypot(width, height);
  const along = (x: number, y: number): Weighed[] =>
    byFocal(toPicture, [width / 2 + x * BESIDE * diagonal, height / 2 + y * BESIDE * diagonal], diagonal);
  const centred = along(0, 0);
  const log = likeliest(centred);
  const near = centred.filter((of) => Math.abs(of.log - log) < NEAR);
  const cut = BESIDE_STEPS.flatMap((x) =>
    BESIDE_STEPS.flatMap((y) => {
      const share = Math.exp(-(x * x + y * y) / 2);
      return along(x, y).map((of) => ({ log: of.log, weight: share * of.weight }));
    }),
  );
  return {
    log,
    fine: spreadAbout(log, near),
    elsewhere: 1 - weightOf(near) / weightOf(centred),
    rough: spreadAbout(log, cut),
  };
}

const UNIT: readonly (readonly [number, number])[] = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
];

/** Natural log of width over height, and how much it counts. */
interface Weighed {
  readonly log: number;
  readonly weight: number;
}

/** What the rectangle is at each focal length of a camera whose axis passes through this place of the picture. */
function byFocal(h: Homography, axis: PicturePoint, diagonal: number): Weighed[] {
  const step = Math.log(LONGEST / SHORTEST) / FOCAL_STEPS;
  // Its sides' directions in the camera are the first two columns, seen from the axis.
  const [across, up] = [0, 1].map((c) => [h[c] - axis[0] * h[6 + c], h[3 + c] - axis[1] * h[6 + c], h[6 + c]]);
  return Array.from({ length: FOCAL_STEPS + 1 }, (_, k): Weighed => {
    const log = Math.log(SHORTEST) + k * step;
    const focal = (Math.exp(log) / FRAME_MM) * diagonal;
    const [a, b] = [across, up].map(([x, y, z]) => [x / focal, y / focal, z]);
    const [width, height] = [Math.sqrt(dot(a, a)), Math.sqrt(dot(b, b))];
    const off = dot(a, b) / (width * height * RIGHT);
    const normal = cross(a, b);
    const lean = Math.acos(Math.abs(normal[2]) / Math.sqrt(dot(normal, normal))) / LEAN;
    const usual = FOCAL.reduce(
      (sum, { share, middle, spread }) => sum + (share / spread) * Math.exp(-0.5 * ((log - middle) / spread) ** 2),
      0,
    );
    return { log: Math.log(width / height), weight: (usual * Math.exp(-0.5 * lean * lean)) / (1 + off * off) ** 2 };
  });
}

/** The mean of those that have most weight near them. */
function likeliest(of: readonly Weighed[]): number {
  const around = of.map(({ log }) => of.filter((other) => Math.abs(other.log - log) < NEAR));
  const best = around.reduce((a, b) => (weightOf(b) > weightOf(a) ? b : a));
  return best.reduce((sum, { log, weight }) => sum + weight * log, 0) / weightOf(best);
}

function weightOf(of: readonly Weighed[]): number {
  return of.reduce((sum, { weight }) => sum + weight, 0);
}

function spreadAbout(middle: number, of: readonly Weighed[]): number {
  const square = of.reduce((sum, { log, weight }) => sum + weight * (log - middle) ** 2, 0);
  return Math.sqrt(square / weightOf(of));
}
