import type { BrokenLaw, Kind, Pattern } from '../types.ts';
import { decideFoldability } from './decide.ts';
import { setKinds } from './edit.ts';
import type { Repair, Verdict } from './verdict.ts';

/** Creases that are set back to their own kind one by one to make a repair smaller. */
const MOST_TRIED = 24;

/**
 * Repairs for a sheet whose laws hold everywhere but that passes through itself, and for an edge drawn as creases. Kinds near the
 * clash are left free and folded again; those that come out changed, less those that need not, are the repair.
 *
 * @param left milliseconds left
 */
export function repairKinds(pattern: Pattern, broken: readonly BrokenLaw[], left: () => number): Repair[] {
  const repairs: Repair[] = [];
  const clash = broken.filter(({ law }) => law === 'layer-order').flatMap(({ creases = [] }) => creases);
  if (clash.length > 0) {
    const kinds = freeAround(pattern, clash, left);
    if (kinds) repairs.push({ change: { what: 'set-kinds', kinds }, result: 'folds', mends: broken.map((_, i) => i) });
  }
  broken.forEach(({ law, creases = [], facts }, place) => {
    if (law === 'closed-outline' && facts?.problem === 'edge-missing') {
      const edged = setKinds(pattern, new Map(creases.map((c) => [c, 'B' as Kind])));
      const { verdict, broken: after } = decideFoldability(edged, {
        timeLimitMs: Math.max(0, left()),
        countLimitMs: 0,
      });
      if (after.some((b) => b.law === 'closed-outline')) return;
      const change = { what: 'swap-kind', creases, to: 'B' } as const;
      repairs.push({ change, result: verdict === 'folds' ? 'folds' : 'here', mends: [place] });
    }
  });
  return repairs;
}

function freeAround(pattern: Pattern, clash: readonly number[], left: () => number): [number, 'M' | 'V'][] | null {
  const near = new Set(clash.flatMap((c) => [pattern.creases[c].from, pattern.creases[c].to]));
  // First the creases at the ends of the clash, then all of them.
  for (const wide of [false, true]) {
    const freed = pattern.creases.flatMap(({ from, to, kind }, c) =>
      (kind === 'M' || kind === 'V') && (wide || near.has(from) || near.has(to)) ? [c] : [],
    );
    const solved = solve(pattern, freed, left);
    if (solved.verdict !== 'folds') continue;
    return fewest(pattern, freed, changes(pattern, solved), left);
  }
  return null;
}

function solve(pattern: Pattern, freed: readonly number[], left: () => number): Verdict {
  const open = setKinds(pattern, new Map(freed.map((c) => [c, 'U' as Kind])));
  const prefer = new Map(freed.map((c) => [c, pattern.creases[c].kind]));
  return decideFoldability(open, { timeLimitMs: Math.max(0, left() / 2), countLimitMs: 0, prefer });
}

function changes(pattern: Pattern, { kinds }: Verdict): [number, 'M' | 'V'][] {
  return kinds.flatMap(({ crease, kind }): [number, 'M' | 'V'][] => {
    const before = pattern.creases[crease].kind;
    return before === kind || before === 'U' ? [] : [[crease, kind]];
  });
}

/** Holds changed creases to their own kind again, one after the other, for as long as the sheet still folds. */
function fewest(
  pattern: Pattern,
  freed: readonly number[],
  first: [number, 'M' | 'V'][],
  left: () => number,
): [number, 'M' | 'V'][] {
  let best = first;
  const held = new Set<number>();
  for (const [crease] of first.slice(0, MOST_TRIED)) {
    if (left() < 0) break;
    if (!best.some(([c]) => c === crease)) continue;
    held.add(crease);
    const solved = solve(
      pattern,
      freed.filter((c) => !held.has(c)),
      left,
    );
    const now = changes(pattern, solved);
    if (solved.verdict === 'folds' && now.length <= best.length) best = now;
    else held.delete(crease);
  }
  return best;
}
