/** Folding a sheet by many proposed steps until it has about as many creases as wanted. */

import { toNumber } from '../../pipeline/geometry/exact.ts';
import type { Exact, ExactPoint, PatternPoint } from '../../pipeline/types.ts';
import { foldPaper } from './fold.ts';
import type { FoldLine } from './fold-line.ts';
import { newPaper, type Paper } from './paper.ts';
import type { Random } from './random.ts';
import { wellSpaced } from './spacing.ts';

export interface Step {
  readonly line: FoldLine;
  readonly way: 'over' | 'under';
  /** Faces from the top (or bottom) that should go; more go where the paper forces it. */
  readonly reach: number;
}

/** Reach of a fold through all layers. */
export const ALL_LAYERS = Number.MAX_SAFE_INTEGER;
/** Proposals in a row that may fail before the sheet is called done. */
const FAILURES = 60;
/** Fresh sheets tried for one target, and the share of it that is good enough. */
const SHEETS = 4;
const GOOD_SHARE = 0.7;

export interface Limits {
  /** Creases wanted; the sheet is done at or above it. */
  readonly target: number;
  /** Smallest distance between vertices, sheet units. */
  readonly spacing: number;
}

export type Propose = (paper: Paper) => readonly Step[];

function foldOneSheet(start: Paper, random: Random, limits: Limits, propose: Propose): Paper {
  const most = limits.target * 1.35 + 16;
  let paper = start;
  for (let failed = 0; failed < FAILURES && paper.edges.size < limits.target; ) {
    let next: Paper | null = paper;
    for (const step of propose(paper)) {
      next = next && foldPaper(next, step.line, step);
      if (next && (next.edges.size > most || !wellSpaced(next.points, limits.spacing, paper.points.length)))
        next = null;
    }
    if (next && next.edges.size > paper.edges.size) {
      paper = next;
      failed = random.int(0, 2);
    } else failed++;
  }
  return paper;
}

/**
 * Folds by proposed steps until the target is met or nothing more fits; of a few sheets, each with a taste of its own,
 * the one nearest to the target is kept. A proposal is taken whole or not at all.
 *
 * @param taste makes the proposer of one sheet
 */
export function foldMany(start: Paper, random: Random, limits: Limits, taste: () => Propose): Paper {
  let best = start;
  for (let n = 0; n < SHEETS && best.edges.size < GOOD_SHARE * limits.target; n++) {
    const paper = foldOneSheet(start, random, limits, taste());
    if (paper.edges.size > best.edges.size) best = paper;
  }
  return best;
}

/** Spread evenly on a log scale: small models to dense ones. */
export function randomTarget(random: Random, from: number, to: number): number {
  return Math.round(from * (to / from) ** random.next());
}

/** A flat sheet with exact corners, counterclockwise. */
export function sheetOf(corners: readonly ExactPoint[]): Paper {
  return newPaper(
    corners.map(([x, y]): PatternPoint => [toNumber(x), toNumber(y)]),
    corners,
  );
}

export function rectangle(width: Exact, height: Exact): ExactPoint[] {
  const zero: Exact = { p: 0, r: 0, q: 1, root: 2 };
  return [
    [zero, zero],
    [width, zero],
    [width, height],
    [zero, height],
  ];
}
