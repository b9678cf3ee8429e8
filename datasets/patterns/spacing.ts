import type { PatternPoint } from '../../pipeline/types.ts';

/** True where no two of the points lie nearer than `spacing`; only pairs with a point from `first` on are looked at. */
export function wellSpaced(points: readonly PatternPoint[], spacing: number, first = 0): boolean {
  const cells = new Map<number, PatternPoint[]>();
  const key = (x: number, y: number): number => Math.floor(x / spacing) * 100_003 + Math.floor(y / spacing);
  for (let i = 0; i < points.length; i++) {
    const [x, y] = points[i];
    for (let dx = -1; dx <= 1 && i >= first; dx++) {
      for (let dy = -1; dy <= 1; dy++) {
        for (const p of cells.get(key(x + dx * spacing, y + dy * spacing)) ?? [])
          if (Math.hypot(p[0] - x, p[1] - y) < spacing) return false;
      }
    }
    const k = key(x, y);
    const cell = cells.get(k);
    if (cell) cell.push(points[i]);
    else cells.set(k, [points[i]]);
  }
  return true;
}
