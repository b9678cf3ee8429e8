import type { Crease, Kind, Pattern, PatternPoint } from '../../pipeline/types.ts';

/** A pattern from points and creases written as [from, to, kind]. */
export function patternOf(
  vertices: readonly PatternPoint[],
  creases: readonly (readonly [number, number, Kind])[],
): Pattern {
  return {
    vertices,
    exact: vertices.map(() => null),
    creases: creases.map(([from, to, kind]): Crease => ({ from, to, kind })),
    lattice: null,
  };
}

/**
 * A square with one vertex inside, all kinds present but C.
 *
 *     3───────2
 *     │ \   ⋰ │
 *     │   4   │     4 lies at (1/2, 1/2); 5 in the middle of the lower edge
 *     │ /   \ │
 *     0───5───1
 */
export const SQUARE = patternOf(
  [
    [0, 0],
    [1, 0],
    [1, 1],
    [0, 1],
    [0.5, 0.5],
    [0.5, 0],
  ],
  [
    [0, 5, 'B'],
    [5, 1, 'B'],
    [1, 2, 'B'],
    [2, 3, 'B'],
    [3, 0, 'B'],
    [0, 4, 'M'],
    [1, 4, 'V'],
    [2, 4, 'U'],
    [3, 4, 'M'],
    [4, 5, 'F'],
  ],
);

/** A grid of n by m cells, creases alternately valley and mountain, edges around: planar by construction. */
export function gridPattern(n: number, m: number): Pattern {
  const vertices: PatternPoint[] = [];
  const side = Math.max(n, m);
  for (let j = 0; j <= m; j++) for (let i = 0; i <= n; i++) vertices.push([i / side, j / side]);
  const creases: [number, number, Kind][] = [];
  const at = (i: number, j: number) => j * (n + 1) + i;
  for (let j = 0; j <= m; j++) {
    for (let i = 0; i <= n; i++) {
      if (i < n) creases.push([at(i, j), at(i + 1, j), j === 0 || j === m ? 'B' : j % 2 ? 'V' : 'M']);
      if (j < m) creases.push([at(i, j), at(i, j + 1), i === 0 || i === n ? 'B' : (i + j) % 2 ? 'V' : 'M']);
    }
  }
  return patternOf(vertices, creases);
}

/** The creases as sorted text with coordinates, so that two patterns compare whatever their numbering. */
export function creaseList({ vertices, creases }: Pattern, decimals = 6): string[] {
  return creases
    .map(({ from, to, kind }) => {
      const ends = [from, to].map((v) => vertices[v].map((c) => (c + 0).toFixed(decimals)).join(',')).sort();
      return `${ends.join(' ')} ${kind}`;
    })
    .sort();
}
