import { hasBit } from './bits.ts';
import { addClause, type Clauses, followClauses, literal, lowerOf, upperOf } from './clauses.ts';
import { conflictingOrders, reasonsOf } from './explain.ts';
import { followUp } from './follow.ts';
import { makeHeap, type PairHeap } from './heap.ts';
import { BECAUSE_LEARNED, choose, note, type Orders, takeBack } from './orders.ts';
import type { LayerProblem } from './problem.ts';

/** Growth of a pair's weight from one conflict to the next (variable activity: Moskewicz et al. 2001). */
const WEIGHT_GROWTH = 1 / 0.95;
const WEIGHT_LIMIT = 1e100;
/** Conflicts before the first restart; later ones follow Luby's sequence. */
const RESTART = 256;
/** The clock is read every 256 choices. */
const CHECK_TIME = 255;

export type SearchEnd = 'found' | 'none' | 'out-of-time';

export interface Search {
  readonly problem: LayerProblem;
  readonly orders: Orders;
  readonly clauses: Clauses;
  /** Last known direction of each pair: 1 where the lower-numbered piece was below. */
  readonly lastWay: Uint8Array;
  readonly weight: Float64Array;
  readonly seen: Uint8Array;
  step: number;
  conflicts: number;
  /** Orders (as literals) that contradict each other without any choice; null until there are such. */
  contradiction: readonly number[] | null;
}

export function startSearch(problem: LayerProblem, orders: Orders, clauses: Clauses): Search {
  const n = problem.pairs.count;
  return {
    problem,
    orders,
    clauses,
    lastWay: new Uint8Array(n).fill(1),
    weight: nearFirst(problem),
    seen: new Uint8Array(n),
    step: 1,
    conflicts: 0,
    contradiction: null,
  };
}

/**
 * Weights from -1 to 0 by which, at first, pieces near each other on the sheet are ordered before distant ones: close
 * neighbours settle how a pleat lies, and what follows from that reaches far.
 */
function nearFirst({ pieces: { middle }, pairs }: LayerProblem): Float64Array {
  const weight = new Float64Array(pairs.count);
  for (let pair = 0; pair < pairs.count; pair++) {
    const [a, b] = [2 * pairs.low[pair], 2 * pairs.high[pair]];
    weight[pair] = -Math.hypot(middle[a] - middle[b], middle[a + 1] - middle[b + 1]) / Math.SQRT2;
  }
  return weight;
}

/**
 * Looks for orders of the given open pairs by choosing, following up, and learning a clause from every contradiction
 * (conflict-driven clause learning: Marques-Silva & Sakallah 1996), starting from what is known without choices.
 *
 * @returns 'found': all pairs are ordered, the choices still standing; 'none': a contradiction without any choice, or
 * under the assumptions (then taken back); 'out-of-time' with all choices taken back
 * @param assumed literals to be chosen first
 */
export function searchOrders(
  search: Search,
  open: ArrayLike<number>,
  outOfTime: () => boolean,
  assumed: readonly number[] = [],
): SearchEnd {
  const { problem, orders } = search;
  const heap = makeHeap(open, search.weight);
  let restartAt = search.conflicts + RESTART;
  let restarts = 0;
  let choicesMade = 0;
  for (;;) {
    if (!follow(search)) {
      search.conflicts++;
      if (!learn(search, heap)) return 'none';
      if (outOfTime()) {
        undo(search, heap, 0);
        return 'out-of-time';
      }
      continue;
    }
    if (search.conflicts >= restartAt) {
      restarts++;
      restartAt = search.conflicts + RESTART * luby(restarts);
      undo(search, heap, 0);
      continue;
    }
    if (orders.choices.length < assumed.length) {
      const lit = assumed[orders.choices.length];
      const [p, q] = [lowerOf(problem, lit), upperOf(problem, lit)];
      if (hasBit(orders.below, p, q)) {
        undo(search, heap, 0);
        return 'none';
      }
      // An assumption that is known already still counts as a choice, so that depths keep their meaning.
      choose(problem, orders, p, q);
      continue;
    }
    const pair = nextOpen(search, heap);
    if (pair < 0) return 'found';
    if ((++choicesMade & CHECK_TIME) === 0 && outOfTime()) {
      undo(search, heap, 0);
      return 'out-of-time';
    }
    const [low, high] = [problem.pairs.low[pair], problem.pairs.high[pair]];
    if (search.lastWay[pair]) choose(problem, orders, low, high);
    else choose(problem, orders, high, low);
  }
}

/** Follows up all noted orders through the folding conditions and the learned clauses. */
export function follow({ problem, orders, clauses }: Search): boolean {
  return followUp(problem, orders, (lower, upper) => followClauses(problem, orders, clauses, lower, upper));
}

/** Adds clauses before any choice, less what is known to be false; false where one of them cannot hold. */
export function addAtRoot({ problem, orders, clauses }: Search, added: readonly (readonly number[])[]): boolean {
  for (const literals of added) {
    if (literals.some((lit) => isTrue(problem, orders, lit))) continue;
    const open = literals.filter((lit) => !isTrue(problem, orders, lit ^ 1));
    if (open.length === 0) return false;
    const number = addClause(clauses, open);
    if (open.length > 1) continue;
    note(problem, orders, lowerOf(problem, open[0]), upperOf(problem, open[0]), BECAUSE_LEARNED, number, 0);
  }
  return true;
}

function isTrue(problem: LayerProblem, orders: Orders, lit: number): boolean {
  return hasBit(orders.above, lowerOf(problem, lit), upperOf(problem, lit));
}

function nextOpen({ orders }: Search, heap: PairHeap): number {
  for (let pair = heap.pop(); pair >= 0; pair = heap.pop()) if (orders.place[pair] < 0) return pair;
  return -1;
}

function undo(search: Search, heap: PairHeap, keep: number): void {
  const { problem, orders } = search;
  if (orders.choices.length <= keep) {
    orders.conflict = null;
    return;
  }
  for (let i = orders.choices[keep]; i < orders.length; i++) {
    const pair = problem.pairs.of(orders.lower[i], orders.upper[i]);
    search.lastWay[pair] = orders.lower[i] < orders.upper[i] ? 1 : 0;
    heap.push(pair);
  }
  takeBack(problem, orders, keep);
}

/**
 * Turns a contradiction into a clause (first unique implication point), goes back, and notes what the clause forces.
 * False where the contradiction needs no choice at all; its orders then stand in search.contradiction.
 */
function learn(search: Search, heap: PairHeap): boolean {
  const { problem, orders, clauses, seen } = search;
  const clause: number[] = [0];
  const touched: number[] = [];
  let open = 0;
  let pending = conflictingOrders(problem, orders, clauses, orders.conflict!);
  // A contradiction may lie wholly before the last choice; then the last one that matters is resolved.
  const deepest = Math.max(...pending.map((lit) => orders.depth[lit >> 1]));
  undo(search, heap, deepest);
  if (deepest === 0) {
    search.contradiction = pending;
    return false;
  }
  let at = orders.length - 1;
  for (;;) {
    for (const lit of pending) {
      const pair = lit >> 1;
      if (seen[pair] || orders.depth[pair] === 0) continue;
      seen[pair] = 1;
      touched.push(pair);
      raise(search, heap, pair);
      if (orders.depth[pair] === deepest) open++;
      else clause.push(lit ^ 1);
    }
    while (!seen[problem.pairs.of(orders.lower[at], orders.upper[at])]) at--;
    const lit = literal(problem, orders.lower[at], orders.upper[at]);
    at--;
    open--;
    if (open === 0) {
      clause[0] = lit ^ 1;
      break;
    }
    pending = reasonsOf(problem, orders, clauses, lit);
  }
  shorten(search, clause);
  for (const pair of touched) seen[pair] = 0;
  search.step *= WEIGHT_GROWTH;
  let back = 0;
  for (let i = 1; i < clause.length; i++)
    if (orders.depth[clause[i] >> 1] > back) {
      back = orders.depth[clause[i] >> 1];
      [clause[1], clause[i]] = [clause[i], clause[1]];
    }
  undo(search, heap, back);
  const number = addClause(clauses, clause);
  note(problem, orders, lowerOf(problem, clause[0]), upperOf(problem, clause[0]), BECAUSE_LEARNED, number, 0);
  return true;
}

/** Drops literals that follow from the rest of the clause. */
function shorten({ problem, orders, clauses, seen }: Search, clause: number[]): void {
  let kept = 1;
  for (let i = 1; i < clause.length; i++) {
    const reasons = reasonsOf(problem, orders, clauses, clause[i] ^ 1);
    const follows = reasons.length > 0 && reasons.every((lit) => seen[lit >> 1] || orders.depth[lit >> 1] === 0);
    if (!follows) clause[kept++] = clause[i];
  }
  clause.length = kept;
}

function raise(search: Search, heap: PairHeap, pair: number): void {
  search.weight[pair] += search.step;
  if (search.weight[pair] > WEIGHT_LIMIT) {
    // Every weight shrinks alike, so the heap keeps its order.
    for (let i = 0; i < search.weight.length; i++) search.weight[i] /= WEIGHT_LIMIT;
    search.step /= WEIGHT_LIMIT;
  }
  heap.rise(pair);
}

/** 1, 1, 2, 1, 1, 2, 4, … (Luby, Sinclair & Zuckerman 1993), from i = 1. */
function luby(i: number): number {
  let size = 1;
  while (size < i + 1) size *= 2;
  if (size === i + 1) return size / 2;
  return luby(i - size / 2 + 1);
}
