import { PlicaError } from '../errors.ts';
import { checkPlanarGraph, planarLaws } from '../graph/check.ts';
import { type Faces, findFaces } from '../graph/faces.ts';
import { creasesAround } from '../laws/around.ts';
import { checkVertices } from '../laws/laws.ts';
import { positionToleranceOf } from '../laws/vertex.ts';
import type { BrokenLaw, Crease, Kind, Pattern } from '../types.ts';
import { followKinds, type Layers, openPairs, solveLayers } from './layers.ts';
import { checkClosedOutline, middleOf } from './outline.ts';
import { type FoldedPosition, foldPositions, isFold, ROUNDING_UNITS } from './position.ts';
import { prepareLayers } from './prepare.ts';
import type { LayerProblem } from './problem.ts';
import { foldKind } from './solved-kinds.ts';
import type { FoldedSheet, SolvedKind, Undecided, Verdict } from './verdict.ts';

/** Overlaps and creases must be at least this many times as large as the uncertainty of positions. */
const LEAST_CREASE = 8;
/** Clashes of layers that are told; more of them say nothing new. */
const MOST_CLASHES = 8;

export interface DecideLimits {
  /** Milliseconds until an undecided layer order is given up. */
  readonly timeLimitMs: number;
  /** Milliseconds spent on counting the states of a pattern that folds. */
  readonly countLimitMs: number;
  /** Kinds that undecided creases are tried with first, by crease. */
  readonly prefer?: ReadonlyMap<number, Kind>;
}

/** All but the repairs of `checkFoldability`. */
export function decideFoldability(pattern: Pattern, limits: DecideLimits): Verdict {
  const { timeLimitMs, countLimitMs, prefer = new Map<number, Kind>() } = limits;
  const begun = performance.now();
  const faults = checkPlanarGraph(pattern);
  if (faults.some(({ code }) => code === 'bad-index' || code === 'not-finite'))
    throw new PlicaError(
      'bad-input',
      'the pattern names vertices that are not there',
      'mend the file or export it again',
    );
  const faces = findFaces(pattern);
  const broken: BrokenLaw[] = [...planarLaws(faults)];
  if (faults.length === 0) broken.push(...checkClosedOutline(pattern, faces));
  broken.push(...checkVertices(pattern));
  const finish = (
    parts: Partial<Verdict> & Pick<Verdict, 'verdict'>,
    facts: Partial<Verdict['facts']> = {},
  ): Verdict => ({
    broken,
    states: null,
    kinds: [],
    folded: null,
    undecided: null,
    repairs: [],
    facts: { faces: faces.count, pairs: 0, exactShare: 0, tolerance: 0, ...facts, ms: performance.now() - begun },
    ...parts,
  });
  if (broken.length > 0) return finish({ verdict: 'does-not' });

  const positionTolerance = positionToleranceOf(pattern, creasesAround(pattern));
  const position = foldPositions(pattern, faces, positionTolerance);
  broken.push(...openLoops(pattern, faces, position));
  if (broken.length > 0) return finish({ verdict: 'does-not' });
  const measured = position.exactShare < 1 ? positionTolerance : 0;
  const tolerance = Math.max(ROUNDING_UNITS, 2 * position.gap, measured);
  const known = { exactShare: position.exactShare, tolerance };
  const giveUp = (why: Undecided['why']): Verdict =>
    finish({ verdict: 'undecided', undecided: { why, faces: [], certainPairs: 0, pairs: 0 } }, known);
  if (position.parts > 1) return giveUp('parts');
  if (shortestFold(pattern) < LEAST_CREASE * tolerance) return giveUp('coarse');
  const problem = prepareLayers(pattern, faces, position, tolerance);
  if (problem === null) return giveUp('size');
  const pairs = problem.pairs.count;
  const layers = solveLayers(problem, pattern, {
    decideForMs: timeLimitMs - (performance.now() - begun),
    countForMs: countLimitMs,
    prefer,
  });
  if (layers.end === 'none') {
    broken.push(...clashes(pattern, problem, layers, () => performance.now() - begun > timeLimitMs));
    return finish({ verdict: 'does-not' }, { ...known, pairs });
  }
  if (layers.end === 'undecided') {
    const open = layers.groups.filter((group) => group.end === 'undecided').flatMap((group) => group.pairs);
    const undecided: Undecided = {
      why: 'time',
      faces: facesOf(problem, open),
      certainPairs: pairs - openPairs(problem, layers.orders).length,
      pairs,
    };
    return finish({ verdict: 'undecided', undecided }, { ...known, pairs });
  }
  const folded: FoldedSheet = { faces, position, problem, orders: layers.orders, groups: layers.groups };
  return finish(
    { verdict: 'folds', folded, states: statesOf(layers), kinds: kindsOf(pattern, folded, layers) },
    { ...known, pairs },
  );
}

function openLoops(pattern: Pattern, faces: Faces, { open }: FoldedPosition): BrokenLaw[] {
  return open.map(({ crease, gap, tolerance }) => ({
    law: 'loop-closure',
    creases: [crease],
    faces: [faces.faceOf[2 * crease], faces.faceOf[2 * crease + 1]],
    at: middleOf(pattern, crease),
    amount: gap,
    facts: { tolerance },
  }));
}

function shortestFold(pattern: Pattern): number {
  let shortest = Number.POSITIVE_INFINITY;
  pattern.creases.forEach(({ from, to }, c) => {
    if (!isFold(pattern, c)) return;
    const [a, b] = [pattern.vertices[from], pattern.vertices[to]];
    shortest = Math.min(shortest, Math.hypot(a[0] - b[0], a[1] - b[1]));
  });
  return shortest;
}

/** The clash that was found, and others that show once its creases are left free. */
function clashes(pattern: Pattern, problem: LayerProblem, first: Layers, outOfTime: () => boolean): BrokenLaw[] {
  const found = [layerLaw(pattern, problem, first)];
  const free = new Set<number>();
  for (let last = first; found.length < MOST_CLASHES && last.clash && last.clash.creases.length > 0; ) {
    for (const c of last.clash.creases) free.add(c);
    const creases = pattern.creases.map((crease, c): Crease => (free.has(c) ? { ...crease, kind: 'U' } : crease));
    // Only what follows from the kinds alone: a search could take long and explains little.
    last = followKinds(problem, { ...pattern, creases });
    if (last.end === 'none' && !outOfTime()) found.push(layerLaw(pattern, problem, last));
    else break;
  }
  return found;
}

function layerLaw(pattern: Pattern, problem: LayerProblem, { clash }: Layers): BrokenLaw {
  const { creases, pieces } = clash!;
  const faces = [...new Set(pieces.map((p) => problem.pieces.face[p]))].sort((a, b) => a - b);
  const where = creases.length > 0 ? creases : [problem.pieces.crease[problem.pieces.start[pieces[0]]]];
  const middles = where.map((c) => middleOf(pattern, c));
  const mean = (axis: 0 | 1): number => middles.reduce((sum, m) => sum + m[axis], 0) / middles.length;
  return { law: 'layer-order', creases, faces, at: [mean(0), mean(1)], amount: faces.length };
}

function facesOf(problem: LayerProblem, pairs: readonly number[]): number[] {
  const faces = new Set<number>();
  for (const pair of pairs) {
    faces.add(problem.pieces.face[problem.pairs.low[pair]]);
    faces.add(problem.pieces.face[problem.pairs.high[pair]]);
  }
  return [...faces].sort((a, b) => a - b);
}

function statesOf({ groups }: Layers): Verdict['states'] {
  let count = 1n;
  let atLeast = false;
  for (const { states } of groups) {
    count *= states?.count ?? 1n;
    atLeast ||= states === null || !states.complete;
  }
  return { count, atLeast };
}

function kindsOf(pattern: Pattern, folded: FoldedSheet, layers: Layers): SolvedKind[] {
  return pattern.creases.flatMap(({ kind }, crease): SolvedKind[] => {
    if (kind !== 'U') return [];
    const how = layers.forced.has(crease) ? 'forced' : layers.unclear.has(crease) ? 'unclear' : 'free';
    return [{ crease, kind: foldKind(folded, crease), how }];
  });
}
