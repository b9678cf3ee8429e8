import { type BitRows, clearBit, hasBit, makeBitRows, setBit } from './bits.ts';
import type { LayerProblem } from './problem.ts';

/** Why an order is known. */
export const BECAUSE_GIVEN = 0;
export const BECAUSE_CHOSEN = 1;
/** a below c, for a is below `first` and `first` below c. */
export const BECAUSE_TRANSITIVE = 2;
/** As the pair `first` below `second`: a piece passes a fold or a join on one side. */
export const BECAUSE_SAME = 3;
/** From the other orders between the four pieces at sides `first` and `second`. */
export const BECAUSE_TACOS = 4;
/** Clause number `first` that the search has learned. */
export const BECAUSE_LEARNED = 5;

/** What is known of the orders so far, and why; changed in place, undone from the end. */
export interface Orders {
  /** Bit b of row a: piece b lies above piece a. */
  readonly above: BitRows;
  readonly below: BitRows;
  /** Bit b of row a: the pieces overlap and their order is not known. */
  readonly open: BitRows;
  /** Bit w of row a: word w of row a in `open` is not zero. */
  readonly openWords: BitRows;
  /** Known orders in the order they were found: lower[i] lies below upper[i]. */
  readonly lower: Int32Array;
  readonly upper: Int32Array;
  length: number;
  /** Orders before this place have been followed up. */
  followed: number;
  /** By pair: place in the list above, depth of choices, reason. */
  readonly place: Int32Array;
  readonly depth: Int32Array;
  readonly because: Uint8Array;
  readonly first: Int32Array;
  readonly second: Int32Array;
  /** Places in the list at which each choice begins. */
  readonly choices: number[];
  /** Set where two orders contradict: pieces and reason of the order that could not be noted. */
  conflict: Conflict | null;
}

export interface Conflict {
  readonly lower: number;
  readonly upper: number;
  readonly because: number;
  readonly first: number;
  readonly second: number;
}

export function noOrders({ pieces, pairs }: LayerProblem): Orders {
  const { words, data } = pairs.overlap;
  const openWords = makeBitRows(pieces.count, words);
  for (let i = 0; i < data.length; i++) if (data[i] !== 0) setBit(openWords, Math.floor(i / words), i % words);
  return {
    above: makeBitRows(pieces.count, pieces.count),
    below: makeBitRows(pieces.count, pieces.count),
    open: { words, data: data.slice() },
    openWords,
    lower: new Int32Array(pairs.count),
    upper: new Int32Array(pairs.count),
    length: 0,
    followed: 0,
    place: new Int32Array(pairs.count).fill(-1),
    depth: new Int32Array(pairs.count),
    because: new Uint8Array(pairs.count),
    first: new Int32Array(pairs.count),
    second: new Int32Array(pairs.count),
    choices: [],
    conflict: null,
  };
}

/** Notes that piece `lower` lies below `upper`, unless known; false where the opposite is known. */
export function note(
  problem: LayerProblem,
  orders: Orders,
  lower: number,
  upper: number,
  because: number,
  first: number,
  second: number,
): boolean {
  if (hasBit(orders.above, lower, upper)) return true;
  if (!hasBit(problem.pairs.overlap, lower, upper)) return true;
  if (hasBit(orders.below, lower, upper)) {
    orders.conflict = { lower, upper, because, first, second };
    return false;
  }
  const pair = problem.pairs.of(lower, upper);
  setBit(orders.above, lower, upper);
  setBit(orders.below, upper, lower);
  closeBit(orders, lower, upper);
  closeBit(orders, upper, lower);
  orders.lower[orders.length] = lower;
  orders.upper[orders.length] = upper;
  orders.place[pair] = orders.length++;
  orders.depth[pair] = orders.choices.length;
  orders.because[pair] = because;
  orders.first[pair] = first;
  orders.second[pair] = second;
  return true;
}

/** Chooses an order freely; everything noted from now on hangs on it. */
export function choose(problem: LayerProblem, orders: Orders, lower: number, upper: number): void {
  orders.choices.push(orders.length);
  note(problem, orders, lower, upper, BECAUSE_CHOSEN, 0, 0);
}

/** Takes back all choices but the first `keep`. */
export function takeBack(problem: LayerProblem, orders: Orders, keep: number): void {
  orders.conflict = null;
  if (orders.choices.length <= keep) return;
  const start = orders.choices[keep];
  orders.choices.length = keep;
  for (let i = start; i < orders.length; i++) {
    const [lower, upper] = [orders.lower[i], orders.upper[i]];
    clearBit(orders.above, lower, upper);
    clearBit(orders.below, upper, lower);
    openBit(orders, lower, upper);
    openBit(orders, upper, lower);
    orders.place[problem.pairs.of(lower, upper)] = -1;
  }
  orders.length = start;
  orders.followed = Math.min(orders.followed, start);
}

function closeBit({ open, openWords }: Orders, a: number, b: number): void {
  clearBit(open, a, b);
  if (open.data[a * open.words + (b >>> 5)] === 0) clearBit(openWords, a, b >>> 5);
}

function openBit({ open, openWords }: Orders, a: number, b: number): void {
  setBit(open, a, b);
  setBit(openWords, a, b >>> 5);
}
