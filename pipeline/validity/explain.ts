import { type Clauses, literal, lowerOf, upperOf } from './clauses.ts';
import { tacoPieces } from './follow.ts';
import {
  BECAUSE_GIVEN,
  BECAUSE_LEARNED,
  BECAUSE_SAME,
  BECAUSE_TACOS,
  BECAUSE_TRANSITIVE,
  type Conflict,
  type Orders,
} from './orders.ts';
import type { LayerProblem } from './problem.ts';
import { TACO_ORDERS, tacoBroken, tacoForced, tacoPairs } from './taco-table.ts';

/** Orders (as literals) from which the order of a pair was drawn; none for those given or chosen. */
export function reasonsOf(problem: LayerProblem, orders: Orders, clauses: Clauses, lit: number): number[] {
  const pair = lit >> 1;
  const because = orders.because[pair];
  return reasons(
    problem,
    orders,
    clauses,
    lowerOf(problem, lit),
    upperOf(problem, lit),
    because,
    orders.first[pair],
    orders.second[pair],
    orders.place[pair],
  );
}

/** Known orders (as literals) that cannot hold together. */
export function conflictingOrders(
  problem: LayerProblem,
  orders: Orders,
  clauses: Clauses,
  conflict: Conflict,
): number[] {
  const { lower, upper, because, first, second } = conflict;
  const found = reasons(problem, orders, clauses, lower, upper, because, first, second, orders.length);
  if (lower >= 0) found.push(literal(problem, upper, lower));
  return found;
}

/** Creases given as mountain or valley from which known orders follow, found by walking back through all reasons. */
export function creasesBehind(
  problem: LayerProblem,
  orders: Orders,
  clauses: Clauses,
  literals: readonly number[],
): { creases: number[]; pieces: number[] } {
  const creases = new Set<number>();
  const pieces = new Set<number>();
  const seen = new Set<number>(literals);
  const open = [...seen];
  for (let lit = open.pop(); lit !== undefined; lit = open.pop()) {
    pieces.add(lowerOf(problem, lit)).add(upperOf(problem, lit));
    if (orders.because[lit >> 1] === BECAUSE_GIVEN) creases.add(orders.first[lit >> 1]);
    for (const reason of reasonsOf(problem, orders, clauses, lit)) {
      if (seen.has(reason)) continue;
      seen.add(reason);
      open.push(reason);
    }
  }
  return { creases: [...creases], pieces: [...pieces] };
}

function reasons(
  problem: LayerProblem,
  orders: Orders,
  clauses: Clauses,
  lower: number,
  upper: number,
  because: number,
  first: number,
  second: number,
  before: number,
): number[] {
  switch (because) {
    case BECAUSE_TRANSITIVE:
      return [literal(problem, lower, first), literal(problem, first, upper)];
    case BECAUSE_SAME:
      return [literal(problem, first, second)];
    case BECAUSE_LEARNED: {
      const own = lower >= 0 ? literal(problem, lower, upper) : -1;
      return [...clauses.list[first]].filter((lit) => lit !== own).map((lit) => lit ^ 1);
    }
    case BECAUSE_TACOS:
      return tacoReasons(problem, orders, lower, upper, first, second, before);
    default:
      return [];
  }
}

/** The fewest known orders between four layers (dropped one after the other) that still force one, or still contradict. */
function tacoReasons(
  problem: LayerProblem,
  orders: Orders,
  lower: number,
  upper: number,
  s: number,
  t: number,
  before: number,
): number[] {
  const named = tacoPairs(tacoPieces(problem, s, t));
  const digits: number[] = named.map(([p, q]) => {
    const pair = problem.pairs.of(p, q);
    if (orders.place[pair] < 0 || orders.place[pair] >= before) return 0;
    return orders.lower[orders.place[pair]] === p ? 1 : 2;
  });
  const forced = named.findIndex(([p, q]) => (p === lower && q === upper) || (p === upper && q === lower));
  const wanted = forced < 0 ? 0 : named[forced][0] === lower ? 1 : 2;
  const suffices = (): boolean => {
    const state = digits.reduce((sum, digit, i) => sum + digit * 3 ** i, 0);
    if (forced < 0) return tacoBroken[state] === 1;
    return tacoForced[TACO_ORDERS * state + forced] === wanted;
  };
  for (let i = 0; i < TACO_ORDERS; i++) {
    const digit = digits[i];
    if (digit === 0) continue;
    digits[i] = 0;
    if (!suffices()) digits[i] = digit;
  }
  return named.flatMap(([p, q], i) => {
    if (digits[i] === 0) return [];
    return [digits[i] === 1 ? literal(problem, p, q) : literal(problem, q, p)];
  });
}
