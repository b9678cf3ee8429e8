/** Places that no grid gives: adjusted by least squares, with the laws of folding where these can hold. */
import { describe, expect, it } from 'vitest';
import type { Carrier } from '../../pipeline/graph/carriers.ts';
import { creasesAround } from '../../pipeline/laws/around.ts';
import { foldsAt, kawasakiDeviation } from '../../pipeline/laws/vertex.ts';
import { adjustPlaces } from '../../pipeline/resolve/adjust.ts';
import { admit, estimate, rescale, spreadAt } from '../../pipeline/resolve/estimate.ts';
import { placeFindings } from '../../pipeline/resolve/place-doubts.ts';
import type { Crease, Pattern, PatternPoint, Sheet } from '../../pipeline/types.ts';

const STRAY = 0.001;

/** The line through two places. */
function carrierThrough([ax, ay]: PatternPoint, [bx, by]: PatternPoint): Carrier {
  const length = Math.hypot(bx - ax, by - ay);
  const [dx, dy] = [(bx - ax) / length, (by - ay) / length];
  const from = dx * ax + dy * ay;
  const off = -dy * ax + dx * ay;
  const seen = { seen: new Uint8Array(0), beside: new Float32Array(0), residual: STRAY };
  return { nx: -dy, ny: dx, off, dx, dy, grid: null, from, to: from + length, ...seen };
}

const CORNERS: readonly PatternPoint[] = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
];

/**
 * One vertex inside the unit square with creases to the border at these angles, degrees, each on a line of its own; the last of them was seen turned by so many
 * degrees about the place that far along it.
 */
function star(centre: PatternPoint, angles: readonly number[], turned: number, about = 0.5) {
  const ends = angles.map((degrees) => atBorder(centre, degrees));
  const last = ends.length - 1;
  const [ex, ey] = ends[last];
  const pivot: PatternPoint = [centre[0] + about * (ex - centre[0]), centre[1] + about * (ey - centre[1])];
  const angle = ((angles[last] + turned) * Math.PI) / 180;
  const there: PatternPoint = [pivot[0] + Math.cos(angle), pivot[1] + Math.sin(angle)];
  const seenLine = carrierThrough(pivot, there);
  const seenEnd = crossing(seenLine, sideOf([ex, ey]));
  const places = [...ends.slice(0, last), seenEnd];
  const vertices: PatternPoint[] = [centre, ...places, ...CORNERS];
  const border = [0, 1, 2, 3].map((i) => carrierThrough(CORNERS[i], CORNERS[(i + 1) % 4]));
  const carriers = [...places.slice(0, last).map((end) => carrierThrough(centre, end)), seenLine, ...border];
  const creases: Crease[] = places.map((_, i) => ({ from: 0, to: i + 1, kind: 'U' }));
  const carrierOf = places.map((_, i) => i);
  border.forEach((side, s) => {
    const on = vertices
      .map((p, v) => ({
        v,
        off: Math.abs(side.nx * p[0] + side.ny * p[1] - side.off),
        t: side.dx * p[0] + side.dy * p[1],
      }))
      .filter(({ off }) => off < 1e-9)
      .sort((a, b) => a.t - b.t);
    for (let i = 1; i < on.length; i++) {
      creases.push({ from: on[i - 1].v, to: on[i].v, kind: 'B' });
      carrierOf.push(places.length + s);
    }
  });
  const exact = vertices.map((_, v) =>
    v > places.length
      ? ([
          { p: 0, r: 0, q: 1, root: 2 },
          { p: 0, r: 0, q: 1, root: 2 },
        ] as never)
      : null,
  );
  const pattern: Pattern = { vertices, exact, creases, lattice: null };
  const strays = carriers.map(() => STRAY);
  const directions = carriers.map(() => Number.NaN);
  return { pattern, truth: [centre, ...ends], places: { carriers, carrierOf, strays, directions } };
}

function atBorder([x, y]: PatternPoint, degrees: number): PatternPoint {
  const [c, s] = [Math.cos((degrees * Math.PI) / 180), Math.sin((degrees * Math.PI) / 180)];
  const reach = Math.min(
    c > 0 ? (1 - x) / c : c < 0 ? -x / c : Infinity,
    s > 0 ? (1 - y) / s : s < 0 ? -y / s : Infinity,
  );
  return [x + c * reach, y + s * reach];
}

function sideOf([x, y]: PatternPoint): Carrier {
  const near = [y, 1 - x, 1 - y, x].map(Math.abs);
  const side = near.indexOf(Math.min(...near));
  return carrierThrough(CORNERS[side], CORNERS[(side + 1) % 4]);
}

function crossing(l: Carrier, m: Carrier): PatternPoint {
  const det = l.nx * m.ny - l.ny * m.nx;
  return [(l.off * m.ny - m.off * l.ny) / det, (l.nx * m.off - m.nx * l.off) / det];
}

function deviationAt(pattern: Pattern, v: number): number {
  return Math.abs(kawasakiDeviation(foldsAt(pattern, creasesAround(pattern), v)!.sectorsRad));
}

describe('places that no grid gives', () => {
  // Kawasaki 1989, Justin 1986: 100 + 80 = 70 + 110 = 180 degrees.
  const lawful = [10, 110, 180, 260];

  it('are moved, within what was measured, to where the angles sum to half a turn', () => {
    const { pattern, truth, places } = star([0.45, 0.5], lawful, 0.2);
    expect(deviationAt(pattern, 0)).toBeGreaterThan(1e-3);
    const { vertices } = adjustPlaces(pattern, places)!;
    expect(deviationAt({ ...pattern, vertices }, 0)).toBeLessThan(1e-4);
    const far = (all: readonly PatternPoint[]): number =>
      Math.max(...truth.map(([x, y], v) => Math.hypot(all[v][0] - x, all[v][1] - y)));
    expect(far(vertices)).toBeLessThan(far(pattern.vertices));
  });

  it('stay where the law is broken by more than was measured wrong: that is for the doubts', () => {
    const { pattern, places } = star([0.45, 0.5], lawful, 3, 0);
    const { vertices } = adjustPlaces(pattern, places)!;
    expect(deviationAt({ ...pattern, vertices }, 0)).toBeGreaterThan(0.03);
    vertices.forEach(([x, y], v) => {
      expect(Math.hypot(x - pattern.vertices[v][0], y - pattern.vertices[v][1])).toBeLessThan(STRAY);
    });
  });

  it('lie on lines of their family of directions', () => {
    const { pattern, places } = star([0.45, 0.5], [22.5, 112.5, 180, 247.5], 0.2);
    const directions = places.carriers.map((_, l) => (l === 3 ? (67.5 * Math.PI) / 180 : Number.NaN));
    const { vertices } = adjustPlaces(pattern, { ...places, directions })!;
    const angle = Math.atan2(vertices[0][1] - vertices[4][1], vertices[0][0] - vertices[4][0]);
    expect((angle * 180) / Math.PI).toBeCloseTo(67.5, 2);
  });

  it('are less sure the shallower a line meets the border', () => {
    const { pattern, places } = star([0.45, 0.5], [10, 90, 180, 270], 0);
    const steep = adjustPlaces(pattern, places)!.spread[2];
    const low = star([0.45, 0.06], [90, 180, 270, 353], 0);
    const shallow = adjustPlaces(low.pattern, low.places)!.spread[4];
    expect(shallow).toBeGreaterThan(3 * steep);
  });
});

describe('least squares', () => {
  it('weigh two measurements of one length by their variances', () => {
    // Handbook rule (Gauss 1809): 10 ± 1 and 13 ± 2 give (4 * 10 + 13) / 5 ± sqrt(4 / 5).
    const known = estimate(
      [
        { unknowns: [0], factors: [1], sum: 10, spread: 1 },
        { unknowns: [0], factors: [1], sum: 13, spread: 2 },
      ],
      1,
    )!;
    expect(known.values[0]).toBeCloseTo(10.6, 9);
    // 9 / 5 of the expected square of the misses: the spreads are enlarged by it.
    expect(spreadAt(known, 0, 0)).toBeCloseTo((4 / 5) * (9 / 5), 9);
  });

  it('come to the same whether a condition is known from the start or taken in later', () => {
    const conditions = [
      { unknowns: [0, 1], factors: [1, 2], sum: 3, spread: 0.5 },
      { unknowns: [0], factors: [1], sum: 0.8, spread: 0.4 },
      { unknowns: [1], factors: [1], sum: 1.1, spread: 0.7 },
    ];
    const all = estimate(conditions, 2)!;
    const later = estimate(conditions.slice(1), 2)!;
    admit([conditions[0]], later, 3);
    for (const u of [0, 1]) expect(later.values[u]).toBeCloseTo(all.values[u], 9);
    expect(spreadAt(later, 0, 1)).toBeCloseTo(spreadAt(all, 0, 1), 9);
  });

  it('leave out what disagrees, and are the less sure the more of it does', () => {
    const known = estimate([{ unknowns: [0], factors: [1], sum: 0, spread: 1 }], 1)!;
    const off = [2, 2.2, 2.4, 2.6, 9].map((sum) => ({ unknowns: [0], factors: [1], sum, spread: 0.1 }));
    rescale(off, known);
    expect(spreadAt(known, 0, 0)).toBeGreaterThan(5);
    admit([off[4]], known, 4);
    expect(known.values[0]).not.toBe(0);
    const sure = estimate([{ unknowns: [0], factors: [1], sum: 0, spread: 1 }], 1)!;
    admit([off[4]], sure, 4);
    expect(sure.values[0]).toBe(0);
  });
});

describe('doubts of places', () => {
  const sheet = { polygon: CORNERS, width: 1, height: 1 } as unknown as Sheet;
  const pattern: Pattern = {
    vertices: [
      [0.2, 0.3],
      [0.7, 0.8],
    ],
    exact: [null, null],
    creases: [{ from: 0, to: 1, kind: 'M' }],
    lattice: null,
  };

  it('say how likely a normal error is small enough', () => {
    // Table of the normal distribution: 68.27 % lie within one spread.
    const [{ probability }] = placeFindings(pattern, [0.006, 0], 0, sheet);
    expect(probability).toBeCloseTo(0.6827, 3);
    expect(placeFindings(pattern, [0.002, 0.002], 0, sheet)).toEqual([]);
  });

  it('name all where places may be off together, though they agree with each other', () => {
    // 1 - exp(-1/2), twice: both ends within one spread in two directions.
    const [{ probability }] = placeFindings(pattern, [0.001, 0.001], 0.006, sheet);
    expect(probability).toBeCloseTo((1 - Math.exp(-0.5)) ** 2, 9);
  });

  it('name all on a sheet that is bent by more than a little, where no grid confirms the places', () => {
    const bent = (bow: number) => placeFindings(pattern, [0, 0], 0, { ...sheet, bow });
    expect(bent(0.012)).toHaveLength(1);
    expect(bent(0.004)).toEqual([]);
    const lattice = { kind: 'square', divisionsX: 8, divisionsY: 8, halfUnits: false, residual: 0, fit: 1 } as const;
    expect(placeFindings({ ...pattern, lattice }, [0, 0], 0, { ...sheet, bow: 0.012 })).toEqual([]);
  });

  it('name what hangs on proportions that were measured', () => {
    const wide = { ...sheet, height: 0.8, proportionSpread: 0.01 } as Sheet;
    expect(placeFindings(pattern, [0, 0], 0, wide)).toHaveLength(1);
    const low = {
      ...pattern,
      vertices: [
        [0.2, 0.01],
        [0.7, 0.02],
      ] as const,
    };
    expect(placeFindings(low, [0, 0], 0, wide)).toEqual([]);
  });
});
