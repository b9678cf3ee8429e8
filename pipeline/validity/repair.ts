import { creasesAround } from '../laws/around.ts';
import { checkVertices } from '../laws/laws.ts';
import { positionToleranceOf } from '../laws/vertex.ts';
import type { BrokenLaw, Pattern } from '../types.ts';
import { decideFoldability } from './decide.ts';
import { repairKinds } from './repair-kinds.ts';
import { type Candidate, candidatesAt } from './repair-places.ts';
import type { Repair } from './verdict.ts';

/** Unproven repairs shown for one broken place: more choice than this is no help. */
const BEST_PER_PLACE = 3;
/** Broken places that are looked into; a pattern with more has another problem than single creases. */
const MOST_PLACES = 40;
/** Whole sheets folded to prove repairs. */
const MOST_PROOFS = 12;

/**
 * Tries single changes at the places where laws are broken, cheapest first: another kind, a vertex moved onto the lattice or to
 * where its neighbours want it, a crease less, a crease more. Keeps those after which the laws hold at every vertex they touch, and
 * folds the whole sheet to see whether one change is all that is missing.
 *
 * @param timeLimitMs for everything together; what has not been tried by then is not reported
 */
export function findRepairs(pattern: Pattern, broken: readonly BrokenLaw[], timeLimitMs: number): Repair[] {
  const end = performance.now() + timeLimitMs;
  const left = (): number => end - performance.now();
  const kinds = repairKinds(pattern, broken, left);
  const places = broken.filter(({ vertex, law }) => vertex !== undefined && law !== 'planar').slice(0, MOST_PLACES);
  if (places.length === 0) return kinds;
  const positionTolerance = positionToleranceOf(pattern, creasesAround(pattern));
  const before = new Set(checkVertices(pattern, { positionTolerance }).map(({ vertex }) => vertex!));
  const found = new Map<string, Sound>();
  for (const { vertex } of places) {
    const sound: Sound[] = [];
    for (const candidate of candidatesAt(pattern, vertex!, positionTolerance)) {
      if (left() < 0) break;
      const mended = mendedBy(candidate, before, positionTolerance);
      if (mended === null || !mended.includes(vertex!)) continue;
      const mends = broken.flatMap(({ vertex: v }, i) => (v !== undefined && mended.includes(v) ? [i] : []));
      sound.push({ candidate, mends });
    }
    for (const one of sound.sort(byPromise)) found.set(JSON.stringify(one.candidate.change), one);
  }
  const proven: Repair[] = [];
  const local: Repair[] = [];
  let proofs = 0;
  for (const { candidate, mends } of [...found.values()].sort(byPromise)) {
    const { change } = candidate;
    const whole = mends.length === broken.length && proofs < MOST_PROOFS && left() > 0;
    if (whole) {
      proofs++;
      const { verdict } = decideFoldability(candidate.pattern, { timeLimitMs: left(), countLimitMs: 0 });
      if (verdict === 'folds') {
        proven.push({ change, result: 'folds', mends });
        continue;
      }
    }
    const shown = (place: number): number => local.filter((repair) => repair.mends.includes(place)).length;
    if (mends.some((place) => shown(place) < BEST_PER_PLACE)) local.push({ change, result: 'here', mends });
  }
  return [...kinds, ...proven, ...local];
}

interface Sound {
  readonly candidate: Candidate;
  /** Places in the list of broken laws. */
  readonly mends: readonly number[];
}

/** A change that mends more places is the likelier one; among equals the cheaper comes first. */
function byPromise(a: Sound, b: Sound): number {
  return b.mends.length - a.mends.length || a.candidate.price - b.candidate.price;
}

/** Broken vertices that a change mends; null where it breaks one that was sound. */
function mendedBy({ pattern, touched }: Candidate, before: ReadonlySet<number>, tolerance: number): number[] | null {
  // Only the creases at touched vertices matter; the other ends look broken by that and are not asked.
  const creases = pattern.creases.filter(({ from, to }) => touched.includes(from) || touched.includes(to));
  const after = new Set(
    checkVertices({ ...pattern, creases }, { positionTolerance: tolerance }).map(({ vertex }) => vertex!),
  );
  if (touched.some((v) => after.has(v) && !before.has(v))) return null;
  return touched.filter((v) => before.has(v) && !after.has(v));
}
