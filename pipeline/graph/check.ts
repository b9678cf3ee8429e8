import Flatbush from 'flatbush';
import type { BrokenLaw, Pattern } from '../types.ts';

/** What keeps a pattern from being a planar straight-line graph. */
export type PlanarFaultCode =
  | 'bad-index'
  | 'not-finite'
  | 'exact-differs'
  | 'no-length'
  | 'same-place'
  | 'doubled'
  | 'crossing'
  | 'vertex-on-crease';

export interface PlanarFault {
  readonly code: PlanarFaultCode;
  readonly creases: readonly number[];
  readonly vertices: readonly number[];
  /** Where, pattern units; [0, 0] for 'bad-index' and 'not-finite'. */
  readonly at: readonly [number, number];
}

/** Points nearer than this are one point: far above rounding, far below any fold, pattern units. */
const SAME_PLACE = 1e-7;
/** An exact coordinate and the floating one beside it may differ by rounding only, pattern units. */
const EXACT_DIFFERENCE = 1e-9;

/**
 * Checks that a pattern is a planar straight-line graph: indices in range, finite coordinates that agree with the exact ones,
 * creases with length, no two vertices on one spot, no two creases that cross, overlap, or touch except at a shared vertex.
 * Looks at pairs of segments only and knows nothing of how patterns are built or walked.
 *
 * @returns faults in no special order; none for a sound pattern
 */
export function checkPlanarGraph(pattern: Pattern): PlanarFault[] {
  const faults = checkVertexTable(pattern);
  if (faults.some((f) => f.code === 'bad-index' || f.code === 'not-finite')) return faults;
  const { vertices, creases } = pattern;
  for (let c = 0; c < creases.length; c++) {
    const [a, b] = [vertices[creases[c].from], vertices[creases[c].to]];
    if (Math.hypot(a[0] - b[0], a[1] - b[1]) <= SAME_PLACE)
      faults.push({ code: 'no-length', creases: [c], vertices: [creases[c].from, creases[c].to], at: [a[0], a[1]] });
  }
  if (creases.length === 0) return faults;
  const index = new Flatbush(creases.length);
  for (const { from, to } of creases) {
    const [a, b] = [vertices[from], vertices[to]];
    index.add(Math.min(a[0], b[0]), Math.min(a[1], b[1]), Math.max(a[0], b[0]), Math.max(a[1], b[1]));
  }
  index.finish();
  for (let c = 0; c < creases.length; c++) {
    const [a, b] = [vertices[creases[c].from], vertices[creases[c].to]];
    const near = index.search(
      Math.min(a[0], b[0]) - SAME_PLACE,
      Math.min(a[1], b[1]) - SAME_PLACE,
      Math.max(a[0], b[0]) + SAME_PLACE,
      Math.max(a[1], b[1]) + SAME_PLACE,
      (d) => d > c,
    );
    for (const d of near) comparePair(pattern, c, d, faults);
  }
  return faults;
}

/** Planar faults as broken laws. */
export function planarLaws(faults: readonly PlanarFault[]): BrokenLaw[] {
  return faults.map(({ code, creases, vertices, at }) => ({
    law: 'planar',
    creases,
    ...(vertices.length === 1 ? { vertex: vertices[0] } : {}),
    at,
    amount: creases.length,
    facts: { fault: code },
  }));
}

function checkVertexTable({ vertices, exact, creases }: Pattern): PlanarFault[] {
  const faults: PlanarFault[] = [];
  if (exact.length !== vertices.length) faults.push({ code: 'bad-index', creases: [], vertices: [], at: [0, 0] });
  creases.forEach(({ from, to }, c) => {
    const sound = [from, to].every((v) => Number.isInteger(v) && v >= 0 && v < vertices.length);
    if (!sound) faults.push({ code: 'bad-index', creases: [c], vertices: [], at: [0, 0] });
  });
  vertices.forEach(([x, y], v) => {
    if (!(Number.isFinite(x) && Number.isFinite(y))) {
      faults.push({ code: 'not-finite', creases: [], vertices: [v], at: [0, 0] });
      return;
    }
    const point = exact[v];
    if (!point) return;
    const [ex, ey] = point.map(({ p, r, q, root }) => (p + r * Math.sqrt(root)) / q);
    if (Math.hypot(ex - x, ey - y) > EXACT_DIFFERENCE)
      faults.push({ code: 'exact-differs', creases: [], vertices: [v], at: [x, y] });
  });
  if (faults.length > 0) return faults;
  const order = vertices.map((_, v) => v).sort((a, b) => vertices[a][0] - vertices[b][0]);
  for (let i = 0; i < order.length; i++) {
    const [x, y] = vertices[order[i]];
    for (let j = i + 1; j < order.length && vertices[order[j]][0] - x <= SAME_PLACE; j++)
      if (Math.abs(vertices[order[j]][1] - y) <= SAME_PLACE)
        faults.push({ code: 'same-place', creases: [], vertices: [order[i], order[j]], at: [x, y] });
  }
  return faults;
}

function comparePair({ vertices, creases }: Pattern, c: number, d: number, faults: PlanarFault[]): void {
  const [first, second] = [creases[c], creases[d]];
  const shared = [first.from, first.to].filter((v) => v === second.from || v === second.to);
  const note = (code: PlanarFaultCode, at: readonly [number, number], on: readonly number[] = shared): void => {
    faults.push({ code, creases: [c, d], vertices: on, at });
  };
  if (shared.length === 2) {
    note('doubled', vertices[first.from]);
    return;
  }
  let touches = false;
  for (const [segment, other] of [
    [first, second],
    [second, first],
  ])
    for (const v of [segment.from, segment.to]) {
      if (v === other.from || v === other.to) continue;
      if (distanceToSegment(vertices[v], vertices[other.from], vertices[other.to]) > SAME_PLACE) continue;
      // With a shared vertex this is an overlap of two creases in one direction.
      note(shared.length === 1 ? 'doubled' : 'vertex-on-crease', vertices[v], [v]);
      touches = true;
    }
  if (touches || shared.length > 0) return;
  const [a, b, p, q] = [first.from, first.to, second.from, second.to].map((v) => vertices[v]);
  const [sp, sq, sa, sb] = [side(a, b, p), side(a, b, q), side(p, q, a), side(p, q, b)];
  if (sp * sq >= 0 || sa * sb >= 0) return;
  const t = sa / (sa - sb);
  note('crossing', [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
}

type Point = readonly [number, number];

/** Twice the signed area of a, b, c: positive where c lies left of a → b. */
function side(a: Point, b: Point, c: Point): number {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

function distanceToSegment(p: Point, a: Point, b: Point): number {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const square = dx * dx + dy * dy;
  const t = square === 0 ? 0 : Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square));
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
}
