/** Whether a drawing is print or a hand's, told by how its strokes run beside their lines. */
import { weightedMedian } from '../geometry/weighted-median.ts';

/** What a carrier tells about its strokes; see Carrier. */
interface Drawn {
  readonly grid: unknown;
  readonly residual: number;
  readonly seen: Uint8Array;
}

/** How far centre lines usually run beside free carriers, root mean square, pattern units: little in print, more by hand. */
export function unsteadiness(carriers: readonly Drawn[]): number {
  const residuals = carriers.flatMap((c) => (c.grid ? [] : [{ value: c.residual, weight: lengthSeen(c) }]));
  return residuals.length > 0 ? weightedMedian(residuals) : 0;
}

/** A hand drew where more than this share of the pieces go on in another with a slight turn; vertices of print reach 0.3. */
export const TURN_OFTEN = 0.3;
/** Centre lines in print lie within 0.2 px of their lines, those by hand beyond 0.6 (measured on drawn and foreign pictures). */
const PRINT_PX = 0.35;

/** Whether free lines waver as a hand's do, by their unsteadiness. */
export function isByHand(unsteady: number, px: number): boolean {
  return unsteady > PRINT_PX * px;
}

function lengthSeen({ seen }: Drawn): number {
  let sum = 0;
  for (const bin of seen) sum += bin;
  return sum;
}
