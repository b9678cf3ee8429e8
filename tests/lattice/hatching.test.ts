/** Hatching fills single faces with pale even lines; pleats and squared paper are even too, but go on. All lines are drawn, so which is which is known. */
import { describe, expect, it } from 'vitest';
import { fitLattice } from '../../pipeline/lattice/fit.ts';
import { withoutHatching } from '../../pipeline/lattice/hatching.ts';
import { findStrokes, type Strokes } from '../../pipeline/strokes/strokes.ts';
import { blankSheet, type Line, level, line, PX_PER_UNIT, SIDES, upright } from '../graph/hand.ts';
import { bar, type Colour, fieldOf, paint } from '../ink/painted.ts';

const sheet = blankSheet();
const SIZE = PX_PER_UNIT + 40;
const BLACK: Colour = [0, 0, 0];
const PALE: Colour = [200, 200, 200];
const CREASES: readonly Line[] = [...SIDES, upright(0.3), upright(0.7), level(0.4), line(0.3, 0.4, 0.7, 1)];

/** Lines at 45 degrees through a box, `pitch` apart upwards. */
function hatched(x0: number, y0: number, x1: number, y1: number, pitch: number): Line[] {
  const lines: Line[] = [];
  for (let c = y0 - x1 + pitch / 2; c < y1 - x0; c += pitch) {
    const [from, to] = [Math.max(x0, y0 - c), Math.min(x1, y1 - c)];
    if (to - from > 0.01) lines.push(line(from, from + c, to, to + c));
  }
  return lines;
}

function drawn(...parts: (readonly [readonly Line[], Colour, number])[]) {
  const at = ([x, y]: readonly [number, number]) =>
    [sheet.originPx[0] + x * PX_PER_UNIT, sheet.originPx[1] - y * PX_PER_UNIT] as const;
  const bars = parts.flatMap(([lines, colour, width]) => lines.map(([a, b]) => bar(at(a), at(b), width, colour)));
  const ink = fieldOf(SIZE, paint(SIZE, SIZE, bars), 2.5);
  const before = findStrokes(ink);
  return { ink, before, ...withoutHatching(before, ink, sheet) };
}

/** Length of what runs at 45 degrees either way, as the hatching does and no crease, and of the rest, px; the ink of corners is in strokes shorter than 20. */
const lengthsOf = ({ segments }: Strokes) => {
  const isSlanted = ({ angle }: { angle: number }): boolean => Math.abs(Math.sin(2 * angle)) > 0.98;
  const sum = (of: readonly { length: number }[]): number => of.reduce((all, { length }) => all + length, 0);
  return {
    hatching: sum(segments.filter(isSlanted)),
    creases: sum(segments.filter((s) => !isSlanted(s) && s.length >= 20)),
  };
};
const BOXES = [...hatched(0, 0, 0.3, 0.4, 0.03), ...hatched(0.7, 0, 1, 0.4, 0.03)];
const alone = lengthsOf(drawn([CREASES, BLACK, 2.5]).strokes);

function expectCreasesOnly(strokes: Strokes): void {
  const { hatching, creases } = lengthsOf(strokes);
  expect(hatching).toBeLessThan(0.03 * alone.creases);
  expect(Math.abs(creases / alone.creases - 1)).toBeLessThan(0.01);
}

describe('faces hatched', () => {
  it.each([
    ['in pale grey', PALE, 1.5],
    ['thinner in the colour of the creases', BLACK, 0.8],
  ] as const)('%s are told from creases, which all stay', (_, colour, width) => {
    const { before, strokes, lines } = drawn([BOXES, colour, width], [CREASES, BLACK, 2.5]);
    expect(lengthsOf(before).hatching).toBeGreaterThan(0.9 * alone.creases);
    expect(lines.length).toBeGreaterThan(0.9 * BOXES.length);
    expectCreasesOnly(strokes);
  });

  it('crosswise lose both directions', () => {
    const across = BOXES.map(([[ax, ay], [bx, by]]) => line(ax, 0.4 - ay, bx, 0.4 - by));
    const { strokes } = drawn([[...BOXES, ...across], PALE, 1.5], [CREASES, BLACK, 2.5]);
    expectCreasesOnly(strokes);
  });

  it('are told of once', () => {
    const { ink, before } = drawn([BOXES, PALE, 1.5], [CREASES, BLACK, 2.5]);
    expect(fitLattice(before, ink, sheet).leftOut.map(({ how }) => how)).toEqual(['hatched']);
  });
});

describe('nothing is left out', () => {
  const pleats = Array.from({ length: 14 }, (_, k) => upright(0.315 + 0.027 * k));

  it.each([
    ['of pleats as strong as the other creases', pleats, BLACK],
    ['of pale lines that run on across creases, as those of squared paper do', pleats, PALE],
    [
      'of pale pleats that turn at a crease',
      pleats.flatMap(([[x]]) => [line(x, 0, x, 0.4), line(x, 0.4, x + 0.1, 0.98)]),
      PALE,
    ],
  ])('%s', (_, lines, colour) => {
    const { before, strokes } = drawn([lines, colour, 2], [[...SIDES, level(0.4), level(0.2)], BLACK, 2.5]);
    expect(strokes).toBe(before);
  });

  it('of pale lines in a sheet without other creases', () => {
    const { before, strokes } = drawn([pleats, PALE, 2], [SIDES, BLACK, 2.5]);
    expect(strokes).toBe(before);
  });
});
