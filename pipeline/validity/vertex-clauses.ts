import { creasesAround } from '../laws/around.ts';
import { crimpGroups, firstFailingGroup, MAY_BE_BOTH, MAY_BE_MOUNTAIN, MAY_BE_VALLEY } from '../laws/crimp.ts';
import { angleToleranceAt, foldsAt, positionToleranceOf } from '../laws/vertex.ts';
import type { Kind, Pattern } from '../types.ts';
import { literal } from './clauses.ts';
import { orderOfKind } from './prepare.ts';
import type { LayerProblem } from './problem.ts';

/** Vertices with more undecided creases are left to the layers: the partial assignments grow as 3 to this power. */
const MOST_UNDECIDED = 6;

/**
 * What the laws at single vertices say of undecided creases, as clauses on the orders of their faces. The layers imply all of it, but
 * only piece by piece; a whole vertex at once spares the search much.
 */
export function vertexClauses(problem: LayerProblem, pattern: Pattern): number[][] {
  const around = creasesAround(pattern);
  const positionTolerance = positionToleranceOf(pattern, around);
  const sideOf = new Int32Array(pattern.creases.length).fill(-1);
  problem.pieces.crease.forEach((c, s) => {
    if (c >= 0 && problem.pieces.mate[s] >= 0) sideOf[c] = s;
  });
  const clauses: number[][] = [];
  const known = new Map<string, Letters[]>();
  for (let v = 0; v < pattern.vertices.length; v++) {
    const folds = foldsAt(pattern, around, v);
    const undecided = folds?.kinds.filter((kind) => kind === 'U').length ?? 0;
    if (folds === null || undecided === 0 || undecided > MOST_UNDECIDED) continue;
    const tolerance = 2 * angleToleranceAt(pattern, v, folds, positionTolerance);
    const key = `${folds.sectorsRad.map((s) => s.toFixed(9)).join(' ')} ${folds.kinds.join('')} ${tolerance}`;
    const forbidden = known.get(key) ?? leastForbidden(folds.sectorsRad, folds.kinds, tolerance);
    known.set(key, forbidden);
    for (const letters of forbidden)
      clauses.push(
        letters.map(([i, kind]) => {
          const [lower, upper] = orderOfKind(problem, sideOf[folds.creases[i]], kind);
          return literal(problem, lower, upper) ^ 1;
        }),
      );
  }
  return clauses;
}

/** Kinds for some of a vertex's creases, by place around it. */
type Letters = readonly (readonly [place: number, kind: 'M' | 'V'])[];

/** The smallest choices of letters that cannot be completed; every other hopeless choice contains one of them. */
function leastForbidden(sectors: readonly number[], kinds: readonly Kind[], tolerance: number): Letters[] {
  const groups = crimpGroups(sectors, tolerance);
  if (groups === null) return [];
  const may = kinds.map((kind) => (kind === 'M' ? MAY_BE_MOUNTAIN : kind === 'V' ? MAY_BE_VALLEY : MAY_BE_BOTH));
  const open = kinds.flatMap((kind, i) => (kind === 'U' ? [i] : []));
  const found: Letters[] = [];
  let level: Letters[] = [[]];
  // All choices of one size that can be completed, then those of the next size that extend them.
  for (let size = 0; size < open.length && level.length > 0; size++) {
    const next: Letters[] = [];
    for (const letters of level)
      for (const place of open) {
        if (letters.length > 0 && place <= letters[letters.length - 1][0]) continue;
        for (const kind of ['M', 'V'] as const) {
          const longer: Letters = [...letters, [place, kind]];
          if (found.some((least) => least.every((one) => longer.some((l) => l[0] === one[0] && l[1] === one[1]))))
            continue;
          const tried = [...may];
          for (const [p, k] of longer) tried[p] = k === 'M' ? MAY_BE_MOUNTAIN : MAY_BE_VALLEY;
          if (firstFailingGroup(groups, tried) === -1) next.push(longer);
          else found.push(longer);
        }
      }
    level = next;
  }
  return found;
}
