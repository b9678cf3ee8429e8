import { splitOpen } from './components.ts';
import { followUp } from './follow.ts';
import { choose, type Orders, takeBack } from './orders.ts';
import type { LayerProblem } from './problem.ts';

/** A number of states; where the count was cut short, at least so many. */
export interface StateCount {
  readonly count: bigint;
  readonly complete: boolean;
}

/**
 * Counts the ways to order the open ones among some pairs. They fall into groups that nothing links, whose counts multiply;
 * within a group both orders of one pair are tried, and so on. Leaves the orders as they were.
 *
 * @param stop asked before every choice; true cuts the count short
 */
export function countStates(
  problem: LayerProblem,
  orders: Orders,
  pairs: readonly number[],
  stop: () => boolean,
): StateCount {
  let count = 1n;
  let complete = true;
  for (const group of openGroups(problem, orders, pairs)) {
    const part = countGroup(problem, orders, group, stop);
    count *= part.count;
    complete &&= part.complete;
    if (count === 0n) break;
  }
  return { count, complete };
}

/**
 * Chooses the orders of state number `index` of those that `countStates` counts, and leaves them standing.
 *
 * @param index from 0, below the count
 */
export function chooseState(problem: LayerProblem, orders: Orders, pairs: readonly number[], index: bigint): void {
  let rest = index;
  for (const group of openGroups(problem, orders, pairs)) {
    const { count } = countGroup(problem, orders, group, neverStop);
    chooseWithin(problem, orders, group, rest % count);
    rest /= count;
  }
}

const neverStop = (): boolean => false;
const noMore = (): boolean => true;

function openGroups(problem: LayerProblem, orders: Orders, pairs: readonly number[]): number[][] {
  return splitOpen(
    problem,
    orders,
    pairs.filter((pair) => orders.place[pair] < 0),
  );
}

function countGroup(problem: LayerProblem, orders: Orders, group: readonly number[], stop: () => boolean): StateCount {
  let count = 0n;
  let complete = true;
  for (const lowFirst of [true, false]) {
    if (stop()) return { count, complete: false };
    const keep = orders.choices.length;
    if (chooseFirst(problem, orders, group, lowFirst)) {
      const part = countStates(problem, orders, group, stop);
      count += part.count;
      complete &&= part.complete;
    }
    takeBack(problem, orders, keep);
  }
  return { count, complete };
}

function chooseWithin(problem: LayerProblem, orders: Orders, group: readonly number[], index: bigint): void {
  let rest = index;
  for (const lowFirst of [true, false]) {
    const keep = orders.choices.length;
    if (chooseFirst(problem, orders, group, lowFirst)) {
      const { count } = countStates(problem, orders, group, neverStop);
      if (rest < count) {
        chooseState(problem, orders, group, rest);
        return;
      }
      rest -= count;
    }
    takeBack(problem, orders, keep);
  }
  throw new RangeError('there is no state of this number');
}

/** Orders the first pair of a group one way and follows up; false on a contradiction. */
function chooseFirst(problem: LayerProblem, orders: Orders, group: readonly number[], lowFirst: boolean): boolean {
  const [low, high] = [problem.pairs.low[group[0]], problem.pairs.high[group[0]]];
  choose(problem, orders, lowFirst ? low : high, lowFirst ? high : low);
  return followUp(problem, orders, noMore);
}
