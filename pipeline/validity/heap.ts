/** Pairs by falling weight; each stands in the heap once at most. */
export interface PairHeap {
  readonly push: (pair: number) => void;
  /** The heaviest pair, taken out; -1 where none is left. */
  readonly pop: () => number;
  /** Restores the order after the weight of a pair has grown. */
  readonly rise: (pair: number) => void;
}

/**
 * Binary heap over some of the pairs; others are ignored.
 *
 * @param weight by pair; may grow while the heap is in use, each growth told by `rise`
 */
export function makeHeap(members: readonly number[], weight: Float64Array): PairHeap {
  const order = [...members];
  const place = new Map<number, number>(members.map((pair, i) => [pair, i]));
  const settle = (i: number, pair: number): void => {
    order[i] = pair;
    place.set(pair, i);
  };
  const up = (from: number): void => {
    let i = from;
    const pair = order[i];
    while (i > 0) {
      const parent = (i - 1) >> 1;
      if (weight[order[parent]] >= weight[pair]) break;
      settle(i, order[parent]);
      i = parent;
    }
    settle(i, pair);
  };
  const down = (from: number): void => {
    let i = from;
    const pair = order[i];
    for (;;) {
      let child = 2 * i + 1;
      if (child >= order.length) break;
      if (child + 1 < order.length && weight[order[child + 1]] > weight[order[child]]) child++;
      if (weight[order[child]] <= weight[pair]) break;
      settle(i, order[child]);
      i = child;
    }
    settle(i, pair);
  };
  for (let i = (order.length >> 1) - 1; i >= 0; i--) down(i);
  const OUT = -1;
  return {
    push: (pair) => {
      if (place.get(pair) !== OUT) return;
      order.push(pair);
      up(order.length - 1);
    },
    pop: () => {
      if (order.length === 0) return -1;
      const top = order[0];
      const last = order.pop()!;
      if (order.length > 0) {
        order[0] = last;
        down(0);
      }
      place.set(top, OUT);
      return top;
    },
    rise: (pair) => {
      const i = place.get(pair);
      if (i !== undefined && i !== OUT) up(i);
    },
  };
}
