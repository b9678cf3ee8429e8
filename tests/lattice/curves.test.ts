/** Creases of a sheet that folds flat are straight, so curves are no creases. The lines are drawn, so which is which is known. */
import { describe, expect, it } from 'vitest';
import { withoutCurves } from '../../pipeline/lattice/curves.ts';
import { findStrokes, type Strokes } from '../../pipeline/strokes/strokes.ts';
import { type Line, level, line, PX_PER_UNIT, SIDES } from '../graph/hand.ts';
import { creases, curve, inkOf, lengthOf, place, type Round, rims, runsRound } from './rounds.ts';

const CREASES: readonly Line[] = [...SIDES, line(0, 0, 1, 1), line(0, 1, 1, 0), level(0.5)];

const CIRCLES: readonly Round[] = [
  { x: 0.3, y: 0.32, radius: 0.2 },
  { x: 0.62, y: 0.6, radius: 0.3 },
];

function drawn(lines: readonly Line[], circles: readonly Round[]) {
  const ink = inkOf([...rims(circles), ...creases(lines)]);
  const strokes = findStrokes(ink);
  return { before: strokes, ...withoutCurves(strokes, ink) };
}

/** Length of segments that lie along a circle, px. */
const round = ({ segments }: Strokes): number => lengthOf(segments.filter((s) => runsRound(s, CIRCLES)));

describe('packing circles under a pattern', () => {
  const { strokes, before, curves } = drawn(CREASES, CIRCLES);

  it('are left out, arcs between crossings too', () => {
    expect(round(before)).toBeGreaterThan(1800);
    expect(round(strokes)).toBeLessThan(0.05 * round(before));
    expect(curves.length).toBeGreaterThan(20);
  });

  it('take no crease with them', () => {
    expect(lengthOf(strokes.segments)).toBeGreaterThan(0.97 * (lengthOf(before.segments) - round(before)));
  });
});

describe('straight lines are kept', () => {
  it('where they turn by 22.5 degrees at every vertex, the least turn of the 22.5-degree family', () => {
    const turns = Array.from({ length: 9 }, (_, k) => (k * Math.PI) / 8);
    const at = turns.reduce<(readonly [number, number])[]>(
      (points, turn) =>
        points.concat([
          [points[points.length - 1][0] + 0.15 * Math.cos(turn), points[points.length - 1][1] + 0.15 * Math.sin(turn)],
        ]),
      [[0.45, 0.12]],
    );
    const spiral = at.slice(1).map((to, k): Line => [at[k], to]);
    const { strokes, before, curves } = drawn([...CREASES.slice(0, 4), ...spiral], []);
    expect(curves).toEqual([]);
    expect(strokes).toBe(before);
  });

  it('where nothing is round', () => {
    const { strokes, before } = drawn(CREASES, []);
    expect(strokes).toBe(before);
  });
});

describe('an arrow across a few creases', () => {
  /** A cubic curve that bends most in its middle, drawn in short bars. */
  const at = (t: number) => {
    const [a, b, c, d] = [(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t ** 3];
    return [0.5 * a + 0.7 * b + 0.8 * c + 0.75 * d, 0.35 * a + 0.5 * b + 0.2 * c - 0.02 * d] as const;
  };
  const STEPS = 200;
  const straight = [...SIDES, line(0.2, 0, 0.2, 1), line(0, 0.3, 1, 0.8), line(0.62, 0, 0.62, 1)];

  it.each([
    ['whole', 0],
    ['where it bends most too much for a stroke', 0.16],
  ])('is left out, %s, and no crease with it', (_, hidden) => {
    const ink = inkOf([...curve(at, STEPS), ...creases(straight)]);
    const all = findStrokes(ink);
    // The network says that strong bends are no creases: their strokes are not there.
    const isHidden = (s: { x: number; y: number }) =>
      Array.from({ length: STEPS }, (_, k) => k / STEPS)
        .filter((t) => Math.abs(t - 0.3) < hidden)
        .some((t) => Math.hypot(place(at(t))[0] - s.x, place(at(t))[1] - s.y) < 8);
    const shown = { ...all, segments: all.segments.filter((s) => s.length > 60 || !isHidden(s)) };
    const { strokes } = withoutCurves(shown, ink);
    const onArrow = strokes.segments.filter((s) => {
      const near = Array.from({ length: STEPS }, (_, k) => k / STEPS).find(
        (t) => Math.hypot(place(at(t))[0] - s.x, place(at(t))[1] - s.y) < 4,
      );
      return near !== undefined && s.length < 60;
    });
    expect(lengthOf(onArrow)).toBeLessThan(60);
    const creasesPx = straight.reduce((sum, [a, b]) => sum + Math.hypot(b[0] - a[0], b[1] - a[1]) * PX_PER_UNIT, 0);
    expect(lengthOf(strokes.segments)).toBeGreaterThan(0.97 * creasesPx);
  });
});
