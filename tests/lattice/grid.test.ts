/** Which grid the strokes lie on: found for any number of divisions, with half units, and not where there is none. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makeRandom, type Random } from '../../datasets/patterns/random.ts';
import { findLattice, type LatticeFit } from '../../pipeline/lattice/lattice.ts';
import { acrossSquare, blankSheet, type Line, level, line, PX, strokesAlong, upright } from '../graph/hand.ts';

const sheet = blankSheet();
const latticeOf = (lines: readonly Line[], divisions?: number): LatticeFit =>
  findLattice(strokesAlong(lines, sheet), sheet, divisions ? { divisions } : {});

/** Lines may lie off their grid by this share of its step, or by this many px where that is less: a coarse grid is drawn no worse for being coarse. */
const JITTER_SHARE = 0.1;
const JITTER_PX = 1.5;

/** Upright, level and slanted lines of a grid of n, each shifted and turned a little; every fourth line or so is left out, never the first. */
function gridLines(n: number, random: Random): Line[] {
  const off = Math.min(JITTER_SHARE / n, JITTER_PX * PX);
  const near = (v: number) => v + random.range(-off, off);
  const lines: Line[] = [];
  for (let k = 1; k < n; k++) {
    if (k === 1 || !random.chance(0.25)) lines.push(upright(near(k / n)));
    if (k === 1 || !random.chance(0.25)) lines.push(level(near(k / n)));
    if (random.chance(0.2)) lines.push(line(near(k / n), 0, 0, near(k / n)));
    if (random.chance(0.2)) lines.push(line(near(k / n), 0, 1, near(1 - k / n)));
  }
  return lines;
}

describe('lines of a grid, each drawn a little off', () => {
  it('give its number of divisions, from 4 to 64', () => {
    fc.assert(
      fc.property(fc.integer({ min: 4, max: 64 }), fc.integer({ min: 1, max: 1e6 }), (n, seed) => {
        const { pitch, step } = latticeOf(gridLines(n, makeRandom(seed)));
        expect(pitch).toMatchObject({ divisions: n, halfUnits: false });
        expect(step).toBeCloseTo(1 / n, 12);
      }),
      { seed: 32, numRuns: 40, endOnFailure: true },
    );
  });

  it('come back onto it: measured lines lie within the jitter of whole lines, and no bend is made up', () => {
    for (const n of [8, 21, 48]) {
      const lines = gridLines(n, makeRandom(n));
      const fit = latticeOf(lines);
      expect(fit.straight.length).toBe(lines.length);
      const off = Math.min(JITTER_SHARE / n, JITTER_PX * PX);
      for (const { x, y, angle } of fit.straight) {
        const across = Math.abs(Math.sin(angle)) > 0.99 ? x : Math.abs(Math.cos(angle)) > 0.99 ? y : null;
        if (across !== null) expect(Math.abs(across - Math.round(across * n) / n)).toBeLessThan(1.2 * off);
      }
      expect(fit.spread).toBeLessThan(off);
    }
  });

  it('with one line in six at a half unit give the whole divisions and say so', () => {
    fc.assert(
      fc.property(fc.integer({ min: 6, max: 32 }), fc.integer({ min: 1, max: 1e6 }), (n, seed) => {
        const random = makeRandom(seed);
        const halves = random.shuffle(Array.from({ length: n - 1 }, (_, k) => k + 0.5)).slice(0, Math.ceil(n / 6));
        const half = halves.flatMap((k): Line[] => [upright(k / n), level(k / n)]);
        const { pitch, step } = latticeOf([...gridLines(n, random), ...half]);
        expect(pitch).toMatchObject({ divisions: n, halfUnits: true });
        expect(step).toBeCloseTo(0.5 / n, 12);
      }),
      { seed: 16, numRuns: 25, endOnFailure: true },
    );
  });

  it('keep the divisions that a person says, if half units make them right', () => {
    const lines = gridLines(24, makeRandom(5));
    expect(latticeOf(lines, 12).pitch).toMatchObject({ divisions: 12, halfUnits: true });
    expect(latticeOf(lines, 24).pitch).toMatchObject({ divisions: 24, halfUnits: false });
  });

  it('need not be all lines of the grid: eight of 32 each way, if they have no coarser grid', () => {
    const random = makeRandom(9);
    const picked = [1, 4, 7, 11, 14, 19, 22, 29];
    const off = JITTER_PX * PX;
    const near = (v: number) => v + random.range(-off, off);
    const lines = picked.flatMap((k): Line[] => [upright(near(k / 32)), level(near(k / 32))]);
    expect(latticeOf(lines).pitch).toMatchObject({ divisions: 32, halfUnits: false });
  });
});

describe('a sheet that lies bent', () => {
  /** Where a point of the flat sheet is seen: a bow in the middle of up to 1 % of the side, the corners in their places. */
  const seenAt = (x: number, y: number): [number, number] => [
    x + 0.01 * Math.sin(Math.PI * y) * (0.4 + 0.6 * x) * 4 * x * (1 - x),
    y - 0.012 * Math.sin(Math.PI * x),
  ];

  it.each([8, 16, 24, 32])('shows its %i divisions all the same, and is laid flat to half a px on the mean', (n) => {
    const pieces = 12;
    const lines: Line[] = [];
    for (let k = 1; k < n; k++) {
      for (let p = 0; p < pieces; p++) {
        const [a, b] = [p / pieces, (p + 1) / pieces];
        lines.push([seenAt(k / n, a), seenAt(k / n, b)], [seenAt(a, k / n), seenAt(b, k / n)]);
      }
    }
    const fit = latticeOf(lines);
    expect(fit.pitch).toMatchObject({ divisions: n, halfUnits: false });
    const misses = fit.straight.map(({ x, y, angle }, i) => {
      expect(Math.min(Math.abs(Math.sin(angle)), Math.abs(Math.cos(angle)))).toBeLessThan(0.02);
      const across = Math.abs(Math.sin(angle)) > 0.99 ? x : y;
      const k = Math.floor(i / (2 * pieces)) + 1;
      return Math.abs(across - k / n);
    });
    expect(misses.reduce((sum, v) => sum + v, 0) / misses.length).toBeLessThan(0.5 * PX);
    expect(Math.max(...misses)).toBeLessThan(3 * PX);
    // It was bent by several px.
    expect(Math.abs(seenAt(0.5, 0.5)[1] - 0.5)).toBeGreaterThan(8 * PX);
  });
});

describe('lines of no grid', () => {
  const anywhere = (random: Random, count: number): Line[] =>
    Array.from(
      { length: count },
      () => acrossSquare([random.range(0.15, 0.85), random.range(0.15, 0.85)], random.range(0, Math.PI))!,
    );

  it('at random angles find none', () => {
    fc.assert(
      fc.property(fc.integer({ min: 4, max: 40 }), fc.integer({ min: 1, max: 1e6 }), (count, seed) => {
        expect(latticeOf(anywhere(makeRandom(seed), count))).toMatchObject({ pitch: null, step: 0 });
      }),
      { seed: 7, numRuns: 20, endOnFailure: true },
    );
  });

  it('upright and level at random places find none', () => {
    let found = 0;
    for (let seed = 1; seed <= 15; seed++) {
      const random = makeRandom(seed);
      const lines = Array.from({ length: 12 }, (): Line[] => {
        const [x, y] = [random.range(0.03, 0.97), random.range(0.03, 0.97)];
        return [upright(x), level(y)];
      }).flat();
      if (latticeOf(lines).pitch) found++;
    }
    expect(found).toBe(0);
  });
});

describe('the 22.5-degree family', () => {
  const T = Math.tan(Math.PI / 8);

  it('has places at a + b√2: tan 22.5° is √2 - 1 (half-angle formula)', () => {
    expect(T).toBeCloseTo(Math.SQRT2 - 1, 15);
  });

  /** Places of the family inside the unit square, all irrational. */
  const PLACES = [T, Math.SQRT1_2, 3 * Math.SQRT2 - 4, T / 2].flatMap((p) => [p, 1 - p]);
  const familyLines = (): Line[] => {
    const lines: Line[] = [line(0, 0, 1, 1), line(0, 1, 1, 0)];
    for (const [x, y] of [
      [0, 0],
      [1, 0],
      [1, 1],
      [0, 1],
    ]) {
      const [fx, fy] = [x === 0 ? 1 : -1, y === 0 ? 1 : -1];
      lines.push(line(x, y, x + fx, y + fy * T), line(x, y, x + fx * T, y + fy));
    }
    for (const p of PLACES) lines.push(upright(p), level(p), line(p, 0, 0, p), line(p, 1, 1, p));
    return lines;
  };

  // Fractions over 12, 29 and 70 come ever nearer to √2 (Pell's numbers), so a grid that fine fits the family by chance.
  it('is taken for no square grid, however fine', () => {
    expect(latticeOf(familyLines())).toMatchObject({ pitch: null, step: 0 });
  });
});

describe('what has no square grid', () => {
  it('is not laid on a fine one by its middles: a Miura-ori whose zigzags lean two degrees off the upright (Miura 1985, from memory: they may lean at any angle)', () => {
    const lean = Math.tan((2 * Math.PI) / 180);
    const lines: Line[] = [];
    for (let i = 0; i < 6; i++) {
      for (let j = 0; j < 6; j++) {
        const x = 0.07 + 0.147 * i + 0.0313 * j;
        const y = 0.055 + 0.151 * j + 0.0217 * i;
        lines.push(line(x, y, x + 0.13 * lean, y + 0.13));
      }
    }
    expect(latticeOf(lines).pitch).toBeNull();
  });

  it('is not stretched onto one that misses a side: five even rows on a sheet of the ISO 216 proportions, the square root of 2, are no squares', () => {
    const h = Math.SQRT1_2;
    const rows = [1, 2, 3, 4].map((j) => line(0, (j / 5) * h, 1, (j / 5) * h));
    // Nearly 7 : 5 (Theon of Smyrna's side and diagonal numbers, from memory).
    const zigzags = [0.13, 0.27, 0.41, 0.58, 0.72, 0.86].flatMap((x) =>
      [0, 1, 2, 3, 4].map((j) => {
        const [low, high] = [x + (j % 2) * 0.05, x + ((j + 1) % 2) * 0.05];
        return line(low, (j / 5) * h, high, ((j + 1) / 5) * h);
      }),
    );
    const border = [line(0, 0, 1, 0), line(0, h, 1, h), line(0, 0, 0, h), line(1, 0, 1, h)];
    const iso = blankSheet([
      [0, 0],
      [1, 0],
      [1, h],
      [0, h],
    ]);
    expect(findLattice(strokesAlong([...border, ...rows, ...zigzags], iso), iso).pitch).toBeNull();
  });

  it('is a grid of equilateral triangles: 45 / 26 is nearly the square root of 3 (Archimedes, Measurement of a Circle, has 265 / 153 and 1351 / 780; 45 / 26 is computed)', () => {
    expect(Math.abs(45 / 26 - Math.sqrt(3))).toBeLessThan(0.0015);
    const height = Math.sqrt(3) / 2;
    const lines: Line[] = [];
    for (let k = 1; k < 6; k++) {
      const [t, y] = [k / 6, (k / 6) * height];
      lines.push(line(t / 2, y, 1 - t / 2, y), line(t, 0, t / 2, y), line(t, 0, (1 + t) / 2, (1 - t) * height));
    }
    const triangle = blankSheet([
      [0, 0],
      [1, 0],
      [0.5, height],
    ]);
    expect(findLattice(strokesAlong(lines, triangle), triangle).pitch).toBeNull();
  });
});
