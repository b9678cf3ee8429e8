/** How likely proportions of a rectangular sheet are: as measured, square, of whole numbers, of a paper format, or such that creases run in folders' directions. */
import type { MeasuredProportions, PicturePoint } from '../types.ts';

/** The proportions of a sheet as what is drawn and printed on it shows them. */
export interface ShownProportions {
  /** Natural log of width over height. */
  readonly log: number;
  /** Its spread; null where the lines leave no doubt. */
  readonly spread: number | null;
  /** Probability that it is right, as near as a person would call it so. */
  readonly probability: number;
  /**
   * Where the picture shows a place of the outline laid out as the squares on the paper are, shares of its width and height from the bottom left; null where the
   * sheet, as it was laid flat, has the squares as even as the picture has, or has none.
   */
  readonly flat: ((x: number, y: number) => PicturePoint) | null;
}

/** Proportions of whole numbers and of ISO 216 sheets are likelier than just any by this, natural log. Common practice, no source. */
const SIMPLE = [
  { most: 5, worth: 2 },
  { most: 8, worth: 0.5 },
];
/** ISO 216 sheets are longer than wide by the square root of 2. */
const ISO_216 = { ratio: Math.SQRT2, worth: 1 };
/**
 * One picture in so many was drawn out in one direction before or after it was taken, as documents and displays of another shape do,
 * by about so much (natural log). Where nobody said that the sheet may be of any shape, that is the likelier reason for odd proportions.
 * Common practice, no source.
 */
const STRETCHED = { toldAny: 1 / 1000, untold: 1 / 30 };
const SPREAD_STRETCHED = 0.08;
/** Head start of the square, in the units of the log-likelihood: most sheets are square, fewer of those that are said to be of any shape. */
const SQUARE_PRIOR = { toldAny: 2.5, untold: 6 };
/** Worth of all marks lying on diagonals. */
const DIRECTION_WORTH = 14;
/** Half width of a direction's peak, radians. */
const DIRECTION_WIDTH = 0.012;
/** The diagonal; those of the 22.5-degree and of the 30-degree family beside it, radians. */
const TARGETS = [Math.PI / 4, Math.PI / 8, (3 * Math.PI) / 8, Math.PI / 6, Math.PI / 3];
/** A direction is there if so large a share of the marks runs in it. */
const LEAST_DIRECTION = 0.1;

/** Natural logs of the proportions that are likelier than others, the square left out, and what each is worth. */
export const SIMPLE_PROPORTIONS: readonly { readonly log: number; readonly worth: number }[] = (() => {
  const out = new Map<number, number>([[ISO_216.ratio, ISO_216.worth]]);
  for (const { most, worth } of SIMPLE) {
    for (let p = 2; p <= most; p++) for (let q = 1; q < p; q++) if (!out.has(p / q)) out.set(p / q, worth);
  }
  return [...out].flatMap(([ratio, worth]) => [1, -1].map((sense) => ({ log: sense * Math.log(ratio), worth })));
})();

/** Steepness (|dy| / |dx|, natural log) of a mark on the sheet stretched to a unit square, and how much it counts. */
export interface Slope {
  readonly log: number;
  readonly weight: number;
}

/** Log-likelihood of the proportion exp(log) (width over height), less that of the measured one, from the measurement and the marks' directions. */
export function proportionWorth(measured: MeasuredProportions, slopes: readonly Slope[], log: number): number {
  const told = measured.toldAny ? 'toldAny' : 'untold';
  const isSquare = log === 0;
  // A square may be told from less than a measurement: it is as rough as can be.
  const as = isSquare ? { ...measured, rough: 1 } : measured;
  const worth = Math.log(density(as, log - measured.log) / density(as, 0));
  return worth + DIRECTION_WORTH * directionShare(slopes, log) + (isSquare ? SQUARE_PRIOR[told] : 0);
}

/**
 * How often a measured proportion is off by so much, natural log: by a fine measurement's error, a rough one's, or because the picture was drawn out.
 */
function density({ toldAny, spread, fine, rough }: MeasuredProportions, off: number): number {
  const stretched = STRETCHED[toldAny ? 'toldAny' : 'untold'];
  const bell = (wide: number): number => Math.exp(-(off * off) / (2 * wide * wide)) / wide;
  return (1 - stretched) * ((1 - rough) * bell(fine) + rough * bell(spread)) + stretched * bell(SPREAD_STRETCHED);
}

/**
 * Share of the marks' length that lies on folders' directions when the unit square is drawn out to the ratio exp(log): 45 degrees in full; those of the 22.5 or the
 * 30-degree family in part, and only where more than one of them is there, for any one slope can be turned to one of so many.
 */
function directionShare(slopes: readonly Slope[], log: number): number {
  let all = 0;
  const on = new Float64Array(TARGETS.length);
  for (const { log: slope, weight } of slopes) {
    const angle = Math.atan(Math.exp(slope - log));
    all += weight;
    TARGETS.forEach((target, i) => {
      const d = (angle - target) / DIRECTION_WIDTH;
      on[i] += weight * Math.exp(-0.5 * d * d);
    });
  }
  if (all === 0) return 0;
  const [diagonal, ...rest] = on;
  const family = (own: readonly number[], also: number): number => {
    const there = [...own, also].filter((weight) => weight > LEAST_DIRECTION * all).length;
    return there > 1 ? own[0] + own[1] : 0;
  };
  const half = Math.max(family([rest[0], rest[1]], diagonal), family([rest[2], rest[3]], 0));
  // Few marks say little: half a side of them counts for half.
  return ((diagonal + 0.5 * half) / all) * (all / (all + 0.5));
}
