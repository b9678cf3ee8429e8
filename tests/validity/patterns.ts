/** Small patterns for tests of folding, made by code. */
import type { Crease, Exact, ExactPoint, Kind, Pattern, PatternPoint } from '../../pipeline/types.ts';

const fraction = (p: number, q: number): Exact => {
  const gcd = (a: number, b: number): number => (b === 0 ? a : gcd(b, a % b));
  const g = gcd(Math.abs(p), q) || 1;
  return { p: p / g, r: 0, q: q / g, root: 2 };
};

/** A map of equal squares, `columns` by `rows`, all folds of one letter. Creases: see `mapPattern`. */
export function mapOf(columns: number, rows: number, letter: Kind): Pattern {
  return mapPattern(columns, rows, () => letter);
}

/**
 * A map of equal squares with a letter for each fold.
 *
 * @param letterOf along x: the fold between squares (i, j) and (i, j + 1), else between (i, j) and (i + 1, j)
 */
export function mapPattern(
  columns: number,
  rows: number,
  letterOf: (alongX: boolean, i: number, j: number) => Kind,
): Pattern {
  const side = Math.max(columns, rows);
  const points: [number, number][] = [];
  for (let j = 0; j <= rows; j++) for (let i = 0; i <= columns; i++) points.push([i, j]);
  const at = (i: number, j: number): number => j * (columns + 1) + i;
  const creases: Crease[] = [];
  for (let j = 0; j <= rows; j++)
    for (let i = 0; i < columns; i++)
      creases.push({ from: at(i, j), to: at(i + 1, j), kind: j % rows === 0 ? 'B' : letterOf(true, i, j - 1) });
  for (let i = 0; i <= columns; i++)
    for (let j = 0; j < rows; j++)
      creases.push({ from: at(i, j), to: at(i, j + 1), kind: i % columns === 0 ? 'B' : letterOf(false, i - 1, j) });
  return {
    vertices: points.map(([x, y]): PatternPoint => [x / side, y / side]),
    exact: points.map(([x, y]): ExactPoint => [fraction(x, side), fraction(y, side)]),
    creases,
    lattice: null,
  };
}

/** A polygon with one vertex inside and creases from it to the corners, in the given directions (degrees). */
export function starOf(directions: readonly number[], letters: string): Pattern {
  const corners = directions.map((d): PatternPoint => {
    const angle = (d * Math.PI) / 180;
    return [0.5 + 0.5 * Math.cos(angle), 0.5 + 0.5 * Math.sin(angle)];
  });
  const n = corners.length;
  const vertices: PatternPoint[] = [[0.5, 0.5], ...corners];
  const rays = corners.map((_, i): Crease => ({ from: 0, to: i + 1, kind: letters[i] as Kind }));
  const ring = corners.map((_, i): Crease => ({ from: i + 1, to: ((i + 1) % n) + 1, kind: 'B' }));
  return { vertices, exact: vertices.map(() => null), creases: [...rays, ...ring], lattice: null };
}

export function swapKinds(pattern: Pattern): Pattern {
  const swapped: Partial<Record<Kind, Kind>> = { M: 'V', V: 'M' };
  return { ...pattern, creases: pattern.creases.map((c) => ({ ...c, kind: swapped[c.kind] ?? c.kind })) };
}

export function withKinds(pattern: Pattern, kindOf: (kind: Kind, crease: number) => Kind): Pattern {
  return { ...pattern, creases: pattern.creases.map((c, i) => ({ ...c, kind: kindOf(c.kind, i) })) };
}

/** The pattern's points sent through a map of the plane; exact coordinates are given up. */
export function movedBy(pattern: Pattern, move: (p: PatternPoint) => PatternPoint): Pattern {
  return { ...pattern, vertices: pattern.vertices.map(move), exact: pattern.vertices.map(() => null), lattice: null };
}
