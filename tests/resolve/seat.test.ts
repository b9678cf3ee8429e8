/** Places that adjusting laid onto the grid are the grid's. The patterns are invented; what holds of them is arithmetic. */
import { describe, expect, it } from 'vitest';
import { exact } from '../../pipeline/geometry/exact.ts';
import { seatOnGrid } from '../../pipeline/resolve/seat.ts';
import type { Lattice, Pattern, PatternPoint } from '../../pipeline/types.ts';

const PX = 0.001;
const SQUARE: Lattice = { kind: 'square', divisionsX: 8, divisionsY: 8, halfUnits: false, residual: 0, fit: 0.9 };

/** A vertex without an exact place beside one that has one. */
const patternOf = (place: PatternPoint, lattice: Lattice = SQUARE): Pattern => ({
  vertices: [[0.25, 0.25], place],
  exact: [[exact(1, 4), exact(1, 4)], null],
  creases: [],
  lattice,
});
const seated = (pattern: Pattern, spread: number) =>
  seatOnGrid(pattern, { vertices: pattern.vertices, spread: Float64Array.of(0, spread) }, PX);

describe('a place that was adjusted', () => {
  it('onto a half unit of the grid is exact there', () => {
    const { vertices, exact: places, spread } = seated(patternOf([0.3126, 0.7499]), 0.0005);
    expect(places[1]).toEqual([exact(5, 16), exact(3, 4)]);
    expect(vertices[1]).toEqual([0.3125, 0.75]);
    expect(spread[1]).toBe(0);
  });

  it.each([
    ['beside the grid stays', patternOf([0.314, 0.75]), 0.0005],
    ['farther from the grid than it may be stays', patternOf([0.3126, 0.75]), 0.00002],
    ['that is hardly known stays', patternOf([0.3126, 0.75]), 0.01],
    ['where another vertex lies stays', patternOf([0.2501, 0.25]), 0.0005],
    ['where there is no grid stays', patternOf([0.3126, 0.75], { ...SQUARE, kind: 'angle22' }), 0.0005],
  ])('%s', (_, pattern, spread) => {
    const found = seated(pattern, spread);
    expect(found.exact[1]).toBe(null);
    expect(found.vertices[1]).toEqual(pattern.vertices[1]);
  });
});
