import type { PatternPoint } from '../types.ts';
import type { Carrier } from './carriers.ts';
import type { Piece, StrokeGraph } from './graph.ts';

/** The carrier of one straight stroke from a to b, of which ink was seen between two distances from a; all in pattern units. */
export function straightCarrier(
  [ax, ay]: PatternPoint,
  [bx, by]: PatternPoint,
  inSight: { readonly from: number; readonly to: number },
  px: number,
): Carrier {
  const length = Math.hypot(bx - ax, by - ay);
  const [dx, dy] = [(bx - ax) / length, (by - ay) / length];
  const seen = new Uint8Array(Math.ceil(length / px) + 1);
  seen.fill(1, Math.round(inSight.from / px), Math.round(inSight.to / px) + 1);
  const from = dx * ax + dy * ay;
  return {
    nx: -dy,
    ny: dx,
    off: dx * ay - dy * ax,
    dx,
    dy,
    grid: null,
    from,
    to: from + length,
    seen,
    beside: new Float32Array(seen.length),
    residual: px / 2,
  };
}

/**
 * The graph with these vertices and pieces instead of its own and with more carriers, which the pieces name by the numbers after
 * those that there are; the carriers of the `sides` of the sheet stay last.
 */
export function withCarriers(
  graph: StrokeGraph,
  added: readonly Carrier[],
  vertices: readonly PatternPoint[],
  pieces: readonly Piece[],
  sides: number,
): StrokeGraph {
  const firstSide = graph.carriers.length - sides;
  const moved = (p: Piece): Piece => {
    if (p.carrier < firstSide) return p;
    const isNew = p.carrier >= graph.carriers.length;
    return { ...p, carrier: isNew ? p.carrier - sides : p.carrier + added.length };
  };
  const degree = new Int32Array(vertices.length);
  for (const p of pieces) {
    degree[p.from]++;
    degree[p.to]++;
  }
  return {
    ...graph,
    vertices,
    carriers: [...graph.carriers.slice(0, firstSide), ...added, ...graph.carriers.slice(firstSide)],
    pieces: pieces.map(moved),
    rejected: graph.rejected.map(moved),
    dangling: graph.dangling.filter((v) => degree[v] === 1),
  };
}
