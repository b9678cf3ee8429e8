import { describe, expect, it } from 'vitest';
import { countAssignments, foldsFlatAtVertex, legalAssignments } from '../../pipeline/laws/laws.ts';
import type { Kind } from '../../pipeline/types.ts';
import { assignmentsByLayerOrders } from '../laws/layer-oracle.ts';

const degrees = (...sectors: number[]): number[] => sectors.map((degree) => (degree * Math.PI) / 180);
const kinds = (letters: string): Kind[] => [...letters] as Kind[];
const free = (n: number): Kind[] => kinds('U'.repeat(n));

describe('counts of assignments at one vertex', () => {
  // Hull 2003, Ars Combin. 67, 175-188; equal angles: 2·C(2n, n-1).
  it.each([
    [2, 2n],
    [4, 8n],
    [6, 30n],
    [8, 112n],
    [10, 420n],
  ])('degree %i with equal angles has %s', (degree, expected) => {
    expect(countAssignments(new Array<number>(degree).fill((2 * Math.PI) / degree))).toBe(expected);
  });

  // Worked cases computed for this project by trying every layer order (SOURCES, section 1).
  it.each([
    [[60, 70, 120, 110], 4n],
    [[60, 60, 120, 120], 6n],
    [[60, 90, 120, 90], 4n],
    [[90, 90, 90, 90], 8n],
    [[30, 50, 70, 60, 80, 70], 8n],
    [[50, 50, 50, 70, 80, 60], 12n],
    [[45, 45, 45, 45, 90, 90], 20n],
  ])('sectors %j have %s', (sectors, expected) => {
    const angles = degrees(...sectors);
    expect(countAssignments(angles)).toBe(expected);
    expect(legalAssignments(angles, free(sectors.length))).toHaveLength(Number(expected));
  });

  // OEIS A156209: the numbers that occur at degrees 4, 6 and 8.
  it.each([
    [4, 30, [4, 6, 8]],
    [6, 20, [8, 12, 16, 18, 20, 24, 30]],
    [8, 15, [16, 24, 32, 36, 40, 48, 54, 60, 70, 72, 80, 90, 112]],
  ])('degree %i: over sectors in steps of %i degrees all and only the listed numbers occur', (degree, step, listed) => {
    const seen = new Set<number>();
    for (const sectors of kawasakiSectors(degree, 180 / step)) {
      seen.add(Number(countAssignments(sectors.map((s) => (s * step * Math.PI) / 180))));
    }
    for (const n of seen) expect(listed).toContain(n);
    if (degree < 8) expect([...seen].sort((a, b) => a - b)).toEqual(listed);
    expect(seen.size).toBeGreaterThan(2);
  });

  it('agrees with every layer order tried, for all sectors in steps of 30 degrees at degrees 4 and 6', () => {
    let compared = 0;
    for (const degree of [4, 6])
      for (const sectors of kawasakiSectors(degree, 6)) {
        const angles = degrees(...sectors.map((s) => s * 30));
        const byOrders = assignmentsByLayerOrders(sectors);
        const byCrimps = legalAssignments(angles, free(degree)).map((letters) => letters.join(''));
        expect(new Set(byCrimps)).toEqual(byOrders);
        expect(countAssignments(angles)).toBe(BigInt(byOrders.size));
        compared++;
      }
    expect(compared).toBeGreaterThan(100);
  });
});

describe('single-vertex laws', () => {
  // Maekawa: Kasahara & Takahama 1987; Justin 1986.
  it('every legal assignment has M - V = ±2', () => {
    for (const sectors of kawasakiSectors(6, 6))
      for (const letters of legalAssignments(degrees(...sectors.map((s) => s * 30)), free(6))) {
        const mountains = letters.filter((l) => l === 'M').length;
        expect(Math.abs(mountains - (6 - mountains))).toBe(2);
      }
  });

  // Big-little-big lemma: Kawasaki 1989; Hull 1994; Demaine & O'Rourke 2007.
  it('a sector smaller than both neighbours lies between one mountain and one valley', () => {
    for (const letters of legalAssignments(degrees(60, 90, 120, 90), free(4))) expect(letters[0]).not.toBe(letters[1]);
  });

  // Kawasaki 1989, Justin 1989: alternate angles sum to 180 degrees, or nothing folds.
  it('unequal alternate sums leave no assignment', () => {
    expect(countAssignments(degrees(80, 90, 100, 90))).toBe(4n);
    expect(countAssignments(degrees(80, 90, 91, 99))).toBe(0n);
    expect(countAssignments(degrees(120, 120, 120))).toBe(0n);
  });

  // Demaine & O'Rourke 2007, chapter 12: the sums alone do not suffice once letters are given.
  it('a vertex that passes Kawasaki and Maekawa and yet cannot fold', () => {
    const sectors = [60, 90, 120, 90];
    expect(sectors[0] + sectors[2]).toBe(180);
    expect(foldsFlatAtVertex(degrees(...sectors), kinds('MMMV'))).toBe(false);
    expect(assignmentsByLayerOrders(sectors).has('MMMV')).toBe(false);
    expect(foldsFlatAtVertex(degrees(...sectors), kinds('MVMM'))).toBe(true);
    expect(assignmentsByLayerOrders(sectors).has('MVMM')).toBe(true);
  });
});

/** Sectors as whole numbers of steps, alternate sums `half` each. */
function* kawasakiSectors(degree: number, half: number): Generator<number[]> {
  const parts = degree / 2;
  for (const even of compositions(half, parts))
    for (const odd of compositions(half, parts)) yield even.flatMap((size, i) => [size, odd[i]]);
}

function* compositions(total: number, parts: number): Generator<number[]> {
  if (parts === 1) {
    if (total > 0) yield [total];
    return;
  }
  for (let first = 1; first <= total - parts + 1; first++)
    for (const rest of compositions(total - first, parts - 1)) yield [first, ...rest];
}
