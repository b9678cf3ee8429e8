/** How sure the network was along a piece, against the other pieces of the drawing. The numbers are invented; what they stand for was seen on moire. */
import { describe, expect, it } from 'vitest';
import type { StrokeGraph } from '../../pipeline/graph/graph.ts';
import type { PieceInk } from '../../pipeline/kinds/measure.ts';
import { chanceOfWeakRidge } from '../../pipeline/kinds/weak-ridge.ts';

function chances(ridges: readonly (number | null)[], length = 0.1): number[] {
  const pieces = ridges.map(() => ({ border: false, t0: 0, t1: length }));
  return [
    ...chanceOfWeakRidge(
      { pieces } as unknown as StrokeGraph,
      ridges.map((ridge) => ({ ridge }) as PieceInk),
    ),
  ];
}

const many = (count: number, ridge: number): number[] => new Array<number>(count).fill(ridge);

describe('pieces of which the network is less sure than of the drawing', () => {
  it('are likely noise, the more the less sure', () => {
    const [half, most, ...rest] = chances([0.45, 0.8, ...many(30, 0.9)]);
    expect(half).toBeGreaterThan(0.95);
    expect(most).toBeLessThan(0.1);
    expect(most).toBeGreaterThan(rest[0]);
    expect(Math.max(...rest)).toBeLessThan(0.01);
  });

  it('are measured against their own drawing: pale pencil is no noise', () => {
    expect(Math.max(...chances(many(30, 0.5)))).toBeLessThan(0.01);
  });

  it('are a weak ink where they make up much of the drawing', () => {
    expect(Math.max(...chances([...many(20, 0.9), ...many(8, 0.5)]))).toBe(0);
  });

  it('say nothing without the network', () => {
    expect(chances([null, null])).toEqual([0, 0]);
  });
});
