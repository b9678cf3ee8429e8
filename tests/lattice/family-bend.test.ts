/** Sheets bent under a pattern of the 22.5-degree family: the bend is known exactly, since the test makes it. */
import { describe, expect, it } from 'vitest';
import { makeRandom, type Random } from '../../datasets/patterns/random.ts';
import { bendAt } from '../../pipeline/geometry/bend.ts';
import { sidesOf } from '../../pipeline/geometry/sides.ts';
import { familyBend } from '../../pipeline/lattice/family-bend.ts';
import { findLattice } from '../../pipeline/lattice/lattice.ts';
import type { StraightSegment } from '../../pipeline/lattice/straight-segment.ts';
import { blankSheet, type Line, line, PX, SIDES, strokesAlong } from '../graph/hand.ts';
import { SQUARE } from '../unit-sheet.ts';

type Place = readonly [number, number];
type Seeing = (p: Place) => Place;

const flat: Seeing = (p) => p;
/** A sheet curled along a slant, seen up to 2.4 % of the side beside its place: its sides lie where they were, but places along them do not. */
const curled: Seeing = ([x, y]) => [
  x + 4 * x * (1 - x) * (0.012 + 0.008 * y - 0.012 * y * y),
  y - 4 * y * (1 - y) * (0.01 - 0.014 * x + 0.02 * x * x),
];

/** The bird base on each quarter of the sheet: its ears' creases halve the angles between sides and diagonals, so their tips lie half of tan 22.5° = √2 - 1 within. */
function birdBases(): Line[] {
  const t = (Math.SQRT2 - 1) / 2;
  const one: Line[] = [line(0, 0, 1, 1), line(0, 1, 1, 0), line(0.5, 0, 0.5, 1), line(0, 0.5, 1, 0.5)];
  const tips: Place[] = [
    [0.5, t],
    [1 - t, 0.5],
    [0.5, 1 - t],
    [t, 0.5],
  ];
  tips.forEach((tip, i) => {
    one.push([SQUARE[i], tip], [tip, SQUARE[(i + 1) % 4]], [tip, tips[(i + 1) % 4]]);
  });
  return [0, 1].flatMap((i) =>
    [0, 1].flatMap((j) =>
      one.map(([[ax, ay], [bx, by]]) => line((ax + i) / 2, (ay + j) / 2, (bx + i) / 2, (by + j) / 2)),
    ),
  );
}

/** Pieces of at most this length, pattern units, as strokes of bent lines come. */
const PIECE = 0.2;

function pieces(lines: readonly Line[]): Line[] {
  return lines.flatMap(([[ax, ay], [bx, by]]) => {
    const count = Math.ceil(Math.hypot(bx - ax, by - ay) / PIECE);
    const at = (k: number): Place => [ax + ((bx - ax) * k) / count, ay + ((by - ay) * k) / count];
    return Array.from({ length: count }, (_, k): Line => [at(k), at(k + 1)]);
  });
}

const seen = (lines: readonly Line[], see: Seeing): Line[] => lines.map(([a, b]): Line => [see(a), see(b)]);

/** Strokes as measured, their ends off by up to `jitter`. */
function strokesOf(lines: readonly Line[], random: Random, jitter = 0.4 * PX): StraightSegment[] {
  const near = ([x, y]: Place): Place => [x + random.range(-jitter, jitter), y + random.range(-jitter, jitter)];
  return lines.map(([from, to]) => {
    const [[ax, ay], [bx, by]] = [near(from), near(to)];
    const angle = (Math.atan2(by - ay, bx - ax) + 2 * Math.PI) % Math.PI;
    return { x: (ax + bx) / 2, y: (ay + by) / 2, angle, length: Math.hypot(bx - ax, by - ay) };
  });
}

const bendOf = (lines: readonly Line[], see: Seeing, seed: number) =>
  familyBend(strokesOf(seen(pieces(lines), see), makeRandom(seed)), sidesOf(SQUARE), PX);

describe('bird bases on a curled sheet', () => {
  it('come back to their places, within and along the sides', () => {
    const sheet = blankSheet();
    const lines = pieces([...SIDES, ...birdBases()]);
    const { straight, pitch } = findLattice(strokesAlong(seen(lines, curled), sheet), sheet);
    expect(pitch).toBeNull();
    lines.forEach(([[ax, ay], [bx, by]], i) => {
      expect(Math.hypot(straight[i].x - (ax + bx) / 2, straight[i].y - (ay + by) / 2)).toBeLessThan(1.5 * PX);
    });
    const [x, y] = curled([0.5, 0.5]);
    expect(Math.hypot(x - 0.5, y - 0.5)).toBeGreaterThan(10 * PX);
  });

  it.each([1, 2, 3])('are laid flat with strokes off by half a px, too (%i)', (seed) => {
    const bend = bendOf(birdBases(), curled, seed);
    expect(bend).not.toBeNull();
    for (const x of [0, 0.25, 0.5, 0.75, 1]) {
      for (const y of [0, 0.25, 0.5, 0.75, 1]) {
        const [sx, sy] = curled([x, y]);
        const [bx, by] = bendAt(bend!, sx, sy);
        expect(Math.hypot(sx + bx - x, sy + by - y)).toBeLessThan(2 * PX);
      }
    }
  });

  it('need no bend where they lie flat', () => {
    expect(bendOf(birdBases(), flat, 4)).toBeNull();
  });
});

/** Vertices of four creases at angles that are free but for Kawasaki's theorem: the first and third, and the second and fourth, add up to half a turn. */
function freeVertices(random: Random, across: number): Line[] {
  const reach = 0.45 / across;
  return Array.from({ length: across * across }, (_, i) => {
    const [x, y] = [((i % across) + 0.5) / across, (Math.floor(i / across) + 0.5) / across];
    const [first, second] = [random.range(0.5, Math.PI - 0.5), random.range(0.5, Math.PI - 0.5)];
    const start = random.range(0, 2 * Math.PI);
    return [0, first, first + second, second + Math.PI].map((turn) =>
      line(x, y, x + reach * Math.cos(start + turn), y + reach * Math.sin(start + turn)),
    );
  }).flat();
}

describe('patterns of other angles are not bent onto the family', () => {
  it.each([3, 5, 7])('free ones at vertices that fold flat, %i by as many', (across) => {
    for (let seed = 1; seed <= 25; seed++) {
      for (const see of [flat, curled]) expect(bendOf(freeVertices(makeRandom(seed), across), see, seed)).toBeNull();
    }
  });

  it.each([
    ['parallel', [20]],
    ['as in a pleated pattern of parallelograms', [0, 20, 160]],
    ['of equilateral triangles', [0, 60, 120]],
    ['at every 15 degrees', [0, 15, 30, 45, 60, 75, 90, 105, 120, 135, 150, 165]],
  ])('%s, on a curled sheet', (_, degrees) => {
    for (let seed = 1; seed <= 25; seed++) {
      const random = makeRandom(seed);
      const lines = Array.from({ length: 80 }, () => {
        const angle = (random.pick(degrees) * Math.PI) / 180;
        const [x, y, half] = [random.range(0.25, 0.75), random.range(0.25, 0.75), random.range(0.05, 0.25)];
        const [dx, dy] = [half * Math.cos(angle), half * Math.sin(angle)];
        return line(x - dx, y - dy, x + dx, y + dy);
      });
      expect(bendOf(lines, curled, seed)).toBeNull();
    }
  });
});
