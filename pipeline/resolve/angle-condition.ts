import type { Around } from '../laws/around.ts';
import { foldsAt, kawasakiDeviation } from '../laws/vertex.ts';
import type { Pattern } from '../types.ts';
import { type Condition, HOLDS } from './estimate.ts';

/**
 * Kawasaki's condition at a vertex, to first order about where the pattern's vertices now are, as a condition on the unknowns whose values they are at. Null where
 * the law asks for nothing that can change.
 */
export function angleCondition(
  pattern: Pattern,
  around: Around,
  v: number,
  unknownOf: readonly (number | null)[],
  values: Float64Array,
): Condition | null {
  const folds = foldsAt(pattern, around, v);
  if (!folds || folds.creases.length === 0 || folds.creases.length % 2 === 1) return null;
  const factorOf = new Map<number, number>();
  const add = (vertex: number, fx: number, fy: number): void => {
    const u = unknownOf[vertex];
    if (u === null) return;
    factorOf.set(u, (factorOf.get(u) ?? 0) + fx);
    factorOf.set(u + 1, (factorOf.get(u + 1) ?? 0) + fy);
  };
  const [x, y] = pattern.vertices[v];
  folds.far.forEach((f, i) => {
    const [fx, fy] = pattern.vertices[f];
    const scale = (i % 2 === 0 ? -1 : 1) / ((fx - x) ** 2 + (fy - y) ** 2);
    const [turnX, turnY] = [-(fy - y) * scale, (fx - x) * scale];
    add(f, turnX, turnY);
    add(v, -turnX, -turnY);
  });
  if (factorOf.size === 0) return null;
  let sum = -kawasakiDeviation(folds.sectorsRad);
  for (const [u, f] of factorOf) sum += f * values[u];
  return { unknowns: [...factorOf.keys()], factors: [...factorOf.values()], sum, spread: HOLDS };
}
