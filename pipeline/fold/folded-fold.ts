import { type FoldFile, toFold } from '../formats/fold.ts';
import { startOf } from '../graph/faces.ts';
import type { Pattern } from '../types.ts';
import { hasBit } from '../validity/bits.ts';
import type { FoldedSheet } from '../validity/verdict.ts';

/** [f, g, s] of FOLD 1.2: s = 1 where face f lies on the side that g's normal points to, -1 on the other side. */
export type FaceOrder = readonly [f: number, g: number, s: 1 | -1];

/**
 * A folded sheet as a FOLD 1.2 file: the crease pattern in the key frame, the folded form in a frame of its own with
 * `faceOrders`. The folded frame names its own vertices and edges, since guides are not folded and cuts part vertices.
 *
 * @param pattern with the kinds of the state that is shown
 */
export function toFoldedFold(pattern: Pattern, sheet: FoldedSheet, title: string): FoldFile {
  return { ...toFold(pattern), file_title: title, file_frames: [foldedFrame(pattern, sheet)] };
}

function foldedFrame(pattern: Pattern, sheet: FoldedSheet): Record<string, unknown> {
  const { faces, position } = sheet;
  const coords: [number, number][] = [];
  const vertexAt = new Map<string, number>();
  const corner = new Int32Array(faces.halfEdge.length);
  for (let place = 0; place < corner.length; place++) {
    const vertex = startOf(pattern, faces.halfEdge[place]);
    // Both sides of a cut may carry the same vertex to different places.
    const key = [vertex, position.x[place].toFixed(6), position.y[place].toFixed(6)].join(' ');
    let found = vertexAt.get(key);
    if (found === undefined) {
      found = coords.push([position.x[place], position.y[place]]) - 1;
      vertexAt.set(key, found);
    }
    corner[place] = found;
  }
  const edges: number[][] = [];
  const kinds: string[] = [];
  const edgeAt = new Map<string, number>();
  const rings: number[][] = [];
  for (let f = 0; f < faces.count; f++) {
    const ring = Array.from(corner.subarray(faces.start[f], faces.start[f + 1]));
    rings.push(ring);
    ring.forEach((a, i) => {
      const b = ring[(i + 1) % ring.length];
      const key = [Math.min(a, b), Math.max(a, b)].join(' ');
      if (edgeAt.has(key)) return;
      edgeAt.set(key, edges.push([a, b]) - 1);
      kinds.push(pattern.creases[faces.halfEdge[faces.start[f] + i] >> 1].kind);
    });
  }
  return {
    frame_classes: ['foldedForm'],
    frame_attributes: ['2D'],
    frame_unit: 'unit',
    vertices_coords: coords,
    edges_vertices: edges,
    edges_assignment: kinds,
    faces_vertices: rings,
    faceOrders: faceOrders(sheet),
  };
}

/** Orders of all overlapping faces. A pair of notched faces that cross over more than once has none and is left out. */
export function faceOrders({ faces, problem, orders }: FoldedSheet): FaceOrder[] {
  const { pairs, pieces } = problem;
  const found: FaceOrder[] = [];
  for (let pair = 0; pair < pairs.count; pair++) {
    const [p, q] = [pairs.low[pair], pairs.high[pair]];
    if (pieces.face[p] === pieces.face[q]) continue;
    // The normal of a face that lies back up points down.
    const s = hasBit(orders.below, p, q) === (pieces.flipped[q] === 0) ? 1 : -1;
    found.push([pieces.face[p], pieces.face[q], s]);
  }
  return pieces.count === faces.count ? found : withoutContrary(found);
}

/** One entry a pair of faces, none for pairs whose pieces lie both ways round. */
function withoutContrary(orders: readonly FaceOrder[]): FaceOrder[] {
  const byPair = new Map<string, FaceOrder[]>();
  for (const order of orders) {
    const key = `${order[0]} ${order[1]}`;
    byPair.set(key, [...(byPair.get(key) ?? []), order]);
  }
  return [...byPair.values()].filter((all) => all.every(([, , s]) => s === all[0][2])).map(([first]) => first);
}
