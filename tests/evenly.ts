import fc from 'fast-check';

const STEPS = 1_000_000;

/** Numbers spread evenly from `min` to `max`. (Doubles straight from the library are spread evenly over their bits: nearly all tiny.) */
export function evenly(min: number, max: number): fc.Arbitrary<number> {
  return fc.integer({ min: 0, max: STEPS }).map((k) => min + ((max - min) * k) / STEPS);
}
