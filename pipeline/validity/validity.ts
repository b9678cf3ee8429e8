/** Does the whole sheet fold flat? Laws at each vertex, closed edge, folded position, layer order. */
import type { Pattern } from '../types.ts';
import { decideFoldability } from './decide.ts';
import { findRepairs } from './repair.ts';
import type { Verdict } from './verdict.ts';

export type { FoldedSheet, Repair, SolvedKind, Undecided, Verdict } from './verdict.ts';

export interface CheckFoldabilityOptions {
  /** Milliseconds until an undecided layer order is given up; default 20,000. Raising it decides more patterns. */
  readonly timeLimitMs?: number;
  /** Milliseconds spent on counting the states of a pattern that folds; default a tenth of the time limit. 0: no count. */
  readonly countLimitMs?: number;
  /** Whether repairs are tried where laws are broken; default true. */
  readonly repairs?: boolean;
}

const TIME_LIMIT_MS = 20_000;
const COUNT_SHARE = 0.1;

/**
 * Decides whether a pattern folds flat: planar graph, one closed edge, the laws at every vertex, loops that close, and a layer
 * order in which the paper does not pass through itself. Deciding is NP-hard (Bern & Hayes 1996), so there is a time limit
 * and an honest "undecided".
 *
 * Undecided creases (U) are folded either way; guides (F) are not folded; cuts (C) are edges.
 *
 * @throws PlicaError 'bad-input' for coordinates or indices that make no pattern
 * @example checkFoldability(pattern).verdict // 'folds'
 */
export function checkFoldability(pattern: Pattern, options: CheckFoldabilityOptions = {}): Verdict {
  const { timeLimitMs = TIME_LIMIT_MS, countLimitMs = timeLimitMs * COUNT_SHARE, repairs = true } = options;
  const verdict = decideFoldability(pattern, { timeLimitMs, countLimitMs });
  if (!repairs || verdict.verdict !== 'does-not') return verdict;
  return { ...verdict, repairs: findRepairs(pattern, verdict.broken, timeLimitMs) };
}
