import { describe, expect, it } from 'vitest';
import { traditionalBases } from '../../datasets/patterns/bases.ts';
import { makePattern, type PatternFamily } from '../../datasets/patterns/patterns.ts';
import { equalExact, exact, exactText } from '../../pipeline/geometry/exact.ts';
import { checkPlanarGraph } from '../../pipeline/graph/check.ts';
import { GRID_DIRECTIONS } from '../../pipeline/lattice/grid-directions.ts';
import { fitExact } from '../../pipeline/resolve/exact.ts';
import { smallFit } from '../../pipeline/resolve/small-fits.ts';
import type { Pattern } from '../../pipeline/types.ts';
import { type Drawn, drawn } from './drawn.ts';

/** Half a px at 1000 px to the side is what lines in scans and photos were measured to be off by. */
const SPREAD_PX = 0.5;

function exactOf({ graph, lattice, sheet }: Drawn) {
  return fitExact(graph, lattice, sheet);
}

function compare(truth: Pattern, got: ReturnType<typeof fitExact>) {
  let [right, wrong, open] = [0, 0, 0];
  truth.exact.forEach((e, v) => {
    const g = got.exact[v];
    if (!g) open++;
    else if (e && equalExact(e[0], g[0]) && equalExact(e[1], g[1])) right++;
    else wrong++;
  });
  return { right, wrong, open };
}

describe('exact coordinates', () => {
  const exactFamilies: readonly PatternFamily[] = [
    'pleat',
    'grid',
    'box',
    'angle22',
    'reverse',
    'guided',
    'miura',
    'waterbomb',
    'twist',
    'rectangle',
    'polygon',
  ];
  it.each(exactFamilies)('%s patterns: never wrong, nearly all found', (family) => {
    let [right, open] = [0, 0];
    for (let seed = 900; seed < 912; seed++) {
      const { pattern } = makePattern(family, seed);
      if (pattern.lattice?.kind === 'none') continue;
      const result = compare(pattern, exactOf(drawn(pattern, SPREAD_PX, seed)));
      expect(result.wrong).toBe(0);
      right += result.right;
      open += result.open;
    }
    expect(right).toBeGreaterThan(100);
    expect(right / (right + open)).toBeGreaterThan(0.85);
  });

  it('traditional bases keep their family', () => {
    for (const { name, pattern } of traditionalBases()) {
      const got = exactOf(drawn(pattern, SPREAD_PX, 7));
      expect([name, got.lattice.kind]).toEqual([name, pattern.lattice!.kind]);
      expect([name, compare(pattern, got).wrong]).toEqual([name, 0]);
    }
  });

  it('patterns without a lattice stay as measured, save for the corners of the sheet', () => {
    for (let seed = 900; seed < 906; seed++) {
      const { pattern } = makePattern('free', seed);
      const made = drawn(pattern, SPREAD_PX, seed);
      const got = exactOf(made);
      expect(got.lattice.kind).toBe('none');
      expect(got.exact.filter((e) => e).length).toBe(4);
      expect(got.vertices).toEqual(made.graph.vertices);
    }
  });

  it('the kite base has its side points at √2 - 1 (tan 22.5°: half-angle formula)', () => {
    const kite = traditionalBases().find(({ name }) => name === 'kite')!.pattern;
    const got = exactOf(drawn(kite, SPREAD_PX, 3));
    const texts = new Set(got.exact.flatMap((e) => (e ? e.map(exactText) : [])));
    expect(texts.has('√2-1') || texts.has('-1+√2') || texts.has('2-√2')).toBe(true);
    expect(got.lattice.kind).toBe('angle22');
  });

  // Best approximations of √2 by whole numbers (its continued fraction): 41/29, 99/70, and sums of these.
  it.each([41, 58, 70, 82, 99])('a 22.5-degree pattern is not called a grid of %i divisions', (divisions) => {
    for (const seed of [901, 903, 905]) {
      const { pattern } = makePattern('angle22', seed);
      const got = exactOf(onMimic(drawn(pattern, 0.3, seed), divisions));
      expect(got.lattice.kind).toBe('angle22');
      expect(compare(pattern, got).wrong).toBe(0);
    }
  });

  it('a coarse grid in an outline found a little small is not called a fine one', () => {
    const pattern = [...Array(40).keys()]
      .map((seed) => makePattern('pleat', seed).pattern)
      .find(({ lattice }) => lattice!.divisionsX === 10)!;
    const { divisionsX } = pattern.lattice!;
    const made = drawn(pattern, 0.2, 904);
    const grown = (v: number) => 0.5 + (v - 0.5) * 1.01;
    const onSide = new Set(made.graph.pieces.filter((p) => p.border).map((p) => p.carrier));
    const carriers = made.graph.carriers.map((c, i) => {
      if (onSide.has(i)) return c;
      const middle = (c.nx + c.ny) / 2;
      return { ...c, off: middle + (c.off - middle) * 1.01, grid: null };
    });
    const vertices = made.graph.vertices.map(
      ([x, y]) => [x > 0 && x < 1 ? grown(x) : x, y > 0 && y < 1 ? grown(y) : y] as const,
    );
    const lattice = { ...made.lattice, pitch: { divisions: 99, halfUnits: true, explained: 1 }, step: 1 / 198 };
    const got = exactOf(onFine({ ...made, graph: { ...made.graph, carriers, vertices }, lattice }));
    expect(got.lattice.divisionsX).toBe(divisionsX);
    expect(compare(pattern, got).wrong).toBe(0);
    expect(compare(pattern, got).right).toBeGreaterThan(20);
  });

  it('moving vertices to exact places leaves the drawing planar', () => {
    for (const family of ['angle22', 'box', 'twist'] as const) {
      const { pattern } = makePattern(family, 905);
      const got = exactOf(drawn(pattern, 1, 905));
      expect(checkPlanarGraph({ ...pattern, vertices: got.vertices, exact: got.exact })).toEqual([]);
    }
  });

  it('a vertex that was measured far from every exact place stays there', () => {
    const { pattern } = makePattern('grid', 903);
    const made = drawn(pattern, 0, 1);
    const inner = pattern.vertices.findIndex(([x, y]) => x > 0.1 && x < 0.9 && y > 0.1 && y < 0.9);
    const vertices = made.graph.vertices.map((p, v) => (v === inner ? ([p[0] + 0.013, p[1] + 0.011] as const) : p));
    const got = exactOf({ ...made, graph: { ...made.graph, vertices } });
    expect(got.exact[inner]).toBeNull();
    expect(got.vertices[inner]).toEqual(vertices[inner]);
  });
});

/** The same drawing after lines were taken for those of a fine grid that nearly holds them. */
function onMimic(made: Drawn, divisions: number): Drawn {
  const pitch = { divisions, halfUnits: false, explained: 0.9 };
  return onFine({ ...made, lattice: { ...made.lattice, pitch, step: 1 / divisions, spread: 0.0005 } });
}

/** Lines in the grid's directions put on the nearest line of the drawing's grid. */
function onFine(made: Drawn): Drawn {
  const { step } = made.lattice;
  const carriers = made.graph.carriers.map((c, i) => {
    const direction = GRID_DIRECTIONS.findIndex(
      (g) => Math.abs(Math.cos(g.angle) * c.nx + Math.sin(g.angle) * c.ny) < 0.02,
    );
    if (direction < 0 || made.graph.pieces.some((p) => p.carrier === i && p.border)) return c;
    const { a, b } = GRID_DIRECTIONS[direction];
    const size = Math.hypot(a, b);
    const sign = Math.sign(a * c.nx + b * c.ny);
    const index = Math.round((sign * c.off * size) / step);
    const off = (index * step) / size;
    if (Math.abs(off - sign * c.off) > 0.002) return c;
    return { ...c, nx: a / size, ny: b / size, dx: b / size, dy: -a / size, off, grid: { direction, index } };
  });
  return { ...made, graph: { ...made.graph, carriers } };
}

describe('small numbers', () => {
  it('finds √2 - 1 at 0.4142', () => {
    expect(equalExact(smallFit(0.4142, 5e-4, 2)!.value, exact(-1, 1, 1))).toBe(true);
  });

  it('says by chance where the measurement is coarse', () => {
    expect(smallFit(0.4321, 5e-4, 2)?.byChance ?? 1).toBeGreaterThan(0.05);
    expect(smallFit(0.4142, 0.05, 2)!.byChance).toBeGreaterThan(0.05);
  });
});
