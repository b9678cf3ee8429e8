import { clearBit, hasBit, lowestOne, setBit } from './bits.ts';
import { tacoPieces, tacoState } from './follow.ts';
import type { Orders } from './orders.ts';
import { type LayerProblem, sidesMeet } from './problem.ts';
import { tacoFree, tacoPairs } from './taco-table.ts';

/**
 * Splits open pairs into groups that no condition links any more: each can be solved by itself, and the numbers of
 * solutions multiply.
 *
 * @param open numbers of pairs whose order is not known
 */
export function splitOpen(problem: LayerProblem, orders: Orders, open: ArrayLike<number>): number[][] {
  const { pairs, prints, overlaps } = problem;
  const { words, data: overlap } = pairs.overlap;
  const { footprint } = prints;
  // Pairs still to be reached, both ways round; all are taken out again below.
  const waiting = problem.scratch;
  for (let i = 0; i < open.length; i++) {
    const pair = open[i];
    setBit(waiting, pairs.low[pair], pairs.high[pair]);
    setBit(waiting, pairs.high[pair], pairs.low[pair]);
  }
  const groups: number[][] = [];
  let group: number[] = [];
  const reach = (p: number, q: number): void => {
    if (!hasBit(waiting, p, q)) return;
    clearBit(waiting, p, q);
    clearBit(waiting, q, p);
    group.push(pairs.of(p, q));
  };
  const reachByTransitivity = (a: number, c: number): void => {
    // b such that a:b is open and all three share ground: a:b and a:c cannot be chosen apart.
    for (let w = 0; w < words; w++)
      for (let bits = waiting.data[a * words + w] & overlap[c * words + w]; bits !== 0; bits &= bits - 1) {
        const b = (w << 5) + lowestOne(bits);
        if (overlaps.threefold(footprint[a], footprint[b], footprint[c])) reach(a, b);
      }
  };
  for (let i = 0; i < open.length; i++) {
    group = [];
    reach(pairs.low[open[i]], pairs.high[open[i]]);
    if (group.length === 0) continue;
    for (let head = 0; head < group.length; head++) {
      const [a, c] = [pairs.low[group[head]], pairs.high[group[head]]];
      reachByTransitivity(a, c);
      reachByTransitivity(c, a);
      reachBySides(problem, orders, a, c, reach);
      reachBySides(problem, orders, c, a, reach);
    }
    groups.push(group);
  }
  return groups;
}

function reachBySides(
  problem: LayerProblem,
  orders: Orders,
  a: number,
  c: number,
  reach: (p: number, q: number) => void,
): void {
  const { pieces, prints, overlaps } = problem;
  for (let s = pieces.start[a]; s < pieces.start[a + 1]; s++) {
    if (pieces.mate[s] < 0) continue;
    const beyond = pieces.piece[pieces.mate[s]];
    if (hasBit(overlaps.crossed, prints.segment[s], prints.footprint[c])) reach(beyond, c);
    for (let t = pieces.start[c]; t < pieces.start[c + 1]; t++)
      if (pieces.mate[t] >= 0 && pieces.mate[t] !== s && sidesMeet(problem, s, t))
        reachMeeting(problem, orders, s, t, reach);
    if (beyond !== c || pieces.crease[s] < 0) continue;
    const line = prints.line[prints.segment[s]];
    for (let i = problem.onLine[line]; i < problem.onLine[line + 1]; i++) {
      const t = problem.lineSides[i];
      if (t === s || t === pieces.mate[s] || !sidesMeet(problem, s, t)) continue;
      reachMeeting(problem, orders, s, t, reach);
    }
  }
}

function reachMeeting(
  problem: LayerProblem,
  orders: Orders,
  s: number,
  t: number,
  reach: (p: number, q: number) => void,
): void {
  const { pieces } = problem;
  const [a, a2, b, b2] = tacoPieces(problem, s, t);
  const [joinS, joinT] = [pieces.crease[s] < 0, pieces.crease[t] < 0];
  if (!joinS && !joinT) {
    if (tacoFree[tacoState(orders, a, a2, b, b2)]) return;
    for (const [p, q] of tacoPairs([a, a2, b, b2])) reach(p, q);
    return;
  }
  if (joinS && joinT) reach(a2, b2);
  else if (joinS) reach(a, b2);
  else reach(a2, b);
}
