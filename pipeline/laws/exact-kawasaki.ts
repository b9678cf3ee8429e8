import type { Exact, ExactPoint } from '../types.ts';

/** a + b·√root over the integers, as used for one coordinate of a direction. */
interface Direction {
  /** x = x0 + x1·√root, y = y0 + y1·√root, without a common integer factor. */
  readonly x0: number;
  readonly x1: number;
  readonly y0: number;
  readonly y1: number;
}

/**
 * Whether alternate sectors sum to half a turn EXACTLY.
 *
 * With directions u₀, u₁, … as complex numbers, the product of u₁·conj(u₀)·u₃·conj(u₂)… must be a negative real number.
 * Its imaginary part is an integer of Z[√root], hence zero or not too small: where the floating error is below that
 * bound the floating value decides, and only else is the product worked out in whole numbers.
 *
 * @param centre the vertex
 * @param ends other ends of its creases, counterclockwise
 * @param deviationRad floating value of the alternate sum less half a turn
 * @param errorRad how far rounding may have moved that value
 * @returns null where the coordinates mix √2 with √3 or are too large, so that nothing exact can be said
 */
export function kawasakiExactly(
  centre: ExactPoint,
  ends: readonly ExactPoint[],
  deviationRad: number,
  errorRad: number,
): boolean | null {
  if (Math.abs(deviationRad) > errorRad) return false;
  const root = rootOf([centre, ...ends]);
  if (root === null) return null;
  const directions: Direction[] = [];
  for (const end of ends) {
    const towards = direction(centre, end);
    if (towards === null) return null;
    directions.push(towards);
  }
  const sqrt = Math.sqrt(root);
  let size = 1;
  for (const { x0, x1, y0, y1 } of directions) {
    size *= Math.hypot(x0 + x1 * sqrt, y0 + y1 * sqrt);
    if (x1 !== 0 || y1 !== 0) size *= Math.hypot(x0 - x1 * sqrt, y0 - y1 * sqrt);
    else if (root !== 1) size *= Math.hypot(x0, y0);
  }
  const leastNonZero = 1 / size;
  if (leastNonZero > 2 * errorRad) return true;
  return productIsNegativeReal(directions, BigInt(root));
}

function rootOf(points: readonly ExactPoint[]): number | null {
  let root = 1;
  for (const point of points)
    for (const value of point) {
      if (value.r === 0) continue;
      if (root !== 1 && root !== value.root) return null;
      root = value.root;
    }
  return root;
}

function direction(from: ExactPoint, to: ExactPoint): Direction | null {
  const [x0, x1, xq] = difference(to[0], from[0]);
  const [y0, y1, yq] = difference(to[1], from[1]);
  const shared = greatestCommonDivisor(xq, yq);
  const parts = [x0 * (yq / shared), x1 * (yq / shared), y0 * (xq / shared), y1 * (xq / shared)];
  if (!parts.every(Number.isSafeInteger)) return null;
  const common = parts.reduce(greatestCommonDivisor, 0) || 1;
  return { x0: parts[0] / common, x1: parts[1] / common, y0: parts[2] / common, y1: parts[3] / common };
}

function difference(a: Exact, b: Exact): [p: number, r: number, q: number] {
  const shared = greatestCommonDivisor(a.q, b.q);
  const [byA, byB] = [b.q / shared, a.q / shared];
  return [a.p * byA - b.p * byB, a.r * byA - b.r * byB, a.q * byA];
}

function greatestCommonDivisor(a: number, b: number): number {
  let x = Math.abs(a);
  let y = Math.abs(b);
  while (y !== 0) [x, y] = [y, x % y];
  return x;
}

function productIsNegativeReal(directions: readonly Direction[], root: bigint): boolean {
  // Re = re0 + re1·√root, Im = im0 + im1·√root.
  let [re0, re1, im0, im1] = [1n, 0n, 0n, 0n];
  directions.forEach(({ x0, x1, y0, y1 }, i) => {
    const sign = i % 2 === 0 ? -1n : 1n;
    const [a0, a1, b0, b1] = [BigInt(x0), BigInt(x1), sign * BigInt(y0), sign * BigInt(y1)];
    [re0, re1, im0, im1] = [
      re0 * a0 - im0 * b0 + root * (re1 * a1 - im1 * b1),
      re0 * a1 + re1 * a0 - im0 * b1 - im1 * b0,
      re0 * b0 + im0 * a0 + root * (re1 * b1 + im1 * a1),
      re0 * b1 + re1 * b0 + im0 * a1 + im1 * a0,
    ];
  });
  return im0 === 0n && im1 === 0n;
}
