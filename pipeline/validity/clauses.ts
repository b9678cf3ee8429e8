import { hasBit } from './bits.ts';
import { BECAUSE_LEARNED, note, type Orders } from './orders.ts';
import type { LayerProblem } from './problem.ts';

/** "This piece lies below that one" as one number: twice the pair's number, plus 1 where the higher-numbered piece is below. */
export function literal(problem: LayerProblem, lower: number, upper: number): number {
  return 2 * problem.pairs.of(lower, upper) + (lower < upper ? 0 : 1);
}

export function lowerOf({ pairs }: LayerProblem, lit: number): number {
  return lit & 1 ? pairs.high[lit >> 1] : pairs.low[lit >> 1];
}

export function upperOf({ pairs }: LayerProblem, lit: number): number {
  return lit & 1 ? pairs.low[lit >> 1] : pairs.high[lit >> 1];
}

/** Clauses that the search has learned: in each, at least one literal holds. The first two of each are watched. */
export interface Clauses {
  readonly list: Int32Array[];
  /** By literal: clauses that must be looked at when it turns false. */
  readonly watched: Map<number, number[]>;
}

export function noClauses(): Clauses {
  return { list: [], watched: new Map() };
}

/** Stores a clause; its first two literals become the watched ones (a single one needs no watch). Returns its number. */
export function addClause(clauses: Clauses, literals: readonly number[]): number {
  const clause = Int32Array.from(literals);
  const number = clauses.list.push(clause) - 1;
  if (clause.length > 1) for (const lit of clause.subarray(0, 2)) watch(clauses, lit, number);
  return number;
}

function watch(clauses: Clauses, lit: number, number: number): void {
  const list = clauses.watched.get(lit);
  if (list) list.push(number);
  else clauses.watched.set(lit, [number]);
}

/** Follows one new order through the clauses (two watched literals: Moskewicz et al. 2001). False on a contradiction. */
export function followClauses(
  problem: LayerProblem,
  orders: Orders,
  clauses: Clauses,
  lower: number,
  upper: number,
): boolean {
  const turnedFalse = literal(problem, lower, upper) ^ 1;
  const list = clauses.watched.get(turnedFalse);
  if (list === undefined) return true;
  let kept = 0;
  for (let i = 0; i < list.length; i++) {
    const number = list[i];
    const clause = clauses.list[number];
    if (clause[0] === turnedFalse) {
      clause[0] = clause[1];
      clause[1] = turnedFalse;
    }
    if (holds(problem, orders, clause[0])) {
      list[kept++] = number;
      continue;
    }
    let next = 2;
    while (next < clause.length && holds(problem, orders, clause[next] ^ 1)) next++;
    if (next < clause.length) {
      clause[1] = clause[next];
      clause[next] = turnedFalse;
      watch(clauses, clause[1], number);
      continue;
    }
    list[kept++] = number;
    const [p, q] = [lowerOf(problem, clause[0]), upperOf(problem, clause[0])];
    if (note(problem, orders, p, q, BECAUSE_LEARNED, number, 0)) continue;
    for (i++; i < list.length; i++) list[kept++] = list[i];
    list.length = kept;
    return false;
  }
  list.length = kept;
  return true;
}

function holds(problem: LayerProblem, orders: Orders, lit: number): boolean {
  return hasBit(orders.above, lowerOf(problem, lit), upperOf(problem, lit));
}
