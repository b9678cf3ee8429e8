import type { Kind, Pattern } from '../types.ts';
import { hasBit } from './bits.ts';
import { lowerOf, noClauses, upperOf } from './clauses.ts';
import { splitOpen } from './components.ts';
import { conflictingOrders, creasesBehind } from './explain.ts';
import { choose, noOrders, type Orders, takeBack } from './orders.ts';
import { noteKinds, orderOfKind } from './prepare.ts';
import type { LayerProblem } from './problem.ts';
import { addAtRoot, follow, type Search, searchOrders, startSearch } from './search.ts';
import { countStates, type StateCount } from './states.ts';
import { vertexClauses } from './vertex-clauses.ts';

/** What was found out about the layer orders of a folded pattern. */
export interface Layers {
  readonly end: 'found' | 'none' | 'undecided';
  /** For 'found': a whole layer order, standing as choices upon what is certain. Otherwise only what is certain. */
  readonly orders: Orders;
  /** Groups of pairs that nothing links, whose orders are not certain. */
  readonly groups: readonly LayerGroup[];
  /** For 'none': creases and pieces that contradict each other. */
  readonly clash: { readonly creases: readonly number[]; readonly pieces: readonly number[] } | null;
  /** Of the undecided creases, those that all layer orders give one kind. */
  readonly forced: ReadonlySet<number>;
  /** Undecided creases for which time did not suffice to tell. */
  readonly unclear: ReadonlySet<number>;
}

export interface LayerGroup {
  readonly pairs: readonly number[];
  readonly end: 'found' | 'none' | 'undecided';
  /** Null where states were not counted. */
  readonly states: StateCount | null;
}

export interface SolveLayersOptions {
  /** Milliseconds for deciding. */
  readonly decideForMs: number;
  /** Milliseconds for counting states after that; counts cut short say "at least". */
  readonly countForMs: number;
  /** Kinds that undecided creases are tried with first, by crease. */
  readonly prefer: ReadonlyMap<number, Kind>;
}

/**
 * Finds a layer order: follows up the given kinds to a fixed point and searches what is open, all at once for half of the time, then group
 * by group, where a group is what conditions link. Counts the states of each group while there is time for it.
 */
export function solveLayers(problem: LayerProblem, pattern: Pattern, options: SolveLayersOptions): Layers {
  const search = startSearch(problem, noOrders(problem), noClauses());
  const { orders } = search;
  const known = followGiven(search, pattern);
  if (known.end === 'none') return known;
  preferKinds(search, options.prefer);
  if (!addAtRoot(search, vertexClauses(problem, pattern)) || !follow(search)) {
    return { end: 'none', orders, groups: [], clash: clashOf(search, openPairs(problem, orders)), ...NOTHING };
  }
  const open = openPairs(problem, orders);
  const begun = performance.now();
  const halfTime = begun + options.decideForMs / 2;
  const outOfTime = (): boolean => performance.now() > begun + options.decideForMs;
  if (open.length === 0) return finish(search, pattern, [], [], options, outOfTime);
  if (searchOrders(search, open, () => performance.now() > halfTime) !== 'found') {
    const left = stillOpen(orders, open);
    // Splitting takes seconds that nobody gave where time is up.
    const split = outOfTime() ? [left] : splitOpen(problem, orders, left);
    return searchGroups(search, pattern, split, options, outOfTime);
  }
  const undecided = pattern.creases.some(({ kind }) => kind === 'U');
  if (!undecided && (options.countForMs === 0 || open.length > MOST_COUNTED)) {
    return { ...known, end: 'found', groups: [{ pairs: open, end: 'found', states: AT_LEAST_ONE }] };
  }
  const found = open.map((pair) => solved(problem, orders, pair));
  takeBack(problem, orders, 0);
  // Splitting a very large problem takes longer than it is worth.
  const groups = open.length > MOST_COUNTED ? [open] : splitOpen(problem, orders, stillOpen(orders, open));
  return finish(
    search,
    pattern,
    groups.map((pairs) => ({ pairs, end: 'found', states: null })),
    found,
    options,
    outOfTime,
  );
}

/** More open pairs than this are not counted: nothing of use would come of it. */
const MOST_COUNTED = 50_000;
const AT_LEAST_ONE: StateCount = { count: 1n, complete: false };

/** Searches one group after the other, to decide at least some and to tell where it fails. */
function searchGroups(
  search: Search,
  pattern: Pattern,
  split: readonly (readonly number[])[],
  options: SolveLayersOptions,
  outOfTime: () => boolean,
): Layers {
  const { problem, orders } = search;
  const groups: LayerGroup[] = [];
  const found: number[] = [];
  for (const pairs of split) {
    const result = searchOrders(search, pairs, outOfTime);
    if (result === 'none') return { end: 'none', orders, groups, clash: clashOf(search, pairs), ...NOTHING };
    groups.push({ pairs, end: result === 'found' ? 'found' : 'undecided', states: null });
    if (result === 'found') for (const pair of pairs) found.push(solved(problem, orders, pair));
    takeBack(problem, orders, 0);
  }
  // Clauses of depth 0 may contradict each other before any group is searched.
  if (split.length === 0) return { end: 'none', orders, groups, clash: clashOf(search, []), ...NOTHING };
  if (groups.every(({ end }) => end === 'found')) return finish(search, pattern, groups, found, options, outOfTime);
  return { end: 'undecided', orders, groups, clash: null, ...NOTHING };
}

/** Everything that is asked once an order has been found; then puts that order back in place. */
function finish(
  search: Search,
  pattern: Pattern,
  groups: readonly LayerGroup[],
  found: readonly number[],
  options: SolveLayersOptions,
  outOfTime: () => boolean,
): Layers {
  const { problem, orders } = search;
  const kinds = tellForced(search, pattern, groups, found, outOfTime);
  const counted = countGroups(problem, orders, groups, options.countForMs);
  for (const lit of found) chooseLiteral(problem, orders, lit);
  return { end: 'found', orders, groups: counted, clash: null, ...kinds };
}

const NOTHING = { forced: new Set<number>(), unclear: new Set<number>() } as const;

/** What follows from the given kinds alone, without search: 'none' where they contradict each other, else 'undecided'. */
export function followKinds(problem: LayerProblem, pattern: Pattern): Layers {
  return followGiven(startSearch(problem, noOrders(problem), noClauses()), pattern);
}

function followGiven(search: Search, pattern: Pattern): Layers {
  const { problem, orders, clauses } = search;
  if (noteKinds(problem, pattern, orders) && follow(search))
    return { end: 'undecided', orders, groups: [], clash: null, ...NOTHING };
  const behind = conflictingOrders(problem, orders, clauses, orders.conflict!);
  const clash = creasesBehind(problem, orders, clauses, behind);
  takeBack(problem, orders, 0);
  return { end: 'none', orders, groups: [], clash, ...NOTHING };
}

/** Lets the search try the preferred kinds first, and choose them before anything else. */
function preferKinds({ problem, lastWay, weight }: Search, prefer: ReadonlyMap<number, Kind>): void {
  const { pieces, pairs } = problem;
  for (let s = 0; s < pieces.mate.length; s++) {
    const kind = prefer.get(pieces.crease[s]);
    if (pieces.mate[s] < s || (kind !== 'M' && kind !== 'V')) continue;
    const [lower, upper] = orderOfKind(problem, s, kind);
    lastWay[pairs.of(lower, upper)] = lower < upper ? 1 : 0;
    weight[pairs.of(lower, upper)] = 1;
  }
}

/** Smallest groups first, so that as many as possible are counted in full; each may take half of the time left. */
function countGroups(
  problem: LayerProblem,
  orders: Orders,
  groups: readonly LayerGroup[],
  forMs: number,
): LayerGroup[] {
  const end = performance.now() + forMs;
  const counted = [...groups];
  const bySize = groups.map((_, i) => i).sort((i, j) => groups[i].pairs.length - groups[j].pairs.length);
  for (const i of bySize) {
    if (groups[i].end !== 'found') continue;
    const now = performance.now();
    const stopAt = i === bySize[bySize.length - 1] ? end : now + (end - now) / 2;
    const states = countStates(problem, orders, groups[i].pairs, () => performance.now() >= stopAt);
    // The search has found one even where the count has not come to it.
    counted[i] = { ...groups[i], states: states.count === 0n ? AT_LEAST_ONE : states };
  }
  return counted;
}

function stillOpen({ place }: Orders, pairs: readonly number[]): number[] {
  return pairs.filter((pair) => place[pair] < 0);
}

/** Pairs without a known order. */
export function openPairs({ pairs }: LayerProblem, orders: Orders): number[] {
  const open: number[] = [];
  for (let pair = 0; pair < pairs.count; pair++) if (orders.place[pair] < 0) open.push(pair);
  return open;
}

function solved({ pairs }: LayerProblem, orders: Orders, pair: number): number {
  return 2 * pair + (hasBit(orders.above, pairs.low[pair], pairs.high[pair]) ? 0 : 1);
}

function chooseLiteral(problem: LayerProblem, orders: Orders, lit: number): void {
  choose(problem, orders, lowerOf(problem, lit), upperOf(problem, lit));
}

function clashOf(search: Search, group: readonly number[]): { creases: number[]; pieces: number[] } {
  const { problem, orders, clauses } = search;
  const behind = creasesBehind(problem, orders, clauses, search.contradiction ?? []);
  const pieces = new Set(behind.pieces);
  for (const pair of group) pieces.add(problem.pairs.low[pair]).add(problem.pairs.high[pair]);
  return { creases: behind.creases, pieces: [...pieces] };
}

/** Tells undecided creases that could take either kind from those that every layer order gives the same one. */
function tellForced(
  search: Search,
  pattern: Pattern,
  groups: readonly LayerGroup[],
  found: readonly number[],
  outOfTime: () => boolean,
): Pick<Layers, 'forced' | 'unclear'> {
  const { problem, orders } = search;
  const { pieces } = problem;
  const forced = new Set<number>();
  const unclear = new Set<number>();
  const groupOf = new Map<number, readonly number[]>();
  for (const { pairs } of groups) for (const pair of pairs) groupOf.set(pair, pairs);
  const inFound = new Set(found);
  // Literals of undecided folds that some solution has been seen to hold.
  const seen = new Set<number>();
  for (let s = 0; s < pieces.mate.length; s++) {
    const c = pieces.crease[s];
    if (pieces.mate[s] < s || c < 0 || pattern.creases[c].kind !== 'U') continue;
    const pair = problem.pairs.of(pieces.piece[s], pieces.piece[pieces.mate[s]]);
    const group = groupOf.get(pair);
    if (group === undefined || orders.place[pair] >= 0) {
      forced.add(c);
      continue;
    }
    const other = inFound.has(2 * pair) ? 2 * pair + 1 : 2 * pair;
    if (seen.has(other)) continue;
    const result = outOfTime() ? 'out-of-time' : searchOrders(search, group, outOfTime, [other]);
    if (result === 'found') for (const p of group) seen.add(solved(problem, orders, p));
    else if (result === 'none') forced.add(c);
    else unclear.add(c);
    takeBack(problem, orders, 0);
  }
  return { forced, unclear };
}
