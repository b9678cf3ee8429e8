/** Width over height of the rectangle that a camera sees as a quadrilateral, as well as it can be told from one picture. */
import { type Homography, homographyFrom } from '../geometry/homography.ts';
import type { PicturePoint } from '../types.ts';
import type { View } from './shape.ts';

export interface SeenRatio {
  /** Natural log of width over height. */
  readonly log: number;
  /** Its spread where the camera's axis passes through the picture's middle, and where something of the picture was cut off. */
  readonly fine: number;
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
/** Where something was cut off, the axis passes beside the picture's middle by about this share of its diagonal; so many places are tried each way. */
const BESIDE = 0.06;
const BESIDE_STEPS = [-1.6, -0.8, 0, 0.8, 1.6];

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
  const { log, spread } = summary(along(0, 0));
  const cut = summary(
    BESIDE_STEPS.flatMap((x) =>
      BESIDE_STEPS.flatMap((y) => {
        const share = Math.exp(-(x * x + y * y) / 2);
        return along(x, y).map((of) => ({ log: of.log, weight: share * of.weight }));
      }),
    ),
  );
  return { log, fine: spread, rough: Math.hypot(cut.spread, cut.log - log) };
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
    const dot = (a: readonly number[], b: readonly number[]): number =>
      (a[0] * b[0] + a[1] * b[1]) / (focal * focal) + a[2] * b[2];
    const [width, height] = [Math.sqrt(dot(across, across)), Math.sqrt(dot(up, up))];
    const off = dot(across, up) / (width * height * RIGHT);
    const usual = FOCAL.reduce(
      (sum, { share, middle, spread }) => sum + (share / spread) * Math.exp(-0.5 * ((log - middle) / spread) ** 2),
      0,
    );
    return { log: Math.log(width / height), weight: usual / (1 + off * off) ** 2 };
  });
}

function summary(of: readonly Weighed[]): { log: number; spread: number } {
  const all = of.reduce((sum, { weight }) => sum + weight, 0);
  const mean = of.reduce((sum, { log, weight }) => sum + weight * log, 0) / all;
  const square = of.reduce((sum, { log, weight }) => sum + weight * (log - mean) ** 2, 0) / all;
  return { log: mean, spread: Math.sqrt(square) };
}
