/**
 * What must be true of any true pattern, written apart from the code that makes them: a planar graph with a closed
 * border, no loose ends inside, no needless vertices, and the laws at each inner vertex (Kawasaki 1989, Justin 1986,
 * Maekawa in Kasahara & Takahama 1987; see Hull 2002 for both), and the crimp test (Bern & Hayes 1996).
 */
import { crimpGroups, firstFailingGroup, MAY_BE_MOUNTAIN, MAY_BE_VALLEY } from '../../pipeline/laws/crimp.ts';
import type { Kind, Pattern } from '../../pipeline/types.ts';

export type PatternFault =
  | 'not-finite'
  | 'exact-differs'
  | 'same-vertex'
  | 'bad-crease'
  | 'crossing'
  | 'vertex-on-crease'
  | 'border-open'
  | 'border-lies'
  | 'outside'
  | 'loose-end'
  | 'needless-vertex'
  | 'odd-degree'
  | 'kawasaki'
  | 'maekawa'
  | 'crimp'
  | 'size';

export interface Fault {
  readonly what: PatternFault;
  readonly where: readonly number[];
}

/** Distances below this are rounding, pattern units. */
const NEAR = 1e-7;
/** Largest departure of a Kawasaki sum from half a turn, radians. */
const KAWASAKI_RAD = 1e-6;
const isFold = (kind: Kind): boolean => kind === 'M' || kind === 'V';

export function checkPattern(pattern: Pattern): Fault[] {
  return [...checkVertices(pattern), ...checkPlanar(pattern), ...checkBorder(pattern), ...checkLaws(pattern)];
}

function checkVertices({ vertices, exact, creases }: Pattern): Fault[] {
  const faults: Fault[] = [];
  if (exact.length !== vertices.length) faults.push({ what: 'exact-differs', where: [] });
  vertices.forEach(([x, y], i) => {
    if (!(Number.isFinite(x) && Number.isFinite(y))) faults.push({ what: 'not-finite', where: [i] });
    const e = exact[i];
    e?.forEach((c, axis) => {
      const value = (c.p + c.r * Math.sqrt(c.root)) / c.q;
      if (Math.abs(value - vertices[i][axis]) > NEAR) faults.push({ what: 'exact-differs', where: [i] });
    });
  });
  const order = vertices.map((_, i) => i).sort((a, b) => vertices[a][0] - vertices[b][0]);
  order.forEach((i, k) => {
    for (let l = k + 1; l < order.length && vertices[order[l]][0] - vertices[i][0] < NEAR; l++) {
      if (Math.abs(vertices[order[l]][1] - vertices[i][1]) < NEAR)
        faults.push({ what: 'same-vertex', where: [i, order[l]] });
    }
  });
  const seen = new Set<string>();
  creases.forEach(({ from, to }, c) => {
    const key = `${Math.min(from, to)}-${Math.max(from, to)}`;
    if (from === to || !vertices[from] || !vertices[to] || seen.has(key))
      faults.push({ what: 'bad-crease', where: [c] });
    seen.add(key);
  });
  const xs = vertices.map((v) => v[0]);
  const ys = vertices.map((v) => v[1]);
  const longest = Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys));
  if (Math.abs(Math.min(...xs)) > NEAR || Math.abs(Math.min(...ys)) > NEAR || Math.abs(longest - 1) > NEAR)
    faults.push({ what: 'size', where: [] });
  return faults;
}

/** Plain test of every pair whose boxes overlap, by sorted left ends: slow and sure. */
function checkPlanar({ vertices, creases }: Pattern): Fault[] {
  const faults: Fault[] = [];
  const box = creases.map(({ from, to }) => {
    const [p, q] = [vertices[from], vertices[to]];
    return [Math.min(p[0], q[0]), Math.max(p[0], q[0]), Math.min(p[1], q[1]), Math.max(p[1], q[1])];
  });
  const order = creases.map((_, i) => i).sort((a, b) => box[a][0] - box[b][0]);
  for (let k = 0; k < order.length; k++) {
    const i = order[k];
    for (let l = k + 1; l < order.length && box[order[l]][0] <= box[i][1] + NEAR; l++) {
      const j = order[l];
      if (box[j][2] > box[i][3] + NEAR || box[i][2] > box[j][3] + NEAR) continue;
      const fault = meeting(vertices, creases[i], creases[j]);
      if (fault) faults.push({ what: fault, where: [i, j] });
    }
  }
  return faults;
}

function meeting(
  vertices: Pattern['vertices'],
  a: { from: number; to: number },
  b: { from: number; to: number },
): PatternFault | null {
  const dist = (v: number, e: { from: number; to: number }): number => {
    const [p, q, r] = [vertices[e.from], vertices[e.to], vertices[v]];
    return ((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])) / Math.hypot(q[0] - p[0], q[1] - p[1]);
  };
  const within = (v: number, e: { from: number; to: number }): boolean => {
    if (v === e.from || v === e.to || Math.abs(dist(v, e)) > NEAR) return false;
    const [p, q, r] = [vertices[e.from], vertices[e.to], vertices[v]];
    const t = (r[0] - p[0]) * (q[0] - p[0]) + (r[1] - p[1]) * (q[1] - p[1]);
    return t > 0 && t < (q[0] - p[0]) ** 2 + (q[1] - p[1]) ** 2;
  };
  if (within(b.from, a) || within(b.to, a) || within(a.from, b) || within(a.to, b)) return 'vertex-on-crease';
  if (a.from === b.from || a.from === b.to || a.to === b.from || a.to === b.to) return null;
  const crosses = dist(b.from, a) * dist(b.to, a) < 0 && dist(a.from, b) * dist(a.to, b) < 0;
  return crosses ? 'crossing' : null;
}

interface Spoke {
  readonly angle: number;
  readonly kind: Kind;
}

function spokes({ vertices, creases }: Pattern): Spoke[][] {
  const around: Spoke[][] = vertices.map(() => []);
  for (const { from, to, kind } of creases) {
    const angle = Math.atan2(vertices[to][1] - vertices[from][1], vertices[to][0] - vertices[from][0]);
    around[from].push({ angle, kind });
    around[to].push({ angle: angle > 0 ? angle - Math.PI : angle + Math.PI, kind });
  }
  for (const list of around) list.sort((a, b) => a.angle - b.angle);
  return around;
}

function checkBorder(pattern: Pattern): Fault[] {
  const { vertices, creases } = pattern;
  const faults: Fault[] = [];
  const next = new Map<number, number[]>();
  creases.forEach(({ from, to, kind }) => {
    if (kind !== 'B') return;
    for (const [a, b] of [
      [from, to],
      [to, from],
    ])
      next.set(a, [...(next.get(a) ?? []), b]);
  });
  for (const [v, ends] of next) if (ends.length !== 2) faults.push({ what: 'border-open', where: [v] });
  if (next.size < 3 || faults.length > 0) return faults.length > 0 ? faults : [{ what: 'border-open', where: [] }];
  const start = [...next.keys()][0];
  const ring = [start];
  for (let prev = start, at = next.get(start)![0]; at !== start; ) {
    ring.push(at);
    const [a, b] = next.get(at)!;
    const to = a === prev ? b : a;
    prev = at;
    at = to;
  }
  if (ring.length !== next.size) return [{ what: 'border-open', where: ring }];
  const onRing = new Set(ring);
  vertices.forEach((v, i) => {
    if (!onRing.has(i) && !inside(v, ring, vertices)) faults.push({ what: 'outside', where: [i] });
  });
  creases.forEach(({ from, to, kind }, c) => {
    if (kind === 'B' || !onRing.has(from) || !onRing.has(to)) return;
    const [p, q] = [vertices[from], vertices[to]];
    if (!inside([(p[0] + q[0]) / 2, (p[1] + q[1]) / 2], ring, vertices))
      faults.push({ what: 'border-lies', where: [c] });
  });
  return faults;
}

function inside(p: readonly number[], ring: readonly number[], vertices: Pattern['vertices']): boolean {
  let odd = false;
  ring.forEach((v, i) => {
    const [a, b] = [vertices[v], vertices[ring[(i + 1) % ring.length]]];
    if (a[1] > p[1] !== b[1] > p[1] && p[0] < a[0] + ((p[1] - a[1]) / (b[1] - a[1])) * (b[0] - a[0])) odd = !odd;
  });
  return odd;
}

function foldsAlone(folds: readonly Spoke[]): boolean {
  const sectors = folds.map(({ angle }, i) =>
    i + 1 < folds.length ? folds[i + 1].angle - angle : folds[0].angle - angle + 2 * Math.PI,
  );
  const groups = crimpGroups(sectors, KAWASAKI_RAD);
  const letters = folds.map(({ kind }) => (kind === 'M' ? MAY_BE_MOUNTAIN : MAY_BE_VALLEY));
  return groups !== null && firstFailingGroup(groups, letters) < 0;
}

function checkLaws(pattern: Pattern): Fault[] {
  const faults: Fault[] = [];
  spokes(pattern).forEach((list, v) => {
    const straight =
      list.length === 2 &&
      list[0].kind === list[1].kind &&
      Math.abs(Math.abs(list[1].angle - list[0].angle) - Math.PI) < KAWASAKI_RAD;
    if (list.length === 0 || straight) faults.push({ what: 'needless-vertex', where: [v] });
    if (list.length === 1) faults.push({ what: 'loose-end', where: [v] });
    if (list.some((s) => s.kind === 'B')) return;
    const folds = list.filter((s) => isFold(s.kind));
    if (folds.length % 2 === 1) faults.push({ what: 'odd-degree', where: [v] });
    else if (folds.length > 0) {
      const alternate = folds.reduce((sum, s, i) => (i % 2 === 0 ? sum - s.angle : sum + s.angle), 0);
      // Sectors 1, 3, 5… between sorted spokes: their sum is the alternating sum of the angles.
      if (Math.abs(alternate - Math.PI) > KAWASAKI_RAD) faults.push({ what: 'kawasaki', where: [v] });
      const balance = folds.reduce((sum, s) => sum + (s.kind === 'M' ? 1 : -1), 0);
      if (Math.abs(balance) !== 2) faults.push({ what: 'maekawa', where: [v] });
      else if (!foldsAlone(folds)) faults.push({ what: 'crimp', where: [v] });
    }
  });
  return faults;
}
