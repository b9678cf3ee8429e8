/** Pictures with more than one line, and with none. */
import { describe, expect, it } from 'vitest';
import { makeRandom } from '../../datasets/patterns/random.ts';
import type { Segment } from '../../pipeline/strokes/segments.ts';
import { findStrokes } from '../../pipeline/strokes/strokes.ts';
import { bar, dashes, fieldOf, type Patch, type Point, paint } from '../ink/painted.ts';

const SIZE = 200;
const seen = (patches: readonly Patch[], width: number): readonly Segment[] =>
  findStrokes(fieldOf(SIZE, paint(SIZE, SIZE, patches), width)).segments;

/** Distance of a segment's farther end from the line through two points. */
function offLine(s: Segment, a: Point, b: Point): number {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const [c, n] = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  const off = [-1, 1].map((side) => {
    const x = s.x + (side * Math.cos(s.angle) * s.length) / 2 - a[0];
    const y = s.y + (side * Math.sin(s.angle) * s.length) / 2 - a[1];
    return Math.abs(y * c - x * n);
  });
  return Math.max(...off);
}

/** A line through the middle of the sheet, `away` px to its left. */
function line(angleDegrees: number, away = 0): [Point, Point] {
  const [c, s] = [Math.cos((angleDegrees * Math.PI) / 180), Math.sin((angleDegrees * Math.PI) / 180)];
  const at = (t: number): Point => [SIZE / 2 + 0.3 + t * c - away * s, SIZE / 2 + 0.1 + t * s + away * c];
  return [at(-75), at(75)];
}

/** Length of a line (150 px) on which some segment of its direction lies, the line itself within a px of it. */
function coveredPx(segments: readonly Segment[], [a, b]: [Point, Point]): number {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const on = new Uint8Array(length);
  for (const s of segments) {
    if (offLine(s, a, b) > 1) continue;
    const t = ((s.x - a[0]) * (b[0] - a[0]) + (s.y - a[1]) * (b[1] - a[1])) / length;
    on.fill(1, Math.max(0, Math.round(t - s.length / 2)), Math.min(length, Math.round(t + s.length / 2)));
  }
  return on.reduce((sum, v) => sum + v, 0);
}

describe('an interrupted line', () => {
  // Dash 12 and gap 3 stroke widths: line type 02 of ISO 128-2, lengths as read on public tables of the line types.
  it.each([0, 17, 45, 71, 90, 133])('at %i degrees: its pieces lie on one line, its gaps are free', (degrees) => {
    const width = 2.5;
    const [a, b] = line(degrees);
    const parts = dashes(a, b, [12 * width, 3 * width]);
    expect(parts.length).toBe(4);
    const patches = parts.map(([from, to]) => bar(from, to, width));
    const { ridges, segments } = findStrokes(fieldOf(SIZE, paint(SIZE, SIZE, patches), width));
    for (const s of segments.filter((s) => s.length > 2 * width)) expect(offLine(s, a, b)).toBeLessThan(0.4);
    expect(coveredPx(segments, [a, b])).toBeGreaterThan(4 * 12 * width);
    const inDash = parts.map(() => 0);
    for (let p = 0; p < ridges.count; p++) {
      const along = parts.map(([from, to]) => {
        const [dx, dy] = [(to[0] - from[0]) / (12 * width), (to[1] - from[1]) / (12 * width)];
        return Math.abs((ridges.x[p] - (from[0] + to[0]) / 2) * dx + (ridges.y[p] - (from[1] + to[1]) / 2) * dy);
      });
      // The middle of every gap stays free: a point lies in a dash or less than a stroke width from its end.
      expect(Math.min(...along)).toBeLessThan(7 * width);
      for (let k = 0; k < parts.length; k++) if (along[k] < 6 * width) inDash[k]++;
    }
    for (const count of inDash) expect(count).toBeGreaterThan(0.6 * 12 * width);
  });

  it('with gaps of six widths is one stroke a dash', () => {
    const width = 3;
    const [a, b] = line(25);
    const parts = dashes(a, b, [9 * width, 6 * width]);
    const segments = seen(
      parts.map(([from, to]) => bar(from, to, width)),
      width,
    ).filter((s) => s.length > 3 * width);
    expect(parts.length).toBe(4);
    for (const [from, to] of parts) {
      const [x, y] = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
      const own = segments.filter((s) => Math.hypot(s.x - x, s.y - y) < 1.5 * width);
      const longest = Math.max(...own.map((s) => s.length));
      const drawn = Math.hypot(to[0] - from[0], to[1] - from[1]);
      expect(Math.abs(longest - drawn)).toBeLessThan(2 * width);
    }
  });
});

describe('two lines', () => {
  it.each([
    [0, 1.5],
    [0, 3],
    [28, 2],
    [45, 4],
    [90, 2.5],
    [117, 3],
  ])('at %i degrees, %f px wide, two widths from middle to middle: stay two, each in its place', (degrees, width) => {
    const twins = [line(degrees, -width), line(degrees, width)];
    const segments = seen(
      twins.map(([a, b]) => bar(a, b, width)),
      width,
    );
    for (const [a, b] of twins) {
      expect(coveredPx(segments, [a, b])).toBeGreaterThan(140);
      const best = segments.reduce((p, q) => (offLine(q, a, b) < offLine(p, a, b) ? q : p));
      expect(offLine(best, a, b)).toBeLessThan(0.25 * width);
    }
    // Nothing in the white between them.
    const [middle, end] = line(degrees);
    expect(segments.filter((s) => offLine(s, middle, end) < 0.4 * width)).toEqual([]);
  });

  it.each([90, 60, 35, 20])('that cross at %i degrees: both run through', (degrees) => {
    const pair = [line(10), line(10 + degrees)];
    const segments = seen(
      pair.map(([a, b]) => bar(a, b, 2.5)),
      2.5,
    );
    // Where they part, each has the other's ink beside it.
    const blot = 2.5 / Math.sin((degrees * Math.PI) / 180);
    for (const each of pair) expect(coveredPx(segments, each)).toBeGreaterThan(150 - 2 * 2.5 - blot);
    // Whatever is longer than the blot of the crossing lies on one of the two.
    for (const s of segments.filter((s) => s.length > 2 * blot + 2.5))
      expect(Math.min(...pair.map(([a, b]) => offLine(s, a, b)))).toBeLessThan(1);
  });

  it('a pale one among dark ones is found where it lies', () => {
    const [dark, pale] = [line(0, -30), line(0, 30)];
    const segments = seen([bar(...dark, 2), bar(...pale, 2, [190, 190, 190])], 2);
    expect(coveredPx(segments, dark)).toBeGreaterThan(145);
    expect(coveredPx(segments, pale)).toBeGreaterThan(145);
  });
});

describe('what is no line', () => {
  it('blank paper has no stroke', () => {
    expect(seen([], 2)).toEqual([]);
  });

  it.each([1, 2, 3])('grain of the paper is no stroke (seed %i), and hides none', (seed) => {
    const random = makeRandom(seed);
    const spread = 0.03;
    const normal = () => Math.sqrt(-2 * Math.log(1 - random.next())) * Math.cos(2 * Math.PI * random.next());
    const options = { noise: spread, grain: () => spread * normal() };
    const bare = findStrokes(fieldOf(SIZE, paint(SIZE, SIZE, []), 2, options));
    expect(bare.segments).toEqual([]);
    const drawn = line(33);
    const { segments } = findStrokes(fieldOf(SIZE, paint(SIZE, SIZE, [bar(...drawn, 2)]), 2, options));
    expect(coveredPx(segments, drawn)).toBeGreaterThan(140);
    expect(segments.filter((s) => offLine(s, ...drawn) > 3)).toEqual([]);
  });
});
