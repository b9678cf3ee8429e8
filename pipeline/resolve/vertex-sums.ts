/** Sums over all ways in which one vertex folds flat, weighted by how likely each crease is mountain or valley. */
import type { CrimpGroup } from '../laws/crimp.ts';

export interface VertexSums {
  /** For each crease, the weight of all legal letterings of the OTHERS when it is a mountain, and when it is a valley. */
  readonly asMountain: Float64Array;
  readonly asValley: Float64Array;
}

/**
 * Every id in the crimp groups is used once, so the groups make a tree: sums run up it, then down.
 *
 * @param mountain weight of each crease being a mountain; the valley's is one less it
 * Source of the groups: Bern & Hayes 1996, Hull 2003 (see laws/crimp.ts).
 */
export function vertexSums(groups: readonly CrimpGroup[], mountain: ArrayLike<number>): VertexSums {
  const degree = mountain.length;
  const ids = degree + groups.filter(({ made }) => made >= 0).length;
  const upM = new Float64Array(ids);
  const upV = new Float64Array(ids);
  for (let i = 0; i < degree; i++) {
    upM[i] = mountain[i];
    upV[i] = 1 - mountain[i];
  }
  // Groups that must balance multiply; each is left out of its own members' sums.
  const whole = new Float64Array(groups.length).fill(1);
  groups.forEach(({ rule, members, made }, g) => {
    const ways = waysOf(members, upM, upV);
    const half = members.length >> 1;
    if (rule === 'one-over') {
      upM[made] = ways[half + 1];
      upV[made] = ways[half];
    } else whole[g] = rule === 'balanced' ? ways[half] : ways[half + 1] + ways[half - 1];
  });
  const downM = new Float64Array(ids);
  const downV = new Float64Array(ids);
  for (let g = groups.length - 1; g >= 0; g--) {
    const { rule, members, made } = groups[g];
    const n = members.length;
    const half = n >> 1;
    let rest = 1;
    if (rule !== 'one-over')
      whole.forEach((w, other) => {
        if (other !== g) rest *= w;
      });
    for (let k = 0; k < n; k++) {
      const others = waysOf(members, upM, upV, k);
      const at = (m: number) => (m >= 0 && m < n ? others[m] : 0);
      const id = members[k];
      if (rule === 'one-over') {
        downM[id] = downM[made] * at(half) + downV[made] * at(half - 1);
        downV[id] = downM[made] * at(half + 1) + downV[made] * at(half);
      } else if (rule === 'balanced') {
        downM[id] = rest * at(half - 1);
        downV[id] = rest * at(half);
      } else {
        downM[id] = rest * (at(half) + at(half - 2));
        downV[id] = rest * (at(half + 1) + at(half - 1));
      }
    }
  }
  return { asMountain: downM.slice(0, degree), asValley: downV.slice(0, degree) };
}

/** Weight of the letterings of some creases with m mountains, by m; without the one at place `without`. */
function waysOf(members: readonly number[], asM: Float64Array, asV: Float64Array, without = -1): Float64Array {
  const ways = new Float64Array(members.length + 2);
  ways[0] = 1;
  let done = 0;
  for (let k = 0; k < members.length; k++) {
    if (k === without) continue;
    const [m, v] = [asM[members[k]], asV[members[k]]];
    done++;
    for (let j = done; j > 0; j--) ways[j] = ways[j] * v + ways[j - 1] * m;
    ways[0] *= v;
  }
  return ways;
}
