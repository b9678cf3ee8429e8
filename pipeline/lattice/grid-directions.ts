/** A direction of the grid: lines a x + b y = k * step. */
export interface GridDirection {
  readonly a: number;
  readonly b: number;
  readonly angle: number;
}

export const GRID_DIRECTIONS: readonly GridDirection[] = [
  { a: 0, b: 1, angle: 0 },
  { a: -1, b: 1, angle: Math.PI / 4 },
  { a: 1, b: 0, angle: Math.PI / 2 },
  { a: 1, b: 1, angle: (3 * Math.PI) / 4 },
];
