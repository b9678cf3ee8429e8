import Flatbush from 'flatbush';
import type { Carrier } from './carriers.ts';
import { crossingOf, type Node } from './nodes.ts';
import type { Piece } from './stroke-graph.ts';

/**
 * The nodes, and a new one in every place where two pieces cross without a node in common: one of them was not seen up to there and reaches over it all the
 * same, by what was seen of it elsewhere. Crossings within `radius` of a node are that node's.
 */
export function withUnmet(
  nodes: readonly Node[],
  pieces: readonly Piece[],
  carriers: readonly Carrier[],
  radius: number,
): Node[] {
  const out = [...nodes];
  if (pieces.length === 0) return out;
  const boxes = new Flatbush(pieces.length);
  const boxOf = ({ from, to }: Piece): [number, number, number, number] => {
    const [a, b] = [nodes[from], nodes[to]];
    return [Math.min(a.x, b.x), Math.min(a.y, b.y), Math.max(a.x, b.x), Math.max(a.y, b.y)];
  };
  for (const p of pieces) boxes.add(...boxOf(p));
  boxes.finish();
  const passes = (p: Piece, { x, y }: { x: number; y: number }): boolean => {
    const { dx, dy } = carriers[p.carrier];
    const t = dx * x + dy * y;
    return t > p.t0 + radius && t < p.t1 - radius;
  };
  pieces.forEach((p, i) => {
    for (const j of boxes.search(...boxOf(p), (k) => k > i && pieces[k].carrier !== p.carrier)) {
      const q = pieces[j];
      const place = crossingOf(carriers[p.carrier], carriers[q.carrier]);
      if (!place || !passes(p, place) || !passes(q, place)) continue;
      const { x, y } = place;
      const at = out.findIndex((n) => Math.hypot(n.x - x, n.y - y) < radius);
      const met = [p.carrier, q.carrier];
      if (at < 0) out.push({ x, y, carriers: met, fixed: false });
      else out[at] = { ...out[at], carriers: [...new Set([...out[at].carriers, ...met])] };
    }
  });
  return out;
}
