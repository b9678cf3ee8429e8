/**
 * Two folds a|a' and b|b' on one spot, opening to one side: a taco inside, above or below the other, never interleaved.
 * The six orders between the four layers are written as one number in base 3 (0 open, 1 the first named is below, 2 above):
 * a:a' + 3·(b:b') + 9·(a:b) + 27·(a:b') + 81·(a':b) + 243·(a':b').
 */
export const TACO_ORDERS = 6;
const STATES = 3 ** TACO_ORDERS;

/** States that no stack of the four layers completes. */
export const tacoBroken = new Uint8Array(STATES);
/** States that every choice for the open orders completes as well as it can: nothing is left to enforce. */
export const tacoFree = new Uint8Array(STATES);
/** Value (1, 2) that order i must take in a state, 0 where it may take both: at 6·state + i. */
export const tacoForced = new Uint8Array(STATES * TACO_ORDERS);

/** 1 where a state is broken or forces something. */
export const tacoActs = new Uint8Array(STATES);

const PLACES = [1, 3, 9, 27, 81, 243];
/** Layers named by each order; a, a', b, b' are 0..3. */
const NAMED = [
  [0, 1],
  [2, 3],
  [0, 2],
  [0, 3],
  [1, 2],
  [1, 3],
] as const;

/** The six pairs of the layers a, a', b, b', in the order in which a state numbers them. */
export function tacoPairs(layers: readonly [number, number, number, number]): (readonly [number, number])[] {
  return NAMED.map(([p, q]) => [layers[p], layers[q]]);
}

function soundStacks(): number[][] {
  const stacks: number[][] = [];
  const orders = (done: readonly number[]): void => {
    if (done.length === 4) {
      // Level of each layer; interleaved where exactly one of b, b' lies between a and a'.
      const level = [0, 1, 2, 3].map((layer) => done.indexOf(layer));
      const [low, high] = [Math.min(level[0], level[1]), Math.max(level[0], level[1])];
      const between = [2, 3].filter((layer) => level[layer] > low && level[layer] < high);
      if (between.length !== 1) stacks.push(NAMED.map(([p, q]) => (level[p] < level[q] ? 1 : 2)));
      return;
    }
    for (let layer = 0; layer < 4; layer++) if (!done.includes(layer)) orders([...done, layer]);
  };
  orders([]);
  return stacks;
}

/** Whether six known orders are the orders of some stack at all; those that are not are the business of transitivity. */
function isStack(values: readonly number[]): boolean {
  const below = [0, 0, 0, 0];
  values.forEach((value, i) => {
    below[NAMED[i][value === 1 ? 1 : 0]]++;
  });
  return new Set(below).size === 4;
}

const sound = soundStacks();
for (let state = 0; state < STATES; state++) {
  const digits = PLACES.map((place) => Math.floor(state / place) % 3);
  const fitting = sound.filter((stack) => stack.every((value, i) => digits[i] === 0 || digits[i] === value));
  if (fitting.length === 0) tacoBroken[state] = 1;
  for (let i = 0; i < TACO_ORDERS; i++) {
    const values = new Set(fitting.map((stack) => stack[i]));
    if (digits[i] === 0 && values.size === 1) tacoForced[TACO_ORDERS * state + i] = [...values][0];
  }
  const acts = tacoForced.subarray(TACO_ORDERS * state, TACO_ORDERS * (state + 1)).some((value) => value !== 0);
  if (acts || tacoBroken[state]) tacoActs[state] = 1;
  const open = digits.flatMap((digit, i) => (digit === 0 ? [i] : []));
  let free = true;
  for (let choice = 0; free && choice < 2 ** open.length; choice++) {
    const full = [...digits];
    open.forEach((i, bit) => {
      full[i] = (choice >> bit) & 1 ? 2 : 1;
    });
    if (isStack(full) && !sound.some((stack) => stack.every((value, i) => value === full[i]))) free = false;
  }
  if (free) tacoFree[state] = 1;
}
