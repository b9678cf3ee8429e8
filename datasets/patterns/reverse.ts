/**
 * Reverse folds and sinks: the tip of a flap is turned over a line with all its creases turned inside out, and the line
 * gets one kind all along. Kawasaki's law is kept; the letters are kept lawful at each vertex; whether the paper can pass
 * itself on the way in is not looked at.
 */

import { EXACT_ONE } from '../../pipeline/geometry/exact.ts';
import type { Kind } from '../../pipeline/types.ts';
import { vertexFolds } from './assign.ts';
import type { NamedPattern } from './family.ts';
import { distances, reflect, sideOf, splitFace } from './fold.ts';
import { linesThroughVertices } from './fold-angles.ts';
import type { FoldLine } from './fold-line.ts';
import { randomTarget, rectangle, sheetOf } from './fold-many.ts';
import { latticeOf22 } from './lattices.ts';
import { copyPaper, creasesOf, edgeEnds, edgeKey, type Face, facesByEdge, type Paper } from './paper.ts';
import { makeRandom, type Random } from './random.ts';
import { wellSpaced } from './spacing.ts';

/** The faces joined to a random face beyond the line, without crossing the line. */
function tipBeyond(paper: Paper, gaps: readonly number[][], random: Random): Set<number> | null {
  const beyond = paper.faces.map((_, f) => f).filter((f) => sideOf(gaps[f]) !== 'stays');
  if (beyond.length === 0) return null;
  const neighbours = facesByEdge(paper);
  const tip = new Set<number>();
  const queue = [random.pick(beyond)];
  for (let f = queue.pop(); f !== undefined; f = queue.pop()) {
    if (tip.has(f)) continue;
    tip.add(f);
    const { ring } = paper.faces[f];
    for (let i = 0; i < ring.length; i++) {
      const j = (i + 1) % ring.length;
      if (Math.max(gaps[f][i], gaps[f][j]) <= 0 && Math.min(gaps[f][i], gaps[f][j]) < 0) continue;
      queue.push(...neighbours.get(edgeKey(ring[i], ring[j]))!);
    }
  }
  return tip;
}

/**
 * Turns one tip over the line; `lineKind` is the kind of the new creases. Layer order is no longer meaningful. Null where
 * nothing is cut, or where a vertex on the line would not fold flat by itself.
 */
function turnTip(
  before: Paper,
  line: FoldLine,
  tip: Set<number>,
  gaps: readonly number[][],
  lineKind: Kind,
): Paper | null {
  const paper = copyPaper(before);
  const faces: Face[] = [];
  const turned: Face[] = [];
  const cuts = new Set<number>();
  paper.faces.forEach((face, f) => {
    if (!tip.has(f)) faces.push(face);
    else if (sideOf(gaps[f]) === 'moves') turned.push(reflect(face, line));
    else {
      const [kept, lifted] = splitFace(paper, face, gaps[f], line, lineKind);
      const shared = lifted.ring.filter((v) => kept.ring.includes(v));
      cuts.add(edgeKey(shared[0], shared[1]));
      faces.push(kept);
      turned.push(reflect(lifted, line));
    }
  });
  if (cuts.size === 0) return null;
  const inside = new Set(
    turned.flatMap((face) => face.ring.map((v, i) => edgeKey(v, face.ring[(i + 1) % face.ring.length]))),
  );
  for (const key of inside) {
    const kind = paper.edges.get(key);
    if (!cuts.has(key) && (kind === 'M' || kind === 'V')) paper.edges.set(key, kind === 'M' ? 'V' : 'M');
  }
  paper.faces.length = 0;
  paper.faces.push(...faces, ...turned);
  // Elsewhere nothing changed, or all letters around a vertex were swapped.
  return soundAt(paper, new Set([...cuts].flatMap(edgeEnds))) ? paper : null;
}

/** Whether the given vertices, where inside the sheet, fold flat by themselves. */
function soundAt(paper: Paper, vertices: ReadonlySet<number>): boolean {
  const around = new Map([...vertices].map((v) => [v, [] as { angle: number; kind: Kind }[]]));
  for (const [key, kind] of paper.edges) {
    const [u, v] = edgeEnds(key);
    const [p, q] = [paper.points[u], paper.points[v]];
    around.get(u)?.push({ angle: Math.atan2(q[1] - p[1], q[0] - p[0]), kind });
    around.get(v)?.push({ angle: Math.atan2(p[1] - q[1], p[0] - q[0]), kind });
  }
  return [...around.values()].every((list) => {
    if (list.some((e) => e.kind === 'B')) return true;
    list.sort((a, b) => a.angle - b.angle);
    const sectors = list.map(({ angle }, i) =>
      i + 1 < list.length ? list[i + 1].angle - angle : list[0].angle - angle + 2 * Math.PI,
    );
    return vertexFolds(
      sectors,
      list.map((e) => e.kind === 'M'),
    );
  });
}

/** Failed tries in a row before the sheet is called done. */
const FAILURES = 80;
const LEAST_SPACING = 0.018;

/** Sheets folded by reverse folds and sinks along lines at multiples of 22.5 or 45 degrees. */
export function makeReverse(seed: number): NamedPattern {
  const random = makeRandom(seed * 31 + 27);
  const target = randomTarget(random, 24, 420);
  const step = random.chance(0.7) ? 1 : 2;
  const propose = linesThroughVertices(step, random);
  let paper = sheetOf(rectangle(EXACT_ONE, EXACT_ONE));
  for (let failed = 0; failed < FAILURES && paper.edges.size < target; failed++) {
    const line = propose(paper);
    if (!line) continue;
    const gaps = paper.faces.map((face) => distances(paper, face, line));
    const tip = tipBeyond(paper, gaps, random);
    if (!tip) continue;
    const kinds: Kind[] = random.chance(0.5) ? ['M', 'V'] : ['V', 'M'];
    for (const kind of kinds) {
      const next = turnTip(paper, line, tip, gaps, kind);
      if (!next || next.edges.size > target * 1.35 + 16) continue;
      if (!wellSpaced(next.points, LEAST_SPACING, paper.points.length)) continue;
      paper = next;
      failed = 0;
      break;
    }
  }
  return {
    name: `reverse-${seed}`,
    family: 'reverse',
    pattern: creasesOf(paper, latticeOf22(paper.exact)),
    source: `Reverse folds and sinks along lines at multiples of ${step * 22.5} degrees, seed ${seed}.`,
    lawful: 'local',
  };
}
