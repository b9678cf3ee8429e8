/**
 * The laws of flat folding at each vertex alone. They are necessary: a pattern that breaks one cannot fold flat. They are
 * not sufficient for the whole sheet; validity/ decides that.
 */
import type { BrokenLaw, ExactPoint, Kind, LawName, Pattern } from '../types.ts';
import { creasesAround } from './around.ts';
import {
  type CrimpGroup,
  countWithin,
  crimpGroups,
  firstFailingGroup,
  MAY_BE_BOTH,
  MAY_BE_MOUNTAIN,
  MAY_BE_VALLEY,
} from './crimp.ts';
import { kawasakiExactly } from './exact-kawasaki.ts';
import {
  angleToleranceAt,
  DEGREES,
  EXACT_TOLERANCE_RAD,
  foldsAt,
  kawasakiDeviation,
  positionToleranceOf,
  type VertexFolds,
} from './vertex.ts';

/** Coordinates in 0..1 and directions are rounded to a few units in the sixteenth place; short creases turn further. */
const ROUNDING = 2e-15;

export interface CheckVerticesOptions {
  /**
   * How far a vertex without exact coordinates may be from where it should be, pattern units. Default: estimated from the
   * pattern by `positionToleranceOf`. Raising it excuses larger angles.
   */
  readonly positionTolerance?: number;
}

/**
 * Checks even degree, Kawasaki, Maekawa, the big-little-big lemma and the full crimp test at every vertex inside the sheet.
 * Undecided creases (U) are free: a law is broken only if no choice for them keeps it. Guides (F) are not folded and are
 * left out. Vertices on edges or cuts are skipped: the laws do not bind them.
 *
 * @returns one entry a broken law; Maekawa and the crimp test are named only where they say more than the laws before
 * Sources: Kawasaki 1989, Justin 1986, Maekawa (Kasahara & Takahama 1987), Bern & Hayes 1996, Hull 2003.
 */
export function checkVertices(pattern: Pattern, options: CheckVerticesOptions = {}): BrokenLaw[] {
  const around = creasesAround(pattern);
  const tolerance = options.positionTolerance ?? positionToleranceOf(pattern, around);
  const broken: BrokenLaw[] = [];
  for (let v = 0; v < pattern.vertices.length; v++) {
    const vertex = foldsAt(pattern, around, v);
    if (vertex !== null && vertex.creases.length > 0) judge(pattern, v, vertex, tolerance, broken);
  }
  return broken;
}

function judge(pattern: Pattern, v: number, folds: VertexFolds, positionTolerance: number, broken: BrokenLaw[]): void {
  const { creases, kinds, sectorsRad } = folds;
  const at = pattern.vertices[v];
  const degree = creases.length;
  const report = (law: LawName, amount: number, which: readonly number[], facts: BrokenLaw['facts']): void => {
    broken.push({ law, vertex: v, creases: which, at, amount, facts });
  };
  if (degree % 2 === 1) {
    report('even-degree', degree, creases, { degree });
    return;
  }
  const toleranceRad = angleToleranceAt(pattern, v, folds, positionTolerance);
  const deviation = kawasakiDeviation(sectorsRad);
  if (!kawasakiHolds(pattern, v, folds, deviation, toleranceRad)) {
    report('kawasaki', deviation * DEGREES, creases, { toleranceDegrees: toleranceRad * DEGREES });
  }
  const mountains = count(kinds, 'M');
  const valleys = count(kinds, 'V');
  const undecided = degree - mountains - valleys;
  const half = degree / 2;
  if (Math.max(mountains, valleys) > half + 1 || Math.min(mountains, valleys) > half - 1) {
    report('maekawa', mountains - valleys, creases, { mountains, valleys, undecided });
    return;
  }
  if (Math.abs(deviation) > toleranceRad) return;
  // Two sectors are compared where the sums compared many: each error counts for more.
  const groups = crimpGroups(sectorsRad, 2 * toleranceRad);
  const failing = groups === null ? -1 : firstFailingGroup(groups, lettersOf(kinds));
  if (groups === null || failing === -1) return;
  const { members, rule } = groups[failing];
  const own = members.every((id) => id < degree);
  report(own && rule !== 'two-over' ? 'big-little-big' : 'crimp', members.length, membersOf(groups, failing, creases), {
    sectors: members.length - 1,
    mountains: members.filter((id) => kinds[id] === 'M').length,
    valleys: members.filter((id) => kinds[id] === 'V').length,
  });
}

function kawasakiHolds(pattern: Pattern, v: number, folds: VertexFolds, deviation: number, tolerance: number): boolean {
  if (Math.abs(deviation) > tolerance) return false;
  const centre = pattern.exact[v];
  const ends: ExactPoint[] = [];
  for (const f of folds.far) {
    const end = pattern.exact[f];
    if (end) ends.push(end);
  }
  if (!centre || ends.length < folds.far.length) return true;
  const rounding = folds.lengths.reduce((sum, length) => sum + ROUNDING * (1 + 1 / length), 0);
  return kawasakiExactly(centre, ends, deviation, rounding) ?? true;
}

/** The vertex's own creases that a group stands for. */
function membersOf(groups: readonly CrimpGroup[], index: number, creases: readonly number[]): number[] {
  return groups[index].members.flatMap((id) => {
    if (id < creases.length) return [creases[id]];
    return membersOf(
      groups,
      groups.findIndex((group) => group.made === id),
      creases,
    );
  });
}

function count(kinds: readonly Kind[], kind: Kind): number {
  let n = 0;
  for (const k of kinds) if (k === kind) n++;
  return n;
}

function lettersOf(kinds: readonly Kind[]): number[] {
  return kinds.map((kind) => (kind === 'M' ? MAY_BE_MOUNTAIN : kind === 'V' ? MAY_BE_VALLEY : MAY_BE_BOTH));
}

/**
 * Whether one vertex inside the sheet folds flat. Necessary and sufficient at a single vertex; linear in the degree.
 *
 * @param sectorsRad angles between neighbouring creases, radians, counterclockwise; sector i lies between crease i and i + 1
 * @param kinds M, V, or U where the kind is free; same length
 * @param toleranceRad sectors that differ by less count as equal
 * @example foldsFlatAtVertex([Math.PI / 2, Math.PI / 2, Math.PI / 2, Math.PI / 2], ['M', 'M', 'M', 'V']) // true
 * Source: Bern & Hayes 1996.
 */
export function foldsFlatAtVertex(
  sectorsRad: readonly number[],
  kinds: readonly Kind[],
  toleranceRad = EXACT_TOLERANCE_RAD,
): boolean {
  const groups = groupsOf(sectorsRad, toleranceRad);
  return groups !== null && firstFailingGroup(groups, lettersOf(kinds)) === -1;
}

/**
 * Number of mountain-valley assignments with which one vertex folds flat; 0 where Kawasaki fails.
 *
 * @param kinds letters already decided; default all free
 * Source: Hull 2003.
 */
export function countAssignments(
  sectorsRad: readonly number[],
  kinds: readonly Kind[] = sectorsRad.map(() => 'U'),
  toleranceRad = EXACT_TOLERANCE_RAD,
): bigint {
  const groups = groupsOf(sectorsRad, toleranceRad);
  return groups === null ? 0n : countWithin(groups, lettersOf(kinds));
}

/**
 * All assignments with which one vertex folds flat, in the order of the alphabet.
 *
 * @param kinds M and V are kept, U is filled in
 * @param most stop after so many (there may be 2·C(2n, n-1) at degree 2n)
 */
export function legalAssignments(
  sectorsRad: readonly number[],
  kinds: readonly Kind[],
  toleranceRad = EXACT_TOLERANCE_RAD,
  most = Number.POSITIVE_INFINITY,
): ('M' | 'V')[][] {
  const groups = groupsOf(sectorsRad, toleranceRad);
  const found: ('M' | 'V')[][] = [];
  if (groups === null) return found;
  const may = lettersOf(kinds);
  // Each half-filled assignment kept can be completed, so the time is in proportion to the answer.
  const fill = (i: number): void => {
    if (found.length >= most || firstFailingGroup(groups, may) !== -1) return;
    if (i === may.length) {
      found.push(may.map((letters) => (letters === MAY_BE_MOUNTAIN ? 'M' : 'V')));
      return;
    }
    const before = may[i];
    for (const letter of [MAY_BE_MOUNTAIN, MAY_BE_VALLEY]) {
      if ((before & letter) === 0) continue;
      may[i] = letter;
      fill(i + 1);
    }
    may[i] = before;
  };
  fill(0);
  return found;
}

function groupsOf(sectorsRad: readonly number[], toleranceRad: number): CrimpGroup[] | null {
  if (sectorsRad.length % 2 === 1) return null;
  if (sectorsRad.length > 0 && Math.abs(kawasakiDeviation(sectorsRad)) > toleranceRad * sectorsRad.length) return null;
  return crimpGroups(sectorsRad, toleranceRad);
}
