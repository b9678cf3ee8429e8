import type { Carrier } from './carriers.ts';
import type { Node, Stretch } from './nodes.ts';
import type { Piece } from './stroke-graph.ts';

/**
 * The nodes without those that a single line runs through, because all others that would cross there end before, in a node nearer to where they were seen last.
 * Left in, such a node beside a line parts it, and two of them at one height of it leave a hole. Corners stay, and so do nodes in which the line itself may
 * end: less than `radius` inside its run.
 */
export function withoutPassed(
  nodes: readonly Node[],
  pieces: readonly Pick<Piece, 'from' | 'to' | 'carrier'>[],
  carriers: readonly Carrier[],
  runs: readonly (readonly Stretch[])[],
  radius: number,
): Node[] {
  const drawn = nodes.map(() => new Set<number>());
  for (const { from, to, carrier } of pieces) for (const n of [from, to]) drawn[n].add(carrier);
  const placeOn = (c: number, { x, y }: Node): number => carriers[c].dx * x + carriers[c].dy * y;
  const on: Node[][] = carriers.map(() => []);
  for (const node of nodes) for (const c of node.carriers) on[c].push(node);
  return nodes.filter((node, n) => {
    if (node.fixed || drawn[n].size !== 1) return true;
    const [own] = drawn[n];
    const t = placeOn(own, node);
    const runsThrough = runs[own].some((run) => t > run.from + radius && t < run.to - radius);
    return !runsThrough || !node.carriers.every((c) => c === own || endsBefore(placeOn(c, node), c));
  });

  /** Whether t lies off all runs of the carrier, and the end of the nearest is nearer to another node. */
  function endsBefore(t: number, c: number): boolean {
    let end = Number.NaN;
    let off = Infinity;
    for (const run of runs[c]) {
      const miss = Math.max(run.from - t, t - run.to);
      if (miss >= off) continue;
      off = miss;
      end = t < run.from ? run.from : run.to;
    }
    return off > 0 && on[c].some((other) => Math.abs(placeOn(c, other) - end) < off);
  }
}
