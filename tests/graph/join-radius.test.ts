/** Where the number of vertices stands still: clusters of points with a known number and known gaps. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { settledRadius } from '../../pipeline/graph/join-radius.ts';
import { evenly } from '../evenly.ts';

/** Number of groups of numbers on a line that gaps up to `radius` join. */
const groupsWithin = (at: readonly number[]) => (radius: number) => {
  const sorted = [...at].sort((a, b) => a - b);
  return sorted.filter((v, i) => i === 0 || v - sorted[i - 1] > radius).length;
};

describe('the radius at which places that belong together are joined', () => {
  it('lies between the scatter within a place and the distance of places', () => {
    fc.assert(
      fc.property(
        fc.array(fc.array(evenly(-0.0034, 0.0034), { minLength: 2, maxLength: 6 }), { minLength: 4, maxLength: 12 }),
        (scatter) => {
          // Places 0.06 apart, each met several times within 0.0034 of it.
          const at = scatter.flatMap((offs, place) => offs.map((off) => 0.06 * place + off));
          const radius = settledRadius(0.004, groupsWithin(at));
          expect(groupsWithin(at)(radius) - scatter.length).toBeLessThanOrEqual(1);
          expect(radius).toBeLessThan(0.03);
        },
      ),
      { seed: 5, numRuns: 100 },
    );
  });

  it('stays as it is where places are met exactly', () => {
    const at = Array.from({ length: 15 }, (_, k) => 0.05 * k);
    expect(settledRadius(0.004, groupsWithin(at))).toBe(0.004);
  });

  it('stays as it is where gaps of every size occur, so that none tells scatter from detail', () => {
    const at = [0];
    for (let gap = 0.003; gap < 0.04; gap *= 1.045) at.push(at[at.length - 1] + gap);
    expect(settledRadius(0.004, groupsWithin(at))).toBe(0.004);
  });
});
