import { hasBit } from './bits.ts';
import { choose, type Orders, takeBack } from './orders.ts';
import { chooseState } from './states.ts';
import type { FoldedSheet } from './verdict.ts';

/** How many states can be asked for by number: those of groups counted in full; other groups keep the state found. */
export function selectableStates({ groups }: FoldedSheet): bigint {
  return groups.reduce((product, { states }) => (states?.complete ? product * states.count : product), 1n);
}

/**
 * The same folded sheet in another layer order. The given sheet is not changed.
 *
 * @param index from 0, below `selectableStates`
 * @throws RangeError where there is no such state
 */
export function foldedState(sheet: FoldedSheet, index: bigint): FoldedSheet {
  if (index < 0n || index >= selectableStates(sheet)) throw new RangeError('there is no state of this number');
  const { problem, groups } = sheet;
  const orders = copyOrders(sheet.orders);
  const kept: [number, number][] = [];
  const counted: number[] = [];
  for (const { pairs, states } of groups) {
    if (states?.complete) {
      for (const pair of pairs) counted.push(pair);
      continue;
    }
    for (const pair of pairs) {
      const [low, high] = [problem.pairs.low[pair], problem.pairs.high[pair]];
      kept.push(hasBit(orders.above, low, high) ? [low, high] : [high, low]);
    }
  }
  takeBack(problem, orders, 0);
  chooseState(problem, orders, counted, index);
  for (const [lower, upper] of kept) choose(problem, orders, lower, upper);
  return { ...sheet, orders };
}

function copyOrders(orders: Orders): Orders {
  return {
    ...orders,
    above: { ...orders.above, data: orders.above.data.slice() },
    below: { ...orders.below, data: orders.below.data.slice() },
    open: { ...orders.open, data: orders.open.data.slice() },
    openWords: { ...orders.openWords, data: orders.openWords.data.slice() },
    lower: orders.lower.slice(),
    upper: orders.upper.slice(),
    place: orders.place.slice(),
    depth: orders.depth.slice(),
    because: orders.because.slice(),
    first: orders.first.slice(),
    second: orders.second.slice(),
    choices: orders.choices.slice(),
  };
}
