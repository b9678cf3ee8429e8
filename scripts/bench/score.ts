/**
 * Compares a recovered pattern with the truth, crease by crease. Strict: everything drawn counts, guides and border
 * included. Fair: how a straight line of one kind was cut into pieces does not count, for both patterns are first
 * brought to the same form.
 */
import type { Kind, Pattern, PatternPoint } from '../../pipeline/types.ts';

export interface Score {
  /** Same vertices, same creases, same kinds, nothing extra. */
  readonly exact: boolean;
  /** Same vertices and creases, kinds not looked at. */
  readonly geometryExact: boolean;
  /** Exact, or exact after mountain and valley are swapped everywhere. */
  readonly exactUpToSwap: boolean;
  /** A crease is right where both ends match and its kind is equal. */
  readonly recall: number;
  readonly precision: number;
  readonly f1: number;
  /** The same with kinds not looked at. */
  readonly f1Geometry: number;
  /** Creases of the truth and of the answer, after both were brought to the same form. */
  readonly truthCreases: number;
  readonly gotCreases: number;
  /** Answered creases that are extra or of a wrong kind. */
  readonly wrong: number;
  /** How many of these the doubt list names. */
  readonly wrongDoubted: number;
  /** wrongDoubted / wrong; 1 where nothing is wrong. */
  readonly wrongDoubtedShare: number;
  /** True creases with no answered crease between their ends, whatever its kind. */
  readonly missed: number;
  /** Different creases in the doubt list. */
  readonly doubtLength: number;
}

/** Share of the longest side within which a vertex counts as found. */
export const VERTEX_TOLERANCE = 0.006;
/** A joint may leave the straight line by this share of the tolerance: half, so that a bend that matters is kept. */
const JOINT_SHARE = 0.5;

interface Plain {
  readonly points: readonly PatternPoint[];
  readonly creases: readonly { from: number; to: number; kind: Kind; parts: readonly number[] }[];
}

/**
 * @param truth the true pattern
 * @param got the answer
 * @param doubtCreases indices into got.creases that the answer itself calls doubtful
 * @param tolerance largest distance of matched vertices, in units of the longest side
 */
export function scorePattern(
  truth: Pattern,
  got: Pattern,
  doubtCreases: readonly number[],
  tolerance = VERTEX_TOLERANCE,
): Score {
  const wanted = mergeStraightJoints(truth, tolerance * JOINT_SHARE);
  const answer = mergeStraightJoints(got, tolerance * JOINT_SHARE);
  const trueVertexOf = matchVertices(answer.points, wanted.points, tolerance);
  const open = new Map<string, number[]>();
  wanted.creases.forEach(({ from, to }, i) => {
    const key = pairKey(from, to);
    open.set(key, [...(open.get(key) ?? []), i]);
  });
  const doubted = new Set(doubtCreases);
  let [placed, right, swappedRight, wrong, wrongDoubted] = [0, 0, 0, 0, 0];
  for (const { from, to, kind, parts } of answer.creases) {
    const match = open.get(pairKey(trueVertexOf[from], trueVertexOf[to]))?.shift();
    const trueKind = match === undefined ? null : wanted.creases[match].kind;
    if (trueKind !== null) placed++;
    if (trueKind === kind) right++;
    if (trueKind === swapped(kind)) swappedRight++;
    if (trueKind === kind) continue;
    wrong++;
    if (parts.some((part) => doubted.has(part))) wrongDoubted++;
  }
  const [n, m] = [wanted.creases.length, answer.creases.length];
  const sameVertices = answer.points.length === wanted.points.length && trueVertexOf.every((v) => v >= 0) && n === m;
  return {
    exact: sameVertices && right === n,
    geometryExact: sameVertices && placed === n,
    exactUpToSwap: sameVertices && (right === n || swappedRight === n),
    recall: share(right, n),
    precision: share(right, m),
    f1: share(2 * right, n + m),
    f1Geometry: share(2 * placed, n + m),
    truthCreases: n,
    gotCreases: m,
    wrong,
    wrongDoubted,
    wrongDoubtedShare: share(wrongDoubted, wrong),
    missed: n - placed,
    doubtLength: doubted.size,
  };
}

/** Nothing of nothing is all of it. */
function share(part: number, whole: number): number {
  return whole === 0 ? 1 : part / whole;
}

function swapped(kind: Kind): Kind {
  return kind === 'M' ? 'V' : kind === 'V' ? 'M' : kind;
}

function pairKey(a: number, b: number): string {
  return a < 0 || b < 0 ? 'unmatched' : a < b ? `${a}-${b}` : `${b}-${a}`;
}

/** Joins two creases of one kind that meet alone at a vertex on (nearly) one line; remembers which creases went in. */
function mergeStraightJoints(pattern: Pattern, offset: number): Plain {
  const creases = pattern.creases.map(({ from, to, kind }, i) => ({ from, to, kind, parts: [i] }));
  const at: Set<number>[] = pattern.vertices.map(() => new Set());
  creases.forEach(({ from, to }, i) => {
    at[from].add(i);
    at[to].add(i);
  });
  const gone = new Set<number>();
  for (let v = 0; v < at.length; v++) {
    if (at[v].size !== 2) continue;
    const [i, j] = [...at[v]];
    const a = creases[i].from === v ? creases[i].to : creases[i].from;
    const b = creases[j].from === v ? creases[j].to : creases[j].from;
    const inLine = isBetween(pattern.vertices[a], pattern.vertices[v], pattern.vertices[b], offset);
    if (creases[i].kind !== creases[j].kind || a === b || a === v || b === v || !inLine) continue;
    creases[i] = { from: a, to: b, kind: creases[i].kind, parts: [...creases[i].parts, ...creases[j].parts] };
    creases[j] = { ...creases[j], parts: [] };
    at[b].delete(j);
    at[b].add(i);
    gone.add(v);
  }
  const kept = at.map((_, v) => v).filter((v) => !gone.has(v));
  const number = new Map(kept.map((v, i) => [v, i]));
  return {
    points: kept.map((v) => pattern.vertices[v]),
    creases: creases
      .filter((crease) => crease.parts.length > 0)
      .map((crease) => ({ ...crease, from: number.get(crease.from)!, to: number.get(crease.to)! })),
  };
}

function isBetween(a: PatternPoint, v: PatternPoint, b: PatternPoint, offset: number): boolean {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const length = Math.hypot(dx, dy);
  const along = (v[0] - a[0]) * dx + (v[1] - a[1]) * dy;
  const across = Math.abs((v[0] - a[0]) * dy - (v[1] - a[1]) * dx);
  return along > 0 && along < length * length && across <= offset * length;
}

/**
 * One to one, within the tolerance: nearest pairs first, then as many more as augmenting paths allow (Kuhn 1955), so that
 * a crowded corner is not spoiled by the order. Returns the true vertex of each answered vertex, -1 for none.
 */
function matchVertices(got: readonly PatternPoint[], truth: readonly PatternPoint[], tolerance: number): number[] {
  const near: { g: number; t: number; d: number }[] = [];
  const cell = (x: number): number => Math.floor(x / tolerance);
  const cells = new Map<string, number[]>();
  truth.forEach(([x, y], t) => {
    const key = `${cell(x)},${cell(y)}`;
    cells.set(key, [...(cells.get(key) ?? []), t]);
  });
  got.forEach(([x, y], g) => {
    for (let cx = cell(x) - 1; cx <= cell(x) + 1; cx++) {
      for (let cy = cell(y) - 1; cy <= cell(y) + 1; cy++) {
        for (const t of cells.get(`${cx},${cy}`) ?? []) {
          const d = Math.hypot(truth[t][0] - x, truth[t][1] - y);
          if (d <= tolerance) near.push({ g, t, d });
        }
      }
    }
  });
  near.sort((p, q) => p.d - q.d);
  const trueOf: number[] = got.map(() => -1);
  const gotOf: number[] = truth.map(() => -1);
  const choices: number[][] = got.map(() => []);
  for (const { g, t } of near) {
    choices[g].push(t);
    if (trueOf[g] >= 0 || gotOf[t] >= 0) continue;
    trueOf[g] = t;
    gotOf[t] = g;
  }
  const augment = (g: number, seen: Set<number>): boolean => {
    for (const t of choices[g]) {
      if (seen.has(t)) continue;
      seen.add(t);
      if (gotOf[t] >= 0 && !augment(gotOf[t], seen)) continue;
      trueOf[g] = t;
      gotOf[t] = g;
      return true;
    }
    return false;
  };
  for (let g = 0; g < got.length; g++) if (trueOf[g] < 0) augment(g, new Set());
  return trueOf;
}
