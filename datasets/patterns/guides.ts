/** Guide lines (kind F, not folded) drawn right across a sheet: landmarks, diagonals, middle lines. */
import {
  addExact,
  divExact,
  EXACT_ONE,
  EXACT_ZERO,
  ExactOverflowError,
  exact,
  mulExact,
  signExact,
  subExact,
  toNumber,
} from '../../pipeline/geometry/exact.ts';
import type { Crease, Exact, ExactPoint, PatternPoint } from '../../pipeline/types.ts';
import type { NamedPattern } from './family.ts';
import { makeAngle22 } from './fold-angles.ts';
import { makeGrid, makePleat } from './fold-grid.ts';
import { type LooseGraph, tidyPattern } from './graph.ts';
import { makeRandom, type Random } from './random.ts';
import { wellSpaced } from './spacing.ts';

/** a·x + b·y = c, exact. */
type Line = readonly [a: Exact, b: Exact, c: Exact];

/** Vertices of a guided pattern keep this distance, sheet units. */
const LEAST_SPACING = 0.007;
const TRIES = 40;

function valueAt([a, b, c]: Line, [x, y]: ExactPoint): Exact {
  return subExact(addExact(mulExact(a, x), mulExact(b, y)), c);
}

/** Adds one line across a convex sheet; null where the sheet lacks exact coordinates or they overflow. */
function addGuide(graph: LooseGraph, line: Line): LooseGraph | null {
  try {
    const points = [...graph.points];
    const exactPoints = [...graph.exact];
    const edges: Crease[] = [];
    const value = exactPoints.map((p) => (p ? valueAt(line, p) : null));
    if (value.includes(null)) return null;
    const side = value.map((v) => signExact(v!));
    const onLine = side.flatMap((s, v) => (s === 0 ? [v] : []));
    const covered = new Set<string>();
    for (const edge of graph.edges) {
      const { from, to, kind } = edge;
      if (side[from] === 0 && side[to] === 0) covered.add(`${Math.min(from, to)}-${Math.max(from, to)}`);
      if (side[from] * side[to] >= 0) {
        edges.push(edge);
        continue;
      }
      const [p, q] = [exactPoints[from]!, exactPoints[to]!];
      const t = divExact(value[from]!, subExact(value[from]!, value[to]!));
      const at: ExactPoint = [
        addExact(p[0], mulExact(t, subExact(q[0], p[0]))),
        addExact(p[1], mulExact(t, subExact(q[1], p[1]))),
      ];
      const point: PatternPoint = [toNumber(at[0]), toNumber(at[1])];
      const w = points.push(point) - 1;
      exactPoints.push(at);
      onLine.push(w);
      edges.push({ from, to: w, kind }, { from: w, to, kind });
    }
    onLine.sort((u, v) => points[u][0] - points[v][0] || points[u][1] - points[v][1]);
    for (let i = 1; i < onLine.length; i++) {
      const [u, v] = [onLine[i - 1], onLine[i]];
      if (!covered.has(`${Math.min(u, v)}-${Math.max(u, v)}`)) edges.push({ from: u, to: v, kind: 'F' });
    }
    return { points, exact: exactPoints, edges };
  } catch (error) {
    if (error instanceof ExactOverflowError) return null;
    throw error;
  }
}

function randomLine(named: NamedPattern, random: Random): Line {
  const divisions = named.pattern.lattice?.divisionsX || 4;
  const [minus, half] = [exact(-1), exact(random.int(1, divisions - 1), divisions)];
  return random.pick<Line>([
    [EXACT_ONE, EXACT_ZERO, half],
    [EXACT_ZERO, EXACT_ONE, half],
    [EXACT_ONE, minus, EXACT_ZERO],
    [EXACT_ONE, EXACT_ONE, EXACT_ONE],
    [EXACT_ONE, EXACT_ONE, half],
    [EXACT_ONE, minus, half],
  ]);
}

/** A folded pattern with one to four guides over it. */
export function makeGuided(seed: number): NamedPattern {
  const random = makeRandom(seed * 31 + 28);
  for (;;) {
    const named = random.pick([makePleat, makeGrid, makeAngle22])(random.int(0, 1_000_000));
    const { vertices, exact: exactPoints, creases, lattice } = named.pattern;
    let graph: LooseGraph = { points: vertices, exact: exactPoints, edges: creases };
    const wanted = random.int(1, 4);
    let drawn = 0;
    for (let n = 0; n < TRIES && drawn < wanted; n++) {
      const next = addGuide(graph, randomLine(named, random));
      const added = next?.edges.filter((e) => e.kind === 'F').length ?? 0;
      if (!next || added === graph.edges.filter((e) => e.kind === 'F').length) continue;
      if (!wellSpaced(next.points, LEAST_SPACING)) continue;
      graph = next;
      drawn++;
    }
    if (drawn === 0) continue;
    const pattern = tidyPattern(graph, lattice);
    return {
      ...named,
      name: `guided-${seed}`,
      family: 'guided',
      pattern,
      source: `${named.source.replace(/\.$/, '')}, with ${drawn} guide line${drawn > 1 ? 's' : ''}, seed ${seed}.`,
    };
  }
}
