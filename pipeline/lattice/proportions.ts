/** The proportions of a rectangular sheet as what is drawn and printed on it shows them: equal steps both ways, creases in folders' directions, squared paper. */
import { NO_BEND } from '../geometry/bend.ts';
import { proportionWorth, type ShownProportions, SIMPLE_PROPORTIONS, type Slope } from '../rectify/proportions.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { MeasuredProportions, Sheet } from '../types.ts';
import { straighten } from './lattice.ts';
import type { SquaresSeen } from './paper-squares.ts';
import { MOST_DIVISIONS } from './pitch.ts';
import type { StraightSegment } from './straight-segment.ts';

/** Spreads of lines about their grid that are tried, shares of the side. */
const SPREADS = [0.0012, 0.0025, 0.005];
/** Share of lines on no grid. */
const STRAY = 0.1;
/** Lines nearer to the sides than this are the sides, shares of the side; lines nearer to each other are one. */
const AT_SIDE = 0.012;
const SAME_LINE = 0.004;
/** A line is along a side up to this, radians. */
const ALONG = 0.05;
/** Length that earns full trust, pattern units; shorter segments than this say nothing. */
const TRUSTED_LENGTH = 0.06;
const LEAST_LENGTH = 0.02;
/** Proportions of a grid's cells, natural log of width over height, and what each costs: squares, and rows of equilateral triangles lying and standing. */
const CELLS = [
  { log: 0, price: 0 },
  { log: -Math.log(3) / 2, price: 2 },
  { log: Math.log(3) / 2, price: 2 },
];
/** Price of a grid with other steps one way than the other, natural log: hardly any has. Common practice, no source. */
const OTHER_STEPS = 3;
/** Proportions tried without a grid: this many spreads to both sides of the measured one, in so many steps. */
const REACH = 4;
const STEPS = 80;
/** All proportions within so much of each other are one possibility, natural log. Common practice, no source. */
const ONE_OF_ANY = 0.03;
/** Proportions within this of each other are the same for a person, natural log; the surest ones are right with this probability. */
const SAME = 0.002;
const SURE = 0.98;
/** A pattern of proportions that are off by no more than this, natural log, is right to about the width of a stroke. */
const NEAR_ENOUGH = 0.006;
/** An outline drawn along the paper's squares is of so many of them exactly, natural log. */
const WHOLE_SQUARES = 4;
/** One in so many outlines is drawn less well than its own corners show; the squares are none where they are off what the picture shows by more than so many spreads. */
const ROUGHLY_DRAWN = { share: 0.1, wider: 3 };
const SQUARES_REACH = 4;

/**
 * The likeliest proportions of the sheet; null where they are known already.
 *
 * @param squares looks for squares or dots printed on the paper; asked only where the proportions are not known
 */
export function shownProportions(
  { segments }: Strokes,
  sheet: Sheet,
  squares: () => SquaresSeen | null = () => null,
): ShownProportions | null {
  if (!sheet.measured) return null;
  const { measured, whole, flat } = asSquaresSay(sheet.measured, squares());
  const straight = segments.map((s) => straighten(s, sheet, NO_BEND)).filter((s) => s.length > LEAST_LENGTH);
  const slopes = slopesOf(straight, sheet);
  const grids = gridsAcross(linesAcross(straight, sheet, 'x'), linesAcross(straight, sheet, 'y'));
  const tried: { log: number; worth: number }[] = [];
  const consider = (log: number, head: number): void => {
    tried.push({ log, worth: head + proportionWorth(measured, slopes, log) });
  };
  const reach = REACH * Math.max(measured.spread, measured.fine);
  const isNear = (log: number): boolean => Math.abs(log - measured.log) < reach;
  const free = grids.any - OTHER_STEPS;
  consider(0, free);
  const step = (2 * reach) / STEPS;
  for (let i = 0; i <= STEPS; i++) consider(measured.log - reach + i * step, free + Math.log(step / ONE_OF_ANY));
  for (const { log, worth } of SIMPLE_PROPORTIONS) if (isNear(log)) consider(log, worth + free);
  if (whole !== null) consider(whole, free + WHOLE_SQUARES);
  for (const { across, up, worth } of grids.pairs) {
    for (const { log: own, price } of CELLS) {
      const log = Math.log(across / up) + own;
      if (isNear(log)) consider(log, worth - price);
    }
  }
  return { ...likeliest(tried), flat };
}

/** What the picture says of the proportions, or what the paper's squares do: these are seen as the outline is, from wherever. */
function asSquaresSay(
  measured: MeasuredProportions,
  squares: SquaresSeen | null,
): { measured: MeasuredProportions } & Pick<SquaresSeen, 'whole' | 'flat'> {
  if (!squares || Math.abs(squares.log - measured.log) > SQUARES_REACH * measured.spread)
    return { measured, whole: null, flat: null };
  const { log, spread, whole, flat } = squares;
  const { share: rough, wider } = ROUGHLY_DRAWN;
  return { measured: { ...measured, log, fine: spread, spread: wider * spread, rough }, whole, flat };
}

/** The proportions that have most probability around them, and what the others leave of their certainty. */
function likeliest(tried: readonly { log: number; worth: number }[]): Omit<ShownProportions, 'flat'> {
  const most = Math.max(...tried.map(({ worth }) => worth));
  const shares = tried.map(({ log, worth }) => ({ log, share: Math.exp(worth - most) })).sort((a, b) => a.log - b.log);
  const sums = [0];
  for (const { share } of shares) sums.push(sums[sums.length - 1] + share);
  const all = sums[shares.length];
  let middle = { log: 0, around: 0 };
  for (let i = 0, first = 0, end = 0; i < shares.length; i++) {
    const { log } = shares[i];
    while (shares[first].log < log - NEAR_ENOUGH) first++;
    while (end < shares.length && shares[end].log < log + NEAR_ENOUGH) end++;
    const around = sums[end] - sums[first];
    if (around > middle.around) middle = { log, around };
  }
  const best = shares
    .filter(({ log }) => Math.abs(log - middle.log) < NEAR_ENOUGH)
    .reduce((a, b) => (b.share > a.share ? b : a));
  const within = (reach: number): number =>
    shares.reduce((sum, { log, share }) => (Math.abs(log - best.log) < reach ? sum + share : sum), 0) / all;
  const square = shares.reduce((sum, { log, share }) => sum + share * (log - best.log) ** 2, 0) / all;
  return {
    log: best.log,
    spread: within(SAME) > SURE ? null : Math.max(SAME / 2, Math.sqrt(square)),
    probability: within(NEAR_ENOUGH),
  };
}

/** Slopes of the lines that run along no side, on the sheet stretched to a unit square. */
function slopesOf(straight: readonly StraightSegment[], sheet: Sheet): Slope[] {
  return straight.flatMap(({ angle, length }): Slope[] => {
    if (isAlong(angle, 'x') || isAlong(angle, 'y')) return [];
    const log = Math.log(Math.abs(Math.tan(angle)) * (sheet.width / sheet.height));
    return [{ log, weight: Math.min(length, 0.5) }];
  });
}

function isAlong(angle: number, axis: 'x' | 'y'): boolean {
  const off = axis === 'x' ? Math.min(angle, Math.PI - angle) : Math.abs(angle - Math.PI / 2);
  return off < ALONG;
}

/** Places of lines, shares of the side that they cross, and how far each is trusted, 0..1. */
interface Lines {
  readonly at: readonly number[];
  readonly trust: readonly number[];
}

/** The lines that cross the sides along this axis. */
function linesAcross(straight: readonly StraightSegment[], { width, height }: Sheet, axis: 'x' | 'y'): Lines {
  const own = straight
    .filter((s) => isAlong(s.angle, axis === 'x' ? 'y' : 'x'))
    .map((s) => ({ at: axis === 'x' ? s.x / width : s.y / height, length: s.length }))
    .filter((s) => s.at > AT_SIDE && s.at < 1 - AT_SIDE)
    .sort((a, b) => a.at - b.at);
  const lines: { sum: number; length: number }[] = [];
  for (const { at, length } of own) {
    const last = lines.at(-1);
    if (last && at - last.sum / last.length < SAME_LINE) {
      last.sum += at * length;
      last.length += length;
    } else lines.push({ sum: at * length, length });
  }
  return {
    at: lines.map(({ sum, length }) => sum / length),
    trust: lines.map(({ length }) => Math.min(1, length / TRUSTED_LENGTH)),
  };
}

/** All grids together are certain: the sum of 1 / n. */
const HARMONIC = Array.from({ length: MOST_DIVISIONS }, (_, i) => 1 / (i + 1)).reduce((sum, v) => sum + v, 0);

interface Grids {
  /** Log-odds of grids whatever their steps, all together, against lines anywhere. */
  readonly any: number;
  /** Those of grids by their divisions across and up. */
  readonly pairs: readonly { readonly across: number; readonly up: number; readonly worth: number }[];
}

/** How well grids of all divisions explain the lines, at the spread that explains them best. */
function gridsAcross(x: Lines, y: Lines): Grids {
  let best: { any: number; across: ArrayLike<number>; up: ArrayLike<number> } | null = null;
  for (const spread of SPREADS) {
    const across = worths(x, spread);
    const up = worths(y, spread);
    const any = logOfSum(across) + logOfSum(up);
    if (!best || any > best.any) best = { any, across, up };
  }
  const { any, across, up } = best ?? { any: 0, across: [], up: [] };
  const pairs: { across: number; up: number; worth: number }[] = [];
  for (let n = 1; n < across.length; n++) {
    for (let m = 1; m < up.length; m++) pairs.push({ across: n, up: m, worth: across[n] + up[m] });
  }
  return { any, pairs };
}

/** Log-odds of "on a grid of n divisions, save for some strays" against "anywhere", and that a grid has so many, for each n from 1. */
function worths({ at, trust }: Lines, spread: number): Float64Array {
  const out = new Float64Array(MOST_DIVISIONS + 1).fill(-Infinity);
  for (let n = 1; n <= MOST_DIVISIONS; n++) {
    // The finer, the rarer.
    out[n] = -Math.log(n * HARMONIC);
    const peak = (1 - STRAY) / (n * spread * Math.sqrt(2 * Math.PI));
    at.forEach((a, i) => {
      const off = (a * n - Math.round(a * n)) / n;
      out[n] += trust[i] * Math.log(peak * Math.exp((-off * off) / (2 * spread * spread)) + STRAY);
    });
  }
  return out;
}

function logOfSum(logs: Float64Array): number {
  const most = Math.max(...logs);
  return most + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - most), 0));
}
