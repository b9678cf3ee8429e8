/**
 * Flat folding of one vertex, by crimps.
 *
 * A smallest run of equal sectors between strictly larger ones is folded away first. How many of its creases must be
 * mountains does not depend on what the rest of the vertex does, so the order of crimps is a property of the ANGLES
 * alone: it is worked out once as a list of groups, and the letters are judged on that list.
 *
 *        L │ s │ s │ R        k = 2 equal sectors, k + 1 = 3 creases  → one crease is left, of the more frequent letter
 *        L │ s │ R            k = 1, two creases, one M and one V     → L - s + R becomes one sector
 *
 * Sources: Bern & Hayes 1996 (SODA, 175-183); Hull 2003 (Ars Combin. 67, 175-188) for the counts; Demaine & O'Rourke
 * 2007, chapter 12.
 */

/** What must hold between the letters of a group: M = V; |M - V| = 1 (majority lives on as `made`); |M - V| = 2. */
export type GroupRule = 'balanced' | 'one-over' | 'two-over';

export interface CrimpGroup {
  readonly rule: GroupRule;
  /** Ids of creases: 0..degree-1 are the vertex's own, larger ones were made by earlier groups. */
  readonly members: readonly number[];
  /** Id of the crease that is left, for 'one-over'; -1 otherwise. */
  readonly made: number;
}

/** Letters that a crease may take, as bits. */
export const MAY_BE_MOUNTAIN = 1;
export const MAY_BE_VALLEY = 2;
export const MAY_BE_BOTH = 3;

/**
 * Order of crimps for sector angles around a vertex; sector i lies between crease i and crease i + 1 (the last wraps).
 *
 * @param sectorsRad sector angles, radians, summing to a full turn
 * @param toleranceRad sectors that differ by less are taken as equal
 * @returns groups in the order to be judged, the last one 'two-over'; null where the alternate sums differ (Kawasaki) or
 * the degree is odd, so that no letters fold. Time is linear in the degree.
 */
export function crimpGroups(sectorsRad: ArrayLike<number>, toleranceRad: number): CrimpGroup[] | null {
  const degree = sectorsRad.length;
  if (degree === 0) return [];
  if (degree % 2 === 1) return null;
  let widest = 0;
  for (let i = 1; i < degree; i++) if (sectorsRad[i] > sectorsRad[widest]) widest = i;
  // Waiting sectors, each with the crease before it. Taken up from the widest, so that runs rarely meet the seam.
  const waitingSector: number[] = [];
  const waitingCrease: number[] = [];
  for (let j = 0; j < degree; j++) {
    const i = (widest + j) % degree;
    waitingSector.push(sectorsRad[i]);
    waitingCrease.push(i);
  }
  // Sectors taken up, never growing from bottom to top.
  const sector: number[] = [];
  const crease: number[] = [];
  let bottom = 0;
  let head = 0;
  let nextId = degree;
  const groups: CrimpGroup[] = [];
  for (;;) {
    while (head < waitingSector.length) {
      let right = waitingSector[head];
      let before = waitingCrease[head++];
      for (;;) {
        const top = sector.length;
        if (top === bottom || !(right - sector[top - 1] > toleranceRad)) {
          sector.push(right);
          crease.push(before);
          break;
        }
        const small = sector[top - 1];
        const start = runStart(sector, bottom, toleranceRad);
        if (start === bottom) {
          // Nothing taken up is larger on the left: the run waits behind the rest, `right` is the widest from now on.
          for (let i = start; i < top; i++) {
            waitingSector.push(sector[i]);
            waitingCrease.push(crease[i]);
          }
          bottom = top;
          sector.push(right);
          crease.push(before);
          break;
        }
        const members = crease.slice(start);
        members.push(before);
        if ((top - start) % 2 === 0) {
          groups.push({ rule: 'one-over', members, made: nextId });
          before = nextId++;
          sector.length = start;
          crease.length = start;
        } else {
          groups.push({ rule: 'balanced', members, made: -1 });
          right += sector[start - 1] - small;
          before = crease[start - 1];
          sector.length = start - 1;
          crease.length = start - 1;
        }
      }
    }
    const top = sector.length;
    if (!(sector[bottom] - sector[top - 1] > toleranceRad)) break;
    // One sector against a run of smaller ones cannot have equal alternate sums.
    if (runStart(sector, bottom, toleranceRad) === bottom + 1) return null;
    waitingSector.push(sector[bottom]);
    waitingCrease.push(crease[bottom]);
    bottom++;
  }
  const members = crease.slice(bottom);
  if (members.length % 2 === 1) return null;
  groups.push({ rule: 'two-over', members, made: -1 });
  return groups;
}

function runStart(sector: readonly number[], bottom: number, tolerance: number): number {
  const value = sector[sector.length - 1];
  let start = sector.length - 1;
  while (start > bottom && Math.abs(sector[start - 1] - value) <= tolerance) start--;
  return start;
}

/**
 * Whether letters exist within `may` that satisfy every group.
 *
 * @param may bits MAY_BE_… of each crease of the vertex
 * @returns index of the first group that cannot be satisfied, or -1 where the vertex folds flat
 */
export function firstFailingGroup(groups: readonly CrimpGroup[], may: ArrayLike<number>): number {
  const degree = may.length;
  const made: number[] = [];
  for (let g = 0; g < groups.length; g++) {
    const { rule, members } = groups[g];
    let mountains = 0;
    let valleys = 0;
    for (const id of members) {
      const letters = id < degree ? may[id] : made[id - degree];
      if (letters === MAY_BE_MOUNTAIN) mountains++;
      else if (letters === MAY_BE_VALLEY) valleys++;
      else if (letters === 0) return g;
    }
    const half = members.length >> 1;
    const most = Math.max(mountains, valleys);
    const least = Math.min(mountains, valleys);
    if (rule === 'balanced') {
      if (most > half) return g;
    } else if (rule === 'two-over') {
      if (most > half + 1 || least > half - 1) return g;
    } else {
      let letters = 0;
      if (mountains <= half + 1 && valleys <= half) letters |= MAY_BE_MOUNTAIN;
      if (valleys <= half + 1 && mountains <= half) letters |= MAY_BE_VALLEY;
      if (letters === 0) return g;
      made.push(letters);
    }
  }
  return -1;
}

/** Number of ways to choose letters within `may` that fold flat (Hull 2003, by the same groups). */
export function countWithin(groups: readonly CrimpGroup[], may: ArrayLike<number>): bigint {
  const asMountain: bigint[] = [];
  const asValley: bigint[] = [];
  for (let i = 0; i < may.length; i++) {
    asMountain.push(may[i] & MAY_BE_MOUNTAIN ? 1n : 0n);
    asValley.push(may[i] & MAY_BE_VALLEY ? 1n : 0n);
  }
  let total = 1n;
  for (const { rule, members } of groups) {
    // ways[m]: weight of the choices with m mountains among the members so far.
    let ways: bigint[] = [1n];
    for (const id of members) {
      const grown = new Array<bigint>(ways.length + 1).fill(0n);
      for (let m = 0; m < ways.length; m++) {
        grown[m] += ways[m] * asValley[id];
        grown[m + 1] += ways[m] * asMountain[id];
      }
      ways = grown;
    }
    const half = members.length >> 1;
    if (rule === 'balanced') total *= ways[half];
    else if (rule === 'two-over') total *= ways[half + 1] + ways[half - 1];
    else {
      asMountain.push(ways[half + 1]);
      asValley.push(ways[half]);
    }
  }
  return total;
}
