/** Pairs by falling weight; each stands in the heap once at most. */
export interface PairHeap {
  readonly push: (pair: number) => void;
  /** The heaviest pair, taken out; -1 where none is left. */
  readonly pop: () => number;
  /** Restores the order after the weight of a pair has grown. */
  readonly rise: (pair: number) => void;
}

/** Not in the heap at present; never to be in it. */
const OUT = -1;
const STRANGER = -2;

/**
 * Binary heap over some of the pairs; others are ignored.
 *
 * @param weight by pair; may grow while the heap is in use, each growth told by `rise`
 */
export function makeHeap(members: ArrayLike<number>, weight: Float64Array): PairHeap {
  const order = Int32Array.from(members);
  const place = new Int32Array(weight.length).fill(STRANGER);
  let size = order.length;
  const up = (from: number): void => {
    let i = from;
    const pair = order[i];
    while (i > 0) {
      const parent = (i - 1) >> 1;
      if (weight[order[parent]] >= weight[pair]) break;
      order[i] = order[parent];
      place[order[i]] = i;
      i = parent;
    }
    order[i] = pair;
    place[pair] = i;
  };
  const down = (from: number): void => {
    let i = from;
    const pair = order[i];
    for (;;) {
      let child = 2 * i + 1;
      if (child >= size) break;
      if (child + 1 < size && weight[order[child + 1]] > weight[order[child]]) child++;
      if (weight[order[child]] <= weight[pair]) break;
      order[i] = order[child];
      place[order[i]] = i;
      i = child;
    }
    order[i] = pair;
    place[pair] = i;
  };
  for (let i = 0; i < size; i++) place[order[i]] = i;
  for (let i = (size >> 1) - 1; i >= 0; i--) down(i);
  return {
    push: (pair) => {
      if (place[pair] !== OUT) return;
      order[size++] = pair;
      up(size - 1);
    },
    pop: () => {
      if (size === 0) return -1;
      const top = order[0];
      size--;
      if (size > 0) {
        order[0] = order[size];
        down(0);
      }
      place[top] = OUT;
      return top;
    },
    rise: (pair) => {
      if (place[pair] >= 0) up(place[pair]);
    },
  };
}
