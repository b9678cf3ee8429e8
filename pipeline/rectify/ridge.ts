/**
 * Where a sheet that was folded once and opened again has its old fold: the sides that it crosses have a kink there, for they lie in two planes. A kinked side is two
 * straight pieces; a bent one, seen by its points alone, is a smooth curve, and the cubic has as many unknowns as two pieces that meet.
 */
import { solveSymmetric } from '../geometry/solve.ts';
import type { PicturePoint } from '../types.ts';
import { evaluate, robustPolynomial } from './curve.ts';

/** A side of the outline as it was seen, thinned out to even steps: shares along the chord, and px outward from it. */
export interface SeenSide {
  readonly ts: readonly number[];
  readonly offs: readonly number[];
}

export interface Kink {
  /** Side of the outline, and where along its chord. */
  readonly side: number;
  readonly share: number;
  /** How far the kink stands out from the chord, px, positive outward. */
  readonly height: number;
  /** What two straight pieces leave of the points, and what a cubic leaves, px, mean square. */
  readonly left: number;
  readonly leftByCubic: number;
}

/** Where a ridge meets the outline, as a first guess: 1.25 is a quarter along the side after the first. */
export type RidgeGuess = readonly [number, number];

/** Points of a side are gathered in so many bins. */
const BINS = 40;
/** A side is known if so many bins have points. */
const FEWEST_BINS = 16;
/** Kinks are looked for from this share of the side on, in steps. */
const NEAREST = 0.08;
const STEP = 0.02;
/** A kink that stands out by less is noise, px of the picture. */
const LEAST_HEIGHT_PX = 1.2;
/** Two pieces leave at most this share of what a cubic leaves, mean square. */
const CLEARER = 0.8;
/** Departures beyond this count no more, px: other lines. */
const CLIP_PX = 4;

/** The side's points, bin by bin, from the corner `p` to the corner `q` (counterclockwise on the sheet); null where too little of it was seen. */
export function seenSide(p: PicturePoint, q: PicturePoint, points: readonly PicturePoint[]): SeenSide | null {
  const bins: { t: number; off: number }[][] = Array.from({ length: BINS }, () => []);
  const [cx, cy] = [q[0] - p[0], q[1] - p[1]];
  const chord = Math.hypot(cx, cy);
  for (const [x, y] of points) {
    const t = ((x - p[0]) * cx + (y - p[1]) * cy) / chord ** 2;
    const off = (-(x - p[0]) * cy + (y - p[1]) * cx) / chord;
    bins[Math.floor(t * BINS)]?.push({ t, off });
  }
  const full = bins.filter((bin) => bin.length > 0);
  if (full.length < FEWEST_BINS) return null;
  const middle = (values: number[]): number => values.sort((a, b) => a - b)[values.length >> 1];
  return {
    ts: full.map((bin) => bin.reduce((sum, { t }) => sum + t, 0) / bin.length),
    offs: full.map((bin) => middle(bin.map(({ off }) => off))),
  };
}

/** The kink of a side, however slight. */
export function kinkOf({ ts, offs }: SeenSide, side: number): Kink | null {
  let best: Kink | null = null;
  const cubic = robustPolynomial(
    ts,
    offs,
    ts.map(() => 1),
    3,
  );
  const leftByCubic = meanSquare(ts, (i) => offs[i] - evaluate(cubic, ts[i]));
  for (let share = NEAREST; share <= 1 - NEAREST; share += STEP) {
    const pieces = twoPieces(ts, offs, share);
    if (!pieces) continue;
    const left = meanSquare(ts, (i) => offs[i] - piecesAt(pieces, share, ts[i]));
    if (best && best.left <= left) continue;
    best = { side, share, height: -pieces[2] * share * (1 - share), left, leftByCubic };
  }
  return best;
}

/** Whether two straight pieces explain a side clearly better than any smooth curve with as many unknowns. */
export function isClear({ height, left, leftByCubic }: Kink): boolean {
  return Math.abs(height) > LEAST_HEIGHT_PX && left < CLEARER * leftByCubic;
}

/** Where a ridge may run: from the clearest kink to each other side; none where no kink is clear. */
export function ridgeGuesses(seen: readonly (SeenSide | null)[]): RidgeGuess[] {
  const kinks = seen.map((side, i) => side && kinkOf(side, i));
  let clearest: Kink | null = null;
  const worth = ({ left, leftByCubic }: Kink): number => leftByCubic - left;
  for (const kink of kinks) if (kink && isClear(kink) && (!clearest || worth(kink) > worth(clearest))) clearest = kink;
  if (!clearest) return [];
  const { side, share } = clearest;
  return kinks.flatMap((kink, i): RidgeGuess[] => {
    if (i === side) return [];
    const isSeen = kink && Math.abs(kink.height) > LEAST_HEIGHT_PX;
    return [[side + share, i + (isSeen ? kink.share : 0.5)]];
  });
}

/** c0 + c1 t + c2 max(0, t - share) by least squares, twice: the second time without what lies far off. */
function twoPieces(ts: readonly number[], offs: readonly number[], share: number): Float64Array | null {
  let solved: Float64Array | null = null;
  for (let round = 0; round < 2; round++) {
    const a = new Float64Array(9);
    const b = new Float64Array(3);
    for (let i = 0; i < ts.length; i++) {
      if (solved && Math.abs(offs[i] - piecesAt(solved, share, ts[i])) > CLIP_PX) continue;
      const row = [1, ts[i], Math.max(0, ts[i] - share)];
      for (let r = 0; r < 3; r++) {
        b[r] += row[r] * offs[i];
        for (let c = 0; c < 3; c++) a[3 * r + c] += row[r] * row[c];
      }
    }
    solved = solveSymmetric(a, b) ?? solved;
  }
  return solved;
}

function piecesAt(pieces: Float64Array, share: number, t: number): number {
  return pieces[0] + pieces[1] * t + pieces[2] * Math.max(0, t - share);
}

function meanSquare(ts: readonly number[], miss: (i: number) => number): number {
  let sum = 0;
  for (let i = 0; i < ts.length; i++) sum += Math.min(CLIP_PX, Math.abs(miss(i))) ** 2;
  return sum / ts.length;
}
