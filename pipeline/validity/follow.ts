import { hasBit, lowestOne } from './bits.ts';
import { BECAUSE_GIVEN, BECAUSE_SAME, BECAUSE_TACOS, BECAUSE_TRANSITIVE, note, type Orders } from './orders.ts';
import { type LayerProblem, sidesMeet } from './problem.ts';
import { TACO_ORDERS, tacoActs, tacoBroken, tacoForced } from './taco-table.ts';

/**
 * Follows up known orders until nothing new comes of them:
 *   transitivity     a below b, b below c, common ground of all three: a below c
 *   taco-tortilla    a piece that a fold runs through lies on one side of BOTH layers of the fold
 *   tortilla-tortilla  two pieces that pass each other's joins keep their order
 *   taco-taco        two folds on one spot that open to the same side do not interleave
 * Conditions after Justin 1997; Akitaya, Demaine & Ku 2017.
 *
 * @param each called for every order followed; may note more and returns false on a contradiction
 * @returns false on a contradiction, which then stands in orders.conflict
 */
export function followUp(
  problem: LayerProblem,
  orders: Orders,
  each: (lower: number, upper: number) => boolean,
): boolean {
  while (orders.followed < orders.length) {
    const lower = orders.lower[orders.followed];
    const upper = orders.upper[orders.followed++];
    const sound =
      followSides(problem, orders, lower, upper) &&
      followTransitive(problem, orders, lower, upper) &&
      each(lower, upper);
    if (!sound) return false;
  }
  return true;
}

function followTransitive(problem: LayerProblem, orders: Orders, a: number, b: number): boolean {
  const { words, data: above } = orders.above;
  const below = orders.below.data;
  const rowA = a * words;
  const rowB = b * words;
  for (let w = 0; w < words; w++) {
    // A piece above b and below a closes a ring.
    for (let ring = above[rowB + w] & below[rowA + w]; ring !== 0; ring &= ring - 1) {
      const c = (w << 5) + lowestOne(ring);
      if (shareGround(problem, a, b, c) && !note(problem, orders, a, c, BECAUSE_TRANSITIVE, b, 0)) return false;
    }
  }
  const { words: summaryWords, data: summary } = orders.openWords;
  const open = orders.open.data;
  for (let i = 0; i < summaryWords; i++) {
    for (let some = summary[a * summaryWords + i]; some !== 0; some &= some - 1) {
      const w = (i << 5) + lowestOne(some);
      for (let over = above[rowB + w] & open[rowA + w]; over !== 0; over &= over - 1) {
        const c = (w << 5) + lowestOne(over);
        if (shareGround(problem, a, b, c) && !note(problem, orders, a, c, BECAUSE_TRANSITIVE, b, 0)) return false;
      }
    }
    for (let some = summary[b * summaryWords + i]; some !== 0; some &= some - 1) {
      const w = (i << 5) + lowestOne(some);
      for (let under = below[rowA + w] & open[rowB + w]; under !== 0; under &= under - 1) {
        const c = (w << 5) + lowestOne(under);
        if (shareGround(problem, a, b, c) && !note(problem, orders, c, b, BECAUSE_TRANSITIVE, a, 0)) return false;
      }
    }
  }
  return true;
}

function shareGround({ prints: { footprint }, overlaps }: LayerProblem, a: number, b: number, c: number): boolean {
  return overlaps.threefold(footprint[a], footprint[b], footprint[c]);
}

function followSides(problem: LayerProblem, orders: Orders, lower: number, upper: number): boolean {
  const { pieces, prints, overlaps, bankOfLine, crosses } = problem;
  const { crossed } = overlaps;
  const [endLower, endUpper] = [pieces.start[lower + 1], pieces.start[upper + 1]];
  for (let s = pieces.start[lower]; s < endLower; s++) {
    if (bankOfLine[s] < 0) continue;
    if (crosses[s] === 1 && hasBit(crossed, prints.segment[s], prints.footprint[upper])) {
      const beyond = pieces.piece[pieces.mate[s]];
      if (beyond !== upper && !note(problem, orders, beyond, upper, BECAUSE_SAME, lower, upper)) return false;
    }
    for (let t = pieces.start[upper]; t < endUpper; t++) {
      if (bankOfLine[s] !== bankOfLine[t] || pieces.mate[t] === s || !sidesMeet(problem, s, t)) continue;
      if (!followMeeting(problem, orders, lower, upper, s, t)) return false;
    }
  }
  for (let t = pieces.start[upper]; t < endUpper; t++) {
    if (crosses[t] === 0 || !hasBit(crossed, prints.segment[t], prints.footprint[lower])) continue;
    const beyond = pieces.piece[pieces.mate[t]];
    if (beyond !== lower && !note(problem, orders, lower, beyond, BECAUSE_SAME, lower, upper)) return false;
  }
  // Orders given from the start are seen from every other pair; one found later is held against every fold on its spot.
  if (orders.because[problem.pairs.of(lower, upper)] === BECAUSE_GIVEN) return true;
  for (let s = pieces.start[lower]; s < pieces.start[lower + 1]; s++) {
    if (pieces.mate[s] < 0 || pieces.piece[pieces.mate[s]] !== upper || pieces.crease[s] < 0) continue;
    const line = prints.line[prints.segment[s]];
    for (let i = problem.onLine[line]; i < problem.onLine[line + 1]; i++) {
      const t = problem.lineSides[i];
      // Each fold stands on the line twice, once for either layer.
      if (t > pieces.mate[t] || pieces.crease[t] < 0 || t === s || t === pieces.mate[s] || !sidesMeet(problem, s, t))
        continue;
      if (!applyTacos(problem, orders, s, t)) return false;
    }
  }
  return true;
}

/** Pieces `lower` and `upper` have sides s and t on one spot of a line, on the same bank; both continue beyond. */
function followMeeting(
  problem: LayerProblem,
  orders: Orders,
  lower: number,
  upper: number,
  s: number,
  t: number,
): boolean {
  const { pieces } = problem;
  const beyondLower = pieces.piece[pieces.mate[s]];
  const beyondUpper = pieces.piece[pieces.mate[t]];
  const [joinS, joinT] = [pieces.crease[s] < 0, pieces.crease[t] < 0];
  if (joinS && joinT) return note(problem, orders, beyondLower, beyondUpper, BECAUSE_SAME, lower, upper);
  if (joinS) return beyondUpper === lower || note(problem, orders, lower, beyondUpper, BECAUSE_SAME, lower, upper);
  if (joinT) return beyondLower === upper || note(problem, orders, beyondLower, upper, BECAUSE_SAME, lower, upper);
  return applyTacos(problem, orders, s, t);
}

/** The four pieces at two folds: a, a' at s and its mate, b, b' at t and its mate. */
export function tacoPieces({ pieces }: LayerProblem, s: number, t: number): [number, number, number, number] {
  return [pieces.piece[s], pieces.piece[pieces.mate[s]], pieces.piece[t], pieces.piece[pieces.mate[t]]];
}

/** State of the six orders at two folds, as the tables of taco-table.ts number it. */
export function tacoState({ above: { words, data } }: Orders, a: number, a2: number, b: number, b2: number): number {
  const [rowA, rowA2, rowB, rowB2] = [a * words, a2 * words, b * words, b2 * words];
  const [wordA, wordA2, wordB, wordB2] = [a >>> 5, a2 >>> 5, b >>> 5, b2 >>> 5];
  // A shift counts modulo 32, so the piece's own number selects its bit.
  return (
    ((data[rowA + wordA2] >>> a2) & 1) +
    2 * ((data[rowA2 + wordA] >>> a) & 1) +
    3 * (((data[rowB + wordB2] >>> b2) & 1) + 2 * ((data[rowB2 + wordB] >>> b) & 1)) +
    9 * (((data[rowA + wordB] >>> b) & 1) + 2 * ((data[rowB + wordA] >>> a) & 1)) +
    27 * (((data[rowA + wordB2] >>> b2) & 1) + 2 * ((data[rowB2 + wordA] >>> a) & 1)) +
    81 * (((data[rowA2 + wordB] >>> b) & 1) + 2 * ((data[rowB + wordA2] >>> a2) & 1)) +
    243 * (((data[rowA2 + wordB2] >>> b2) & 1) + 2 * ((data[rowB2 + wordA2] >>> a2) & 1))
  );
}

function applyTacos(problem: LayerProblem, orders: Orders, s: number, t: number): boolean {
  const { piece, mate } = problem.pieces;
  const a = piece[s];
  const a2 = piece[mate[s]];
  const b = piece[t];
  const b2 = piece[mate[t]];
  const state = tacoState(orders, a, a2, b, b2);
  if (tacoActs[state] === 0) return true;
  if (tacoBroken[state]) {
    orders.conflict = { lower: -1, upper: -1, because: BECAUSE_TACOS, first: s, second: t };
    return false;
  }
  for (let i = 0; i < TACO_ORDERS; i++) {
    const forced = tacoForced[TACO_ORDERS * state + i];
    if (forced === 0) continue;
    const p = i === 0 || i === 2 || i === 3 ? a : i === 1 ? b : a2;
    const q = i === 0 ? a2 : i === 1 || i === 3 || i === 5 ? b2 : b;
    const sound =
      forced === 1
        ? note(problem, orders, p, q, BECAUSE_TACOS, s, t)
        : note(problem, orders, q, p, BECAUSE_TACOS, s, t);
    if (!sound) return false;
  }
  return true;
}
