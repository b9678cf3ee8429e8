/** A crease that left no centre line is found by its ink where vertices lack one: Maekawa's theorem leaves an even number at each (Hull 1994). */
import { describe, expect, it } from 'vitest';
import { NO_BEND } from '../../pipeline/geometry/bend.ts';
import { checkPlanarGraph } from '../../pipeline/graph/check.ts';
import { buildGraph, type StrokeGraph } from '../../pipeline/graph/graph.ts';
import { withOverlooked } from '../../pipeline/graph/overlooked.ts';
import { findLattice } from '../../pipeline/lattice/lattice.ts';
import { findStrokes } from '../../pipeline/strokes/strokes.ts';
import type { PatternPoint } from '../../pipeline/types.ts';
import { bar, fieldOf, paint } from '../ink/painted.ts';
import { blankSheet, type Line, line, PX_PER_UNIT, patternOf, SIDES } from './hand.ts';

const sheet = blankSheet();
const SIZE = PX_PER_UNIT + 40;
const WIDTH_PX = 3;
const at = ([x, y]: PatternPoint) =>
  [sheet.originPx[0] + x * PX_PER_UNIT, sheet.originPx[1] - y * PX_PER_UNIT] as const;

const inkOf = (lines: readonly Line[], paler: readonly Line[] = []) =>
  fieldOf(
    SIZE,
    paint(SIZE, SIZE, [
      ...[...SIDES, ...lines].map(([a, b]) => bar(at(a), at(b), WIDTH_PX)),
      ...paler.map(([a, b]) => bar(at(a), at(b), WIDTH_PX, [215, 215, 215])),
    ]),
    WIDTH_PX,
  );

/** The graph of the strokes of `lines` and `pale` ones, looked at again where `overlooked` was drawn as well, or drawn as pale. */
function lookedAgain(
  lines: readonly Line[],
  overlooked: readonly Line[],
  paler = false,
  pale: readonly Line[] = [],
): { before: StrokeGraph; after: StrokeGraph } {
  const strokes = findStrokes(inkOf(lines, pale));
  const lattice = findLattice(strokes, sheet);
  const before = buildGraph(strokes, lattice, sheet);
  const ink = paler ? inkOf(lines, [...pale, ...overlooked]) : inkOf([...lines, ...overlooked], pale);
  return { before, after: withOverlooked(before, ink, { step: lattice.step, bend: NO_BEND }, sheet) };
}

const inner = ({ pieces }: StrokeGraph) => pieces.filter(({ border }) => !border).length;

/** Level and upright lines of eighths, but for the way from (1/4, 1/2) to (1/2, 3/4), which leaves both its ends odd. */
const grid: Line[] = [0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875].flatMap((k) => [line(k, 0, k, 1), line(0, k, 1, k)]);
const slanted = [line(0.25, 0.5, 0.5, 0.75)];

describe('a crease without a centre line', () => {
  it('comes back between two odd vertices, parted where it meets others', () => {
    const lines = [...grid, line(0, 0.25, 0.25, 0.5), line(0.5, 0.75, 0.75, 1)];
    const { before, after } = lookedAgain(lines, slanted);
    expect(inner(after)).toBe(inner(before) + 2);
    expect(checkPlanarGraph(patternOf(after))).toEqual([]);
  });

  it('comes back between an odd vertex and a side', () => {
    const { before, after } = lookedAgain([...grid, line(0, 0.5, 0.25, 0.75)], [line(0.25, 0.75, 0.5, 1)]);
    expect(inner(after)).toBe(inner(before) + 2);
    expect(checkPlanarGraph(patternOf(after))).toEqual([]);
  });

  it('does not where there is no ink, or much less than in the others', () => {
    const lines = [...grid, line(0, 0.25, 0.25, 0.5), line(0.5, 0.75, 0.75, 1)];
    for (const [more, paler] of [
      [[], false],
      [slanted, true],
    ] as const) {
      const { before, after } = lookedAgain(lines, more, paler);
      expect(after).toEqual(before);
    }
  });

  it('comes back however pale it is, where it joins two of a line that are as pale', () => {
    const pale = [line(0, 0.25, 0.25, 0.5), line(0.5, 0.75, 0.75, 1)];
    const { before, after } = lookedAgain(grid, slanted, true, pale);
    expect(inner(after)).toBe(inner(before) + 2);
    expect(lookedAgain(grid, [], true, pale).after).toEqual(before);
  });

  it('does not where all vertices are even', () => {
    const { before, after } = lookedAgain(grid, slanted);
    expect(after).toEqual(before);
  });
});
