import type { Pattern } from '../types.ts';

/**
 * Creases around every vertex in counterclockwise order, as one flat table.
 * Those of vertex v stand at places start[v] .. start[v + 1] - 1.
 */
export interface Around {
  /** Length: vertices + 1. */
  readonly start: Int32Array;
  /** Crease index at each place. */
  readonly crease: Int32Array;
  /** Vertex at the crease's other end. */
  readonly far: Int32Array;
  /** Direction to the other end, radians in (-π, π], growing within a vertex. */
  readonly angle: Float64Array;
  /** Length of the crease, pattern units. */
  readonly length: Float64Array;
}

/** Sorts the creases around each vertex by direction; every crease appears twice, once at each end. */
export function creasesAround(pattern: Pattern): Around {
  const { vertices, creases } = pattern;
  const start = new Int32Array(vertices.length + 1);
  for (const { from, to } of creases) {
    start[from + 1]++;
    start[to + 1]++;
  }
  for (let v = 0; v < vertices.length; v++) start[v + 1] += start[v];
  const places = creases.length * 2;
  const crease = new Int32Array(places);
  const far = new Int32Array(places);
  const angle = new Float64Array(places);
  const length = new Float64Array(places);
  const filled = start.slice(0, vertices.length);
  const insert = (at: number, index: number, other: number, direction: number, distance: number): void => {
    // Insertion sort: vertices of a pattern have few creases.
    let place = filled[at]++;
    while (place > start[at] && angle[place - 1] > direction) {
      crease[place] = crease[place - 1];
      far[place] = far[place - 1];
      angle[place] = angle[place - 1];
      length[place] = length[place - 1];
      place--;
    }
    crease[place] = index;
    far[place] = other;
    angle[place] = direction;
    length[place] = distance;
  };
  for (let c = 0; c < creases.length; c++) {
    const { from, to } = creases[c];
    const dx = vertices[to][0] - vertices[from][0];
    const dy = vertices[to][1] - vertices[from][1];
    const distance = Math.hypot(dx, dy);
    insert(from, c, to, Math.atan2(dy, dx), distance);
    insert(to, c, from, Math.atan2(-dy, -dx), distance);
  }
  return { start, crease, far, angle, length };
}
