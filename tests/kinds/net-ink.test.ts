/** Moire that lies in a row has less ink in the mean than strokes have; pale lines, drawn through, are none of it. */
import { describe, expect, it } from 'vitest';
import type { StrokeGraph } from '../../pipeline/graph/graph.ts';
import type { PieceInk } from '../../pipeline/kinds/measure.ts';
import { chanceOfNoise } from '../../pipeline/kinds/net-ink.ts';

interface Drawn {
  readonly net: number | null;
  readonly length?: number;
  readonly coverage?: number;
  readonly carrier?: number;
}

/** Chances for pieces of a drawing; a length of 0.1, seen whole, each on a line of its own unless told. */
function chances(pieces: readonly Drawn[]): number[] {
  const graph = {
    carriers: pieces.map(() => ({})),
    pieces: pieces.map(({ length = 0.1, coverage = 1, carrier }, i) => ({
      from: 0,
      to: 1,
      carrier: carrier ?? i,
      t0: 0,
      t1: length,
      coverage,
      border: false,
    })),
  } as unknown as StrokeGraph;
  return [
    ...chanceOfNoise(
      graph,
      pieces.map(({ net }) => ({ net }) as PieceInk),
    ),
  ];
}

const strokes = (count: number, net = 1): Drawn[] => Array.from({ length: count }, () => ({ net }));

describe('pieces with much less ink than the strokes of the drawing', () => {
  it('are noise where they are few and short', () => {
    const found = chances([...strokes(20), { net: 0.3 }, { net: 0.9 }]);
    expect(found[20]).toBeGreaterThan(0.95);
    expect(found[21]).toBeLessThan(0.01);
  });

  it('are a pale line where one of them is drawn through, but not where it has holes', () => {
    const pale = (coverage: number): Drawn[] => Array.from({ length: 4 }, () => ({ net: 0.3, carrier: 0, coverage }));
    expect(Math.max(...chances([...pale(1), ...strokes(30)]))).toBeLessThan(0.01);
    expect(Math.min(...chances([...pale(0.7), ...strokes(30)]).slice(0, 4))).toBeGreaterThan(0.95);
  });

  it('are a pale ink where they are many', () => {
    expect(Math.max(...chances([...strokes(20), ...strokes(10, 0.3)]))).toBeLessThan(0.01);
  });

  it('say nothing where the paper was not taken off', () => {
    expect(chances([{ net: null }, ...strokes(5)])[0]).toBe(0);
  });
});
