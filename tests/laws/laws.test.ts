import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkVertices, countAssignments, foldsFlatAtVertex, legalAssignments } from '../../pipeline/laws/laws.ts';
import type { Exact, ExactPoint, Kind, Pattern } from '../../pipeline/types.ts';
import { assignmentsByLayerOrders } from './layer-oracle.ts';

const kinds = (letters: string): Kind[] => [...letters] as Kind[];
const whole = (p: number, r = 0, q = 1): Exact => ({ p, r, q, root: 2 });
const value = ({ p, r, q, root }: Exact): number => (p + r * Math.sqrt(root)) / q;

/** One vertex at (1/2, 1/2) with rays to the given exact ends; no border, so only the laws speak. */
function star(ends: readonly ExactPoint[], letters: string, exact = true): Pattern {
  const centre: ExactPoint = [whole(1, 0, 2), whole(1, 0, 2)];
  const points = [centre, ...ends];
  const ring = ends.map((_, i) => ({ from: i + 1, to: ((i + 1) % ends.length) + 1, kind: 'B' as Kind }));
  return {
    vertices: points.map(([x, y]) => [value(x), value(y)]),
    exact: exact ? points : points.map(() => null),
    creases: [...kinds(letters).map((kind, i) => ({ from: 0, to: i + 1, kind })), ...ring],
    lattice: null,
  };
}
const cross = [
  [whole(1), whole(1, 0, 2)],
  [whole(1, 0, 2), whole(1)],
  [whole(0), whole(1, 0, 2)],
  [whole(1, 0, 2), whole(0)],
] as const;

describe('checkVertices', () => {
  it.each([
    ['MMMV', []],
    ['VVMV', []],
    ['UUUU', []],
    ['MUVU', []],
    ['MMVV', ['maekawa']],
    ['MMMM', ['maekawa']],
    ['MFVF', ['maekawa']],
    ['MFMF', []],
    ['MVMF', ['even-degree']],
    ['BVMM', []],
  ])('a square cross lettered %s breaks %j', (letters, laws) => {
    expect(checkVertices(star(cross, letters)).map((b) => b.law)).toEqual(laws);
  });

  it('names Kawasaki with its amount in degrees', () => {
    const bent = [...cross.slice(0, 3), [whole(3, 0, 4), whole(0)]] as const;
    const [broken] = checkVertices(star(bent, 'MMMV'));
    expect(broken).toMatchObject({ law: 'kawasaki', vertex: 0 });
    expect(Math.abs(broken.amount)).toBeCloseTo((Math.atan2(1, 2) * 180) / Math.PI, 9);
  });

  it('tells big-little-big from a crimp that fails later', () => {
    // Sectors 45, 90, 135, 90.
    const little = [cross[0], [whole(1), whole(1)], [whole(0), whole(1)], [whole(1, 0, 2), whole(0)]] as const;
    expect(checkVertices(star(little, 'MMVM'))[0].law).toBe('big-little-big');
    expect(checkVertices(star(little, 'MMVM'))[0].creases).toEqual([0, 1]);
    expect(checkVertices(star(little, 'MVMM'))).toEqual([]);
  });

  it('excuses a measured vertex within its tolerance and no exact one', () => {
    const off = 1e-3;
    const nudged = star(cross, 'MMMV', false);
    const moved: Pattern = { ...nudged, vertices: [...nudged.vertices.slice(0, 4), [0.5 + off, 0]] };
    expect(checkVertices(moved).map((b) => b.law)).toContain('kawasaki');
    expect(checkVertices(moved, { positionTolerance: 2 * off })).toEqual([]);
    const lattice = { kind: 'square', divisionsX: 2, divisionsY: 2, halfUnits: false, residual: off, fit: 1 } as const;
    expect(checkVertices({ ...moved, lattice })).toEqual([]);
    const exactly = star([cross[0], cross[1], cross[2], [whole(500001, 0, 1000000), whole(0)]], 'MMMV');
    expect(checkVertices(exactly, { positionTolerance: 1 }).map((b) => b.law)).toContain('kawasaki');
  });

  it('decides Kawasaki in whole numbers where doubles cannot', () => {
    // Neighbouring Fibonacci ratios: the two directions differ by 1 / (|u|·|w|), below 1e-16 radians.
    const [u, w] = [
      [102334155, 63245986],
      [165580141, 102334155],
    ];
    expect(BigInt(u[0]) * BigInt(w[1]) - BigInt(u[1]) * BigInt(w[0])).toBe(-1n);
    const q = 4 * w[0];
    const near = (dx: number, dy: number): ExactPoint => [whole(q / 2 + dx, 0, q), whole(q / 2 + dy, 0, q)];
    const ends = [near(u[0], u[1]), near(-u[1], u[0]), near(-u[0], -u[1]), near(u[1], -u[0])];
    expect(checkVertices(star(ends, 'MMMV'))).toEqual([]);
    const wrong = checkVertices(star(ends.with(2, near(-w[0], -w[1])), 'MMMV'));
    expect(wrong.map((b) => b.law)).toEqual(['kawasaki']);
    expect(Math.abs(wrong[0].amount)).toBeLessThan(1e-12);
  });
});

describe('one vertex', () => {
  const evenSectors = (most: number): fc.Arbitrary<number[]> =>
    fc.integer({ min: 1, max: most }).chain((half) =>
      fc
        .tuple(
          fc.array(fc.integer({ min: 1, max: 5 }), { minLength: half, maxLength: half }),
          fc.array(fc.integer({ min: 1, max: 5 }), { minLength: half, maxLength: half }),
        )
        .map(([even, odd]) => {
          // Both alternate sums become (Σ even)·(Σ odd), so whole numbers stay comparable exactly.
          const [sumEven, sumOdd] = [even, odd].map((list) => list.reduce((a, b) => a + b, 0));
          return even.flatMap((size, i) => [size * sumOdd, odd[i] * sumEven]);
        }),
    );
  const radians = (sectors: readonly number[]): number[] => {
    const turn = sectors.reduce((a, b) => a + b, 0);
    return sectors.map((s) => (s / turn) * 2 * Math.PI);
  };

  it('crimps agree with trying every layer order', () => {
    fc.assert(
      fc.property(evenSectors(3), (sectors) => {
        const letters = legalAssignments(radians(sectors), kinds('U'.repeat(sectors.length))).map((l) => l.join(''));
        expect(new Set(letters)).toEqual(assignmentsByLayerOrders(sectors));
      }),
      { numRuns: 60, seed: 3 },
    );
  });

  it('counts, lists and single tests agree, whatever letters are given', () => {
    fc.assert(
      fc.property(
        evenSectors(5),
        fc.array(fc.constantFrom('M', 'V', 'U'), { minLength: 10, maxLength: 10 }),
        (s, given) => {
          const sectors = radians(s);
          const letters = kinds(given.slice(0, s.length).join(''));
          const listed = legalAssignments(sectors, letters);
          expect(countAssignments(sectors, letters)).toBe(BigInt(listed.length));
          expect(foldsFlatAtVertex(sectors, letters)).toBe(listed.length > 0);
          for (const full of listed) {
            expect(foldsFlatAtVertex(sectors, full)).toBe(true);
            expect(letters.every((l, i) => l === 'U' || l === full[i])).toBe(true);
          }
        },
      ),
      { numRuns: 200, seed: 5 },
    );
  });

  it('turning the vertex, mirroring it or swapping all kinds does not change the answer', () => {
    fc.assert(
      fc.property(evenSectors(6), fc.nat(), fc.array(fc.boolean(), { minLength: 12, maxLength: 12 }), (s, by, bits) => {
        const n = s.length;
        const sectors = radians(s);
        const letters: Kind[] = s.map((_, i) => (bits[i] ? 'M' : 'V'));
        const answer = foldsFlatAtVertex(sectors, letters);
        const turned = (list: readonly number[]): number[] => list.map((_, i) => list[(i + by) % n]);
        expect(
          foldsFlatAtVertex(
            turned(sectors),
            letters.map((_, i) => letters[(i + by) % n]),
          ),
        ).toBe(answer);
        // Mirrored, crease i comes to n - 1 - i and sector i (between i and i + 1) to n - 2 - i.
        const mirrored = sectors.map((_, i) => sectors[(2 * n - 2 - i) % n]);
        expect(foldsFlatAtVertex(mirrored, [...letters].reverse())).toBe(answer);
        expect(
          foldsFlatAtVertex(
            sectors,
            letters.map((l) => (l === 'M' ? 'V' : 'M')),
          ),
        ).toBe(answer);
      }),
      { numRuns: 200, seed: 7 },
    );
  });

  it('works at degree 1,000, where the count has hundreds of digits', () => {
    const sectors = new Array<number>(1000).fill((2 * Math.PI) / 1000);
    const letters: Kind[] = sectors.map((_, i) => (i < 501 ? 'M' : 'V'));
    expect(foldsFlatAtVertex(sectors, letters)).toBe(true);
    expect(foldsFlatAtVertex(sectors, letters.with(0, 'V'))).toBe(false);
    expect(countAssignments(sectors).toString().length).toBeGreaterThan(290);
  });
});
