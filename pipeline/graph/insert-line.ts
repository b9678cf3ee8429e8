import type { PatternPoint } from '../types.ts';
import type { Piece, StrokeGraph } from './graph.ts';
import { straightCarrier, withCarriers } from './straight-carrier.ts';

/** Vertices this near a new line lie on it, and crossings this near a vertex are that vertex, stroke widths and px. */
const ON_WIDTHS = 0.8;
const ON_PX = 2;

/**
 * The graph with one more straight line from vertex `from` to vertex `to` or, where that is null, to a place on a side: parted at
 * the vertices on its way and at the pieces that it crosses, which are parted too. `coverage` is that of its pieces, `sides`
 * how many the sheet has.
 */
export function insertLine(
  graph: StrokeGraph,
  { from, to, end }: { readonly from: number; readonly to: number | null; readonly end: PatternPoint },
  coverage: number,
  { px, width, sides }: { readonly px: number; readonly width: number; readonly sides: number },
): StrokeGraph {
  const near = ON_WIDTHS * width + ON_PX * px;
  const vertices = [...graph.vertices];
  const pieces = [...graph.pieces];
  const [ax, ay] = vertices[from];
  const length = Math.hypot(end[0] - ax, end[1] - ay);
  const [dx, dy] = [(end[0] - ax) / length, (end[1] - ay) / length];
  const along = ([x, y]: PatternPoint): number => (x - ax) * dx + (y - ay) * dy;
  const beside = ([x, y]: PatternPoint): number => (y - ay) * dx - (x - ax) * dy;
  const isUsed = new Set(pieces.flatMap((p) => [p.from, p.to]));
  const stops = [{ vertex: from, t: 0 }];
  vertices.forEach((place, vertex) => {
    const t = along(place);
    if (vertex === from || !isUsed.has(vertex) || Math.abs(beside(place)) > near || t < near || t > length + near)
      return;
    if (vertex === to || t < length - near || to === null) stops.push({ vertex, t });
  });
  const isTaken = (t: number): boolean => stops.some((s) => Math.abs(s.t - t) < near);
  for (let i = 0, n = pieces.length; i < n; i++) {
    const piece = pieces[i];
    const [u, v] = [vertices[piece.from], vertices[piece.to]];
    const [bu, bv] = [beside(u), beside(v)];
    if (bu * bv > 0 || bu === bv) continue;
    const share = bu / (bu - bv);
    const place: PatternPoint = [u[0] + share * (v[0] - u[0]), u[1] + share * (v[1] - u[1])];
    const t = along(place);
    if (t < near || t > (to === null ? length + near : length - near) || isTaken(t)) continue;
    const vertex = vertices.push(place) - 1;
    const middle = piece.t0 + share * (piece.t1 - piece.t0);
    pieces[i] = { ...piece, to: vertex, t1: middle };
    pieces.push({ ...piece, from: vertex, t0: middle });
    stops.push({ vertex, t });
  }
  stops.sort((a, b) => a.t - b.t);
  const far = stops[stops.length - 1].t;
  const carrier = straightCarrier([ax, ay], [ax + far * dx, ay + far * dy], { from: 0, to: far }, px);
  const start = carrier.from;
  const added = stops.slice(1).map(
    (stop, i): Piece => ({
      from: stops[i].vertex,
      to: stop.vertex,
      carrier: graph.carriers.length,
      t0: start + stops[i].t,
      t1: start + stop.t,
      coverage,
      border: false,
    }),
  );
  return withCarriers(graph, [carrier], vertices, [...pieces, ...added], sides);
}
