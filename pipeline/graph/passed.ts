import type { Carrier } from './carriers.ts';
import type { Piece } from './graph.ts';
import type { Node, Stretch } from './nodes.ts';

/**
 * The nodes without those that a single line runs through: the lines that would cross there, led on, have no piece to them and end elsewhere. Left in, such a
 * node beside a line parts it, and two of them at one height of it leave a hole. Corners stay, and so do nodes in which the line itself may end: less than
 * `radius` inside its run.
 */
export function withoutPassed(
  nodes: readonly Node[],
  pieces: readonly Piece[],
  carriers: readonly Carrier[],
  runs: readonly (readonly Stretch[])[],
  radius: number,
): Node[] {
  const drawn = nodes.map(() => new Set<number>());
  for (const { from, to, carrier } of pieces) for (const n of [from, to]) drawn[n].add(carrier);
  return nodes.filter(({ x, y, fixed }, n) => {
    if (fixed || drawn[n].size !== 1) return true;
    const [own] = drawn[n];
    const { dx, dy } = carriers[own];
    const t = dx * x + dy * y;
    return !runs[own].some((run) => t > run.from + radius && t < run.to - radius);
  });
}
