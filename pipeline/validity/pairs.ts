import { type BitRows, countOnes, lowestOne, makeBitRows, setBit } from './bits.ts';
import type { Footprints } from './footprints.ts';
import type { Overlaps } from './overlap.ts';

/** Pairs of overlapping pieces, numbered without gaps, so that what is known of a pair stands in flat arrays. */
export interface Pairs {
  readonly count: number;
  /** Bit b of row a: pieces a and b overlap. No piece overlaps itself here. */
  readonly overlap: BitRows;
  /** The two pieces of each pair, low[i] < high[i]. */
  readonly low: Int32Array;
  readonly high: Int32Array;
  /** Number of the pair, whatever the order of the two; they must overlap. */
  readonly of: (a: number, b: number) => number;
}

/** Number of overlapping pairs of pieces, before anything is stored for them. */
export function countPairs({ footprint, count }: Footprints, { at, other }: Overlaps): number {
  const members = new Float64Array(count);
  for (const k of footprint) members[k]++;
  let twice = -footprint.length;
  for (let k = 0; k < count; k++) for (let i = at[k]; i < at[k + 1]; i++) twice += members[k] * members[other[i]];
  return twice / 2;
}

export function findPairs(prints: Footprints, overlaps: Overlaps): Pairs {
  const pieces = prints.footprint.length;
  const overlap = makeBitRows(pieces, pieces);
  const members = membersOf(prints);
  for (let a = 0; a < pieces; a++) {
    const k = prints.footprint[a];
    for (let i = overlaps.at[k]; i < overlaps.at[k + 1]; i++) {
      for (const b of members[overlaps.other[i]]) if (b !== a) setBit(overlap, a, b);
    }
  }
  const { words, data } = overlap;
  // first[w]: number of the first pair whose higher piece stands in word w of the lower piece's row.
  const first = new Int32Array(data.length);
  let count = 0;
  for (let a = 0; a < pieces; a++)
    for (let w = 0; w < words; w++) {
      first[a * words + w] = count;
      count += countOnes(above(data[a * words + w], a, w));
    }
  const low = new Int32Array(count);
  const high = new Int32Array(count);
  for (let a = 0, i = 0; a < pieces; a++)
    for (let w = a >>> 5; w < words; w++)
      for (let bits = above(data[a * words + w], a, w); bits !== 0; bits &= bits - 1) {
        low[i] = a;
        high[i++] = (w << 5) + lowestOne(bits);
      }
  const of = (a: number, b: number): number => {
    const l = Math.min(a, b);
    const h = Math.max(a, b);
    const w = h >>> 5;
    const place = l * words + w;
    return first[place] + countOnes(above(data[place], l, w) & ((1 << (h & 31)) - 1));
  };
  return { count, overlap, low, high, of };
}

/** The bits of word w in row a that stand for pieces beyond a. */
function above(word: number, a: number, w: number): number {
  const own = a >>> 5;
  if (w > own) return word;
  if (w < own) return 0;
  // Shifting by 32 would shift by 0, so the own bit goes with a second step.
  return word & ((-1 << (a & 31)) << 1);
}

function membersOf({ footprint, count }: Footprints): number[][] {
  const members: number[][] = Array.from({ length: count }, () => []);
  footprint.forEach((k, p) => {
    members[k].push(p);
  });
  return members;
}
