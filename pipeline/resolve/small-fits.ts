/** Last resort where nothing exact reaches a line: a small number that its measured offset allows. */
import { exact, toNumber } from '../geometry/exact.ts';
import type { Exact } from '../types.ts';
import {
  cloneState,
  countAgreement,
  type ExactState,
  type GrowRules,
  growExact,
  type Incidence,
} from './grow-exact.ts';

/** Halvings that a folder makes by eye or by reference. */
const DENOMINATORS = [1, 2, 4, 8];
const MOST_ROOTS = 6;
/** The neighbourhood over which rival numbers are counted, in tolerances to either side. */
const WINDOW = 40;
/** Most numbers as simple as the chosen one that chance would put within the tolerance. */
const MOST_BY_CHANCE = 0.05;
/** Longest denominators that are believed, bits for both coordinates together. */
const MOST_BITS = 4.5;
const MOST_LINES = 40;
export interface SmallFit {
  readonly value: Exact;
  /** Numbers at least as simple that chance puts as near. */
  readonly byChance: number;
}

/** How involved (p + r·√root) / q is to construct. */
function involvement(p: number, r: number, q: number): number {
  return q * (1 + Math.abs(p) + 2 * Math.abs(r));
}

/** The simplest exact number within `tolerance` of a measured one; null where there is none. */
export function smallFit(measured: number, tolerance: number, root: 2 | 3): SmallFit | null {
  const sqrt = Math.sqrt(root);
  const near: { p: number; r: number; q: number; cost: number; distance: number }[] = [];
  for (const q of DENOMINATORS) {
    for (let r = -MOST_ROOTS; r <= MOST_ROOTS; r++) {
      const low = Math.ceil((measured - WINDOW * tolerance) * q - r * sqrt);
      const high = Math.floor((measured + WINDOW * tolerance) * q - r * sqrt);
      for (let p = low; p <= high; p++) {
        // Counted with its own, smallest denominator only.
        if (q > 1 && p % 2 === 0 && r % 2 === 0) continue;
        near.push({ p, r, q, cost: involvement(p, r, q), distance: Math.abs((p + r * sqrt) / q - measured) });
      }
    }
  }
  let best: (typeof near)[number] | null = null;
  for (const n of near) if (n.distance <= tolerance && (!best || n.cost < best.cost)) best = n;
  if (!best) return null;
  const most = best.cost;
  const rivals = near.filter((n) => n.cost <= most).length - 1;
  return { value: exact(best.p, best.q, best.r, root), byChance: (rivals + 0.5) / WINDOW };
}

/**
 * Tries small numbers for lines of the family that are not exact yet, longest first. A number stays only if chance would
 * hardly have put one as simple so near, and if what follows from it contradicts nothing and is simple too: wrong numbers
 * soon breed large denominators.
 *
 * @param tolerance how far the middle of a line may lie from where it should be, pattern units
 */
export function seedSmallNumbers(
  inc: Incidence,
  start: ExactState,
  rules: GrowRules,
  tolerance: number,
  root: 2 | 3,
): ExactState {
  let state = start;
  const order = inc.lines
    .map((line, l) => ({ l, weight: line.length * inc.verticesOn[l].length }))
    .filter(({ l, weight }) => weight > 0 && !start.lines[l] && rules.normalOf(l))
    .sort((a, b) => b.weight - a.weight)
    .slice(0, MOST_LINES);
  for (const { l } of order) {
    const normal = rules.normalOf(l);
    if (state.lines[l] || !normal) continue;
    const [a, b] = [toNumber(normal[0]), toNumber(normal[1])];
    const offsets = inc.verticesOn[l].map((v) => a * inc.places[v][0] + b * inc.places[v][1]);
    const middle = offsets.reduce((sum, o) => sum + o, 0) / offsets.length;
    const fit = smallFit(middle, tolerance * Math.hypot(a, b), root);
    if (!fit || fit.byChance > MOST_BY_CHANCE) continue;
    const next = cloneState(state);
    next.lines[l] = { a: normal[0], b: normal[1], c: fit.value };
    growExact(inc, next, rules);
    const isSound = next.lines[l] && countAgreement(inc, next).missed <= countAgreement(inc, state).missed;
    if (isSound && denominatorBits(state, next) <= MOST_BITS) state = next;
  }
  return state;
}

/** How long the denominators of newly exact points are, on average, in bits for both coordinates; infinite for none. */
function denominatorBits(before: ExactState, after: ExactState): number {
  let [sum, count] = [0, 0];
  after.points.forEach((point, v) => {
    if (!point || before.points[v]) return;
    sum += Math.log2(point[0].q) + Math.log2(point[1].q);
    count++;
  });
  return count > 0 ? sum / count : Number.POSITIVE_INFINITY;
}
