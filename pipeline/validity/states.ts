import { splitOpen } from './components.ts';
import { followUp } from './follow.ts';
import { choose, type Orders, takeBack } from './orders.ts';
import type { LayerProblem } from './problem.ts';

/** A number of states; where the count was cut short, at least so many. */
export interface StateCount {
  readonly count: bigint;
  readonly complete: boolean;
}

const followFreely = (): boolean => true;

/**
 * Counts the ways to order a group of linked open pairs. Tries both orders of one pair; what is then still open falls into
 * groups again, whose counts multiply. Leaves the orders as they were.
 *
 * @param stop asked before every choice; true cuts the count short
 */
export function countStates(
  problem: LayerProblem,
  orders: Orders,
  group: readonly number[],
  stop: () => boolean,
): StateCount {
  let count = 0n;
  let complete = true;
  for (const lowFirst of [true, false]) {
    if (stop()) return { count, complete: false };
    tryOrder(problem, orders, group, lowFirst, (groups) => {
      const part = countTogether(problem, orders, groups, stop);
      count += part.count;
      complete &&= part.complete;
    });
  }
  return { count, complete };
}

function countTogether(
  problem: LayerProblem,
  orders: Orders,
  groups: readonly (readonly number[])[],
  stop: () => boolean,
): StateCount {
  let count = 1n;
  let complete = true;
  for (const group of groups) {
    const part = countStates(problem, orders, group, stop);
    count *= part.count;
    complete &&= part.complete;
    if (count === 0n) break;
  }
  return { count, complete };
}

/**
 * Chooses the orders of state number `index` among those that `countStates` counts in full, and leaves them standing.
 *
 * @param index from 0; below the product of the groups' counts
 */
export function chooseState(
  problem: LayerProblem,
  orders: Orders,
  groups: readonly (readonly number[])[],
  index: bigint,
): void {
  let rest = index;
  for (const group of groups) {
    const { count } = countStates(problem, orders, group, neverStop);
    chooseWithin(problem, orders, group, rest % count);
    rest /= count;
  }
}

const neverStop = (): boolean => false;

function chooseWithin(problem: LayerProblem, orders: Orders, group: readonly number[], index: bigint): void {
  let rest = index;
  for (const lowFirst of [true, false]) {
    let done = false;
    const keep = orders.choices.length;
    const sound = tryOrder(problem, orders, group, lowFirst, (groups) => {
      const { count } = countTogether(problem, orders, groups, neverStop);
      if (rest >= count) {
        rest -= count;
        return;
      }
      done = true;
    });
    if (!sound || !done) continue;
    // The try was taken back; it is sound, so make it for good and go on inside.
    const groups = openOrder(problem, orders, group, lowFirst);
    if (groups === null) throw new Error('a sound order turned unsound');
    chooseState(problem, orders, groups, rest);
    if (orders.choices.length <= keep) throw new Error('a chosen order was lost');
    return;
  }
  throw new Error('no such state');
}

/** Orders the first open pair one way and follows up; the groups still open, or null on a contradiction. */
function openOrder(
  problem: LayerProblem,
  orders: Orders,
  group: readonly number[],
  lowFirst: boolean,
): number[][] | null {
  const [low, high] = [problem.pairs.low[group[0]], problem.pairs.high[group[0]]];
  choose(problem, orders, lowFirst ? low : high, lowFirst ? high : low);
  if (!followUp(problem, orders, followFreely)) return null;
  const open = group.filter((pair) => orders.place[pair] < 0);
  return splitOpen(problem, orders, open);
}

/** Lets `look` see what is open after one order of the first pair, then takes everything back. */
function tryOrder(
  problem: LayerProblem,
  orders: Orders,
  group: readonly number[],
  lowFirst: boolean,
  look: (groups: number[][]) => void,
): boolean {
  const keep = orders.choices.length;
  const groups = openOrder(problem, orders, group, lowFirst);
  if (groups !== null) look(groups);
  takeBack(problem, orders, keep);
  return groups !== null;
}
