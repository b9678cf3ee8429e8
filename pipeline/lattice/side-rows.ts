import type { BendRow } from '../geometry/bend.ts';
import type { Side } from '../geometry/sides.ts';

/** Samples a pattern unit of a side. */
const SAMPLES = 20;

/** Asks the bend to leave a side of the outline where it is: the outline is known even where no stroke shows it. */
export function sideRows({ from, to, length, nx, ny }: Side, weight = 1): BendRow[] {
  const count = Math.max(2, Math.round(length * SAMPLES));
  return Array.from({ length: count + 1 }, (_, k): BendRow => {
    const t = k / count;
    return [from[0] + (to[0] - from[0]) * t, from[1] + (to[1] - from[1]) * t, nx, ny, 0, weight];
  });
}
