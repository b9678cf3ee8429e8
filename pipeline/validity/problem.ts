import { type BitRows, makeBitRows } from './bits.ts';
import type { Footprints } from './footprints.ts';
import type { Overlaps } from './overlap.ts';
import type { Pairs } from './pairs.ts';
import type { Pieces } from './pieces.ts';

/** Everything that layer orders must respect; fixed once a pattern is folded. */
export interface LayerProblem {
  readonly pieces: Pieces;
  readonly prints: Footprints;
  readonly overlaps: Overlaps;
  readonly pairs: Pairs;
  /** Two sides on one line count as folded onto each other if they share more length than this, pattern units. */
  readonly sliver: number;
  /** By side: number of its line and of the bank that its piece lies on; -1 for sides where the paper ends. */
  readonly bankOfLine: Int32Array;
  /** By side: 1 where some piece is crossed by it. */
  readonly crosses: Uint8Array;
  /** Sides of pieces that continue beyond (mate ≥ 0), grouped by line: onLine[l] .. onLine[l + 1] - 1 of lineSides. */
  readonly onLine: Int32Array;
  readonly lineSides: Int32Array;
  /** All zero between uses: rows of bits, piece by piece. */
  readonly scratch: BitRows;
}

export function layerProblem(
  pieces: Pieces,
  prints: Footprints,
  overlaps: Overlaps,
  pairs: Pairs,
  sliver: number,
): LayerProblem {
  const onLine = new Int32Array(prints.lines + 1);
  const joined: number[] = [];
  for (let s = 0; s < pieces.mate.length; s++) if (pieces.mate[s] >= 0) joined.push(s);
  for (const s of joined) onLine[prints.line[prints.segment[s]] + 1]++;
  for (let l = 0; l < prints.lines; l++) onLine[l + 1] += onLine[l];
  const lineSides = new Int32Array(joined.length);
  const filled = onLine.slice();
  for (const s of joined) lineSides[filled[prints.line[prints.segment[s]]]++] = s;
  const bankOfLine = new Int32Array(pieces.mate.length).fill(-1);
  const crosses = new Uint8Array(pieces.mate.length);
  for (const s of joined) {
    bankOfLine[s] = 2 * prints.line[prints.segment[s]] + (prints.bank[s] > 0 ? 1 : 0);
    const { words, data } = overlaps.crossed;
    const row = prints.segment[s] * words;
    if (data.subarray(row, row + words).some((word) => word !== 0)) crosses[s] = 1;
  }
  const scratch = makeBitRows(pieces.count, pieces.count);
  return { pieces, prints, overlaps, pairs, sliver, bankOfLine, crosses, onLine, lineSides, scratch };
}

/** Whether two sides lie on each other for more than a sliver, their pieces on the same bank of the line. */
export function sidesMeet(problem: LayerProblem, s: number, t: number): boolean {
  if (problem.bankOfLine[s] !== problem.bankOfLine[t]) return false;
  const { segment, from, to } = problem.prints;
  const [i, j] = [segment[s], segment[t]];
  return i === j || Math.min(to[i], to[j]) - Math.max(from[i], from[j]) > problem.sliver;
}
