/** How well ink covers the sides of a guess, and how much of it lies outside. */
import { type Curve, evaluate } from './curve.ts';
import type { WorkPoint } from './polygon.ts';
import type { Points, SideKind } from './rim.ts';

/** Directions of ink on a side agree with it to this (sine). */
const ON_LINE_SINE = 0.17;
/** Bins for coverage along a side. */
const BINS = 48;
/** What a side counts for without ink along it. */
const COVER_WITHOUT_INK: Readonly<Record<SideKind, number>> = { ink: 0, hull: 0.3, sheet: 0.45, picture: 0.45 };
/** Sums are rounded: what a line bends by at most is taken a little larger. */
const ROUNDED = 1 + 1e-6;
/** Price of ink outside, in coverage. */
const OUTSIDE_PRICE = 5;

/** A line as a network sees it: the same for every side along it, where it is straight. */
export interface LineInk {
  readonly from: WorkPoint;
  /** Unit direction of travel. */
  readonly ux: number;
  readonly uy: number;
  /** A bit for each of the network's points that lies beyond it, 32 a word. */
  readonly beyond: Uint32Array;
  /** Where chords run along it, px from `from`: first and last of each. */
  readonly along: Float64Array;
}

export function inkOf({ from, to, bow }: Curve, { x, y, chords, tolerance }: Points): LineInk {
  const [ox, oy] = from;
  const length = Math.hypot(to[0] - ox, to[1] - oy);
  const ux = (to[0] - ox) / length;
  const uy = (to[1] - oy) / length;
  const bent = bow.length > 1;
  const bowAt = (t: number): number => (bent ? evaluate(bow, Math.min(1, Math.max(0, t))) : 0);
  // Most points lie farther off than the line bends, and the bend need not be asked for.
  const mostBow = bent ? ROUNDED * bow.reduce((sum, term) => sum + Math.abs(term), 0) : 0;
  const beyond = new Uint32Array((x.length + 31) >> 5);
  for (let i = 0; i < x.length; i++) {
    const dx = x[i] - ox;
    const dy = y[i] - oy;
    const off = dx * uy - dy * ux;
    if (off + mostBow < tolerance) continue;
    if (off - mostBow > tolerance || off - bowAt((dx * ux + dy * uy) / length) > tolerance)
      beyond[i >> 5] |= 1 << (i & 31);
  }
  const along: number[] = [];
  for (let i = 0; i < chords.length; i += 4) {
    const ax = chords[i] - ox;
    const ay = chords[i + 1] - oy;
    const bx = chords[i + 2] - ox;
    const by = chords[i + 3] - oy;
    const a = ax * ux + ay * uy;
    const b = bx * ux + by * uy;
    const straightA = ax * uy - ay * ux;
    if (Math.abs(straightA) > tolerance + mostBow) continue;
    const offA = straightA - bowAt(a / length);
    const offB = bx * uy - by * ux - bowAt(b / length);
    if (Math.abs(offA) > tolerance || Math.abs(offB) > tolerance) continue;
    // Parallel: short chords within the tolerance may still run across.
    if (Math.abs(offA - offB) > ON_LINE_SINE * Math.abs(a - b) + 1) continue;
    along.push(Math.min(a, b), Math.max(a, b));
  }
  return { from, ux, uy, beyond, along: Float64Array.from(along) };
}

/** Coverage of the sides by parallel ink, less ink outside; about -4..1. `inks[k]`: of the line on which side k lies. */
export function coverage(
  sides: readonly Curve[],
  kinds: readonly SideKind[],
  points: Points,
  inks: readonly LineInk[],
): number {
  let covered = 0;
  for (let k = 0; k < sides.length; k++) {
    covered += Math.max(coveredShare(sides[k], inks[k]), COVER_WITHOUT_INK[kinds[k]]) / sides.length;
  }
  return covered - OUTSIDE_PRICE * (outsideOf(inks, points) / points.total);
}

/** Share of the side along which chords run. */
function coveredShare({ from, to }: Curve, { from: start, ux, uy, along }: LineInk): number {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const at = (from[0] - start[0]) * ux + (from[1] - start[1]) * uy;
  const bins = new Uint8Array(BINS);
  for (let i = 0; i < along.length; i += 2) {
    const first = Math.max(0, Math.round(((along[i] - at) / length) * BINS));
    const last = Math.min(BINS, Math.round(((along[i + 1] - at) / length) * BINS));
    for (let bin = first; bin < last; bin++) bins[bin] = 1;
  }
  let full = 0;
  for (const bin of bins) full += bin;
  return full / BINS;
}

/** Weight of the points that lie beyond one of the lines. */
function outsideOf(inks: readonly LineInk[], { weight }: Points): number {
  let outside = 0;
  for (let word = 0; word < inks[0].beyond.length; word++) {
    let bits = 0;
    for (const { beyond } of inks) bits |= beyond[word];
    for (; bits !== 0; bits &= bits - 1) outside += weight[(word << 5) + 31 - Math.clz32(bits & -bits)];
  }
  return outside;
}
