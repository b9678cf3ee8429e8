/**
 * Mountain and valley for a pattern whose lines are known: every inner vertex must fold flat by itself (crimping, Bern &
 * Hayes 1996). Search over one table of legal letters a vertex, with propagation; the whole pattern may still not fold.
 */
import type { Crease, Kind } from '../../pipeline/types.ts';
import type { LooseGraph } from './graph.ts';
import type { Random } from './random.ts';

/** Sectors that differ by less are equal, radians. */
const SAME_ANGLE = 1e-6;
/** A vertex with more creases has too many legal letters to list. */
const MOST_CREASES = 14;
/** Dead ends before a search starts again from another place, and starts before it gives up. */
const DEAD_ENDS = 600;
const STARTS = 12;

const MOUNTAIN = 1;
const VALLEY = 2;

/**
 * Does a single vertex fold flat? Sector i lies between crease i and crease i + 1. A smallest sector with unlike letters
 * is folded away until two creases are left.
 */
export function vertexFolds(sectors: readonly number[], mountain: readonly boolean[]): boolean {
  const n = sectors.length;
  if (n % 2 === 1) return false;
  if (n === 2) return Math.abs(sectors[0] - sectors[1]) < SAME_ANGLE && mountain[0] === mountain[1];
  const smallest = Math.min(...sectors);
  for (let i = 0; i < n; i++) {
    const [before, next] = [(i + n - 1) % n, (i + 1) % n];
    if (sectors[i] > smallest + SAME_ANGLE || mountain[i] === mountain[next]) continue;
    // Turned so that sectors before, i and next come first: they become one, and two creases go.
    const turn = <T>(list: readonly T[]): T[] => list.map((_, k) => list[(before + k) % n]);
    const s = turn(sectors);
    const m = turn(mountain);
    return vertexFolds([s[0] - s[1] + s[2], ...s.slice(3)], [m[0], ...m.slice(3)]);
  }
  return false;
}

interface Knot {
  readonly creases: readonly number[];
  /** Legal letters as bit sets: bit k is set where creases[k] is a mountain. */
  readonly rows: readonly number[];
}

function knots(graph: LooseGraph): Knot[] | null {
  const around: { crease: number; angle: number }[][] = graph.points.map(() => []);
  const onBorder = new Set<number>();
  graph.edges.forEach(({ from, to, kind }, crease) => {
    const [p, q] = [graph.points[from], graph.points[to]];
    around[from].push({ crease, angle: Math.atan2(q[1] - p[1], q[0] - p[0]) });
    around[to].push({ crease, angle: Math.atan2(p[1] - q[1], p[0] - q[0]) });
    if (kind === 'B') onBorder.add(from).add(to);
  });
  const tables = new Map<string, number[]>();
  const out: Knot[] = [];
  for (let v = 0; v < around.length; v++) {
    if (onBorder.has(v) || around[v].length === 0) continue;
    const list = around[v].sort((a, b) => a.angle - b.angle);
    if (list.length > MOST_CREASES) return null;
    const sectors = list.map(({ angle }, i) => {
      const next = list[(i + 1) % list.length].angle;
      return i + 1 < list.length ? next - angle : next - angle + 2 * Math.PI;
    });
    const key = sectors.map((s) => Math.round(s / SAME_ANGLE)).join();
    let rows = tables.get(key);
    if (!rows) {
      rows = [];
      for (let bits = 0; bits < 1 << list.length; bits++) {
        if (
          vertexFolds(
            sectors,
            list.map((_, k) => ((bits >> k) & 1) === 1),
          )
        )
          rows.push(bits);
      }
      tables.set(key, rows);
    }
    if (rows.length === 0) return null;
    out.push({ creases: list.map((e) => e.crease), rows });
  }
  return out;
}

/** The letter a crease should have if it can, from its index and what others have been given so far; null for no wish. */
export type Wish = (crease: number, given: (other: number) => 'M' | 'V' | null) => 'M' | 'V' | null;

/**
 * Gives every U crease a letter so that each inner vertex folds flat by itself.
 *
 * @returns the creases with letters, or null where the search gave up or none exist
 */
export function assignLetters(graph: LooseGraph, random: Random, wish: Wish): Crease[] | null {
  const table = knots(graph);
  if (!table) return null;
  const { edges } = graph;
  const knotsOf: number[][] = edges.map(() => []);
  table.forEach((knot, k) => {
    for (const c of knot.creases) knotsOf[c].push(k);
  });
  const may = new Uint8Array(edges.length);
  const given = (kind: Kind): number => (kind === 'M' ? MOUNTAIN : kind === 'V' ? VALLEY : MOUNTAIN | VALLEY);
  for (let start = 0; start < STARTS; start++) {
    edges.forEach(({ kind }, c) => {
      may[c] = given(kind);
    });
    const order = walkOrder(table, knotsOf, random);
    if (search(table, knotsOf, may, order, random, wish)) {
      return edges.map((e, c) => (e.kind === 'U' ? { ...e, kind: may[c] === MOUNTAIN ? 'M' : 'V' } : e));
    }
  }
  return null;
}

/** Creases in the order of a walk over the pattern from a random vertex, so that choices meet their consequences soon. */
function walkOrder(table: readonly Knot[], knotsOf: readonly number[][], random: Random): number[] {
  const order: number[] = [];
  const seenKnot = new Uint8Array(table.length);
  const seen = new Uint8Array(knotsOf.length);
  for (const first of random.shuffle(table.map((_, k) => k))) {
    const queue = [first];
    for (let head = 0; head < queue.length; head++) {
      const k = queue[head];
      if (seenKnot[k]) continue;
      seenKnot[k] = 1;
      for (const c of table[k].creases) {
        if (!seen[c]) order.push(c);
        seen[c] = 1;
        queue.push(...knotsOf[c]);
      }
    }
  }
  knotsOf.forEach((_, c) => {
    if (!seen[c]) order.push(c);
  });
  return order;
}

function search(
  table: readonly Knot[],
  knotsOf: readonly number[][],
  may: Uint8Array,
  order: readonly number[],
  random: Random,
  wish: Wish,
): boolean {
  /** Crease and what it might have been, for going back. */
  const trail: [number, number][] = [];
  const set = (c: number, letters: number): void => {
    trail.push([c, may[c]]);
    may[c] = letters;
  };
  const settle = (from: readonly number[]): boolean => {
    const queue = [...from];
    for (let head = 0; head < queue.length; head++) {
      const { creases, rows } = table[queue[head]];
      let [must, canBe, canNot] = [0, 0, 0];
      creases.forEach((c, k) => {
        if (may[c] === MOUNTAIN) must |= 1 << k;
        if (may[c] === VALLEY) canNot |= 1 << k;
      });
      let never = 0;
      for (const row of rows) {
        if ((row & must) !== must || (row & canNot) !== 0) continue;
        canBe |= row;
        never |= ~row;
      }
      if (canBe === 0 && never === 0) return false;
      creases.forEach((c, k) => {
        const letters = ((canBe >> k) & 1 ? MOUNTAIN : 0) | ((never >> k) & 1 ? VALLEY : 0);
        if (letters === may[c]) return;
        set(c, letters);
        queue.push(...knotsOf[c]);
      });
    }
    return true;
  };
  const given = (c: number): 'M' | 'V' | null => (may[c] === MOUNTAIN ? 'M' : may[c] === VALLEY ? 'V' : null);
  if (!settle(table.map((_, k) => k))) return false;
  /** Choices made: place in the order, trail length before, letter not yet tried (0 for none). */
  const choices: [place: number, trailLength: number, other: number][] = [];
  let deadEnds = 0;
  for (let place = 0; place < order.length; place++) {
    const c = order[place];
    if (may[c] !== (MOUNTAIN | VALLEY)) continue;
    const wanted = wish(c, given);
    const first = wanted === null ? (random.chance(0.5) ? MOUNTAIN : VALLEY) : wanted === 'M' ? MOUNTAIN : VALLEY;
    choices.push([place, trail.length, first ^ 3]);
    set(c, first);
    while (!settle(knotsOf[order[place]])) {
      if (++deadEnds > DEAD_ENDS) return false;
      for (;;) {
        const last = choices.pop();
        if (!last) return false;
        while (trail.length > last[1]) {
          const [crease, letters] = trail.pop()!;
          may[crease] = letters;
        }
        if (last[2] === 0) continue;
        place = last[0];
        choices.push([place, trail.length, 0]);
        set(order[place], last[2]);
        break;
      }
    }
  }
  return true;
}
