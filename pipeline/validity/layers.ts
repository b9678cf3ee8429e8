import type { Kind, Pattern } from '../types.ts';
import { hasBit } from './bits.ts';
import { noClauses } from './clauses.ts';
import { splitOpen } from './components.ts';
import { conflictingOrders, creasesBehind } from './explain.ts';
import { choose, noOrders, type Orders, takeBack } from './orders.ts';
import { noteKinds, orderOfKind } from './prepare.ts';
import type { LayerProblem } from './problem.ts';
import { follow, type Search, searchOrders, startSearch } from './search.ts';
import { countStates, type StateCount } from './states.ts';

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
  /** True once the time for deciding is over. */
  readonly outOfTime: () => boolean;
  /** Milliseconds for counting states after that; counts cut short say "at least". */
  readonly countForMs: number;
  /** Kinds that undecided creases are tried with first, by crease. */
  readonly prefer: ReadonlyMap<number, Kind>;
}

/**
 * Finds a layer order: follows up the given kinds to a fixed point, splits what is open into groups that nothing links, and
 * searches each. Counts the states of each group while there is time for it.
 */
export function solveLayers(problem: LayerProblem, pattern: Pattern, options: SolveLayersOptions): Layers {
  const search = startSearch(problem, noOrders(problem), noClauses());
  const known = followGiven(search, pattern);
  if (known.end === 'none') return known;
  const { orders } = search;
  preferKinds(search, options.prefer);
  const groups: LayerGroup[] = [];
  const found: number[] = [];
  let end: Layers['end'] = 'found';
  for (const pairs of splitOpen(problem, orders, openPairs(problem, orders))) {
    const result = searchOrders(search, pairs, options.outOfTime);
    if (result === 'none') {
      groups.push({ pairs, end: 'none', states: { count: 0n, complete: true } });
      return { end: 'none', orders, groups, clash: clashOf(search, pairs), ...NOTHING };
    }
    groups.push({ pairs, end: result === 'found' ? 'found' : 'undecided', states: null });
    if (result === 'found') for (const pair of pairs) found.push(solved(problem, orders, pair));
    else end = 'undecided';
    takeBack(problem, orders, 0);
  }
  const kinds = end === 'found' ? tellForced(search, pattern, groups, found, options.outOfTime) : NOTHING;
  const counted = countGroups(problem, orders, groups, options.countForMs);
  if (end === 'found') for (const lit of found) chooseLiteral(problem, orders, lit);
  return { end, orders, groups: counted, clash: null, ...kinds };
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
    counted[i] = { ...groups[i], states: states.count === 0n ? { count: 1n, complete: false } : states };
  }
  return counted;
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

function chooseLiteral({ pairs, ...rest }: LayerProblem, orders: Orders, lit: number): void {
  const [low, high] = [pairs.low[lit >> 1], pairs.high[lit >> 1]];
  choose({ pairs, ...rest }, orders, lit & 1 ? high : low, lit & 1 ? low : high);
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
