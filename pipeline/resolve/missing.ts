/** Creases that nobody saw but that would mend the vertices they join: proposed, never added. */
import type { PatternPoint } from '../types.ts';
import type { Finding } from './doubt-list.ts';
import type { Draft } from './draft.ts';
import { folds, isSound, type Ray, rayOf, sortRays } from './soundness.ts';

/** With more broken vertices than this the drawing is not understood, and proposals would be noise. */
const MOST_BROKEN = 150;
/** How likely a proposal is the missing crease: where it mends both ends, and where one end is on the sheet's edge. */
const MENDS_TWO = 0.95;
const MENDS_ONE = 0.8;
/** Directions in which a crease to the edge is tried, as parts of half a turn. */
const DIRECTIONS = 16;
/** A crease on another, or through a vertex, is none: distances in stroke widths. */
const CLEAR_WIDTHS = 1;

export interface ProposedCrease {
  readonly finding: Finding;
  /** Vertices of the draft that it would mend. */
  readonly mends: readonly number[];
}

interface Sight {
  readonly to: PatternPoint;
  readonly vertex: number;
}

/**
 * For vertices that cannot fold flat: a straight crease to another such vertex within sight, or to the edge of the sheet,
 * that makes its ends sound.
 */
export function missingCreases(draft: Draft, placeSpread: number): ProposedCrease[] {
  const present = draft.parts.flatMap((part, p) => (part.present ? [p] : []));
  const isEdge = new Uint8Array(draft.vertices.length);
  const rays: Ray[][] = draft.vertices.map(() => []);
  for (const p of present) {
    const { from, to, border } = draft.parts[p];
    if (border) isEdge[from] = isEdge[to] = 1;
    if (!folds(draft, p)) continue;
    rays[from].push(rayOf(draft, p, from, placeSpread));
    rays[to].push(rayOf(draft, p, to, placeSpread));
  }
  const broken = rays.flatMap((own, v) => (isEdge[v] || isSound(sortRays(own)) ? [] : [v]));
  if (broken.length === 0 || broken.length > MOST_BROKEN) return [];
  const mends = (v: number, angle: number) =>
    isSound(sortRays([...rays[v], { angle, spread: draft.exact[v] ? 0 : placeSpread, part: -1 }]));
  const proposals: ProposedCrease[] = [];
  const used = new Set<number>();
  const propose = (ends: readonly number[], to: PatternPoint, probability: number) => {
    const [a, b] = [draft.vertices[ends[0]], to];
    const finding: Finding = {
      what: 'crease-missing',
      at: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2],
      facts: { angleDegrees: degrees(a, b), length: Math.hypot(b[0] - a[0], b[1] - a[1]) },
      probability: 1 - probability,
      instead: 'other',
    };
    proposals.push({ finding, mends: ends });
  };
  for (const v of broken) {
    for (const w of broken) {
      if (w <= v || used.has(v) || used.has(w)) continue;
      const angle = angleOf(draft.vertices[v], draft.vertices[w]);
      const back = angle > 0 ? angle - Math.PI : angle + Math.PI;
      if (!mends(v, angle) || !mends(w, back) || !inSight(draft, present, v, { to: draft.vertices[w], vertex: w }))
        continue;
      used.add(v);
      used.add(w);
      propose([v, w], draft.vertices[w], MENDS_TWO);
    }
  }
  for (const v of broken) {
    if (used.has(v)) continue;
    const ends: PatternPoint[] = [];
    for (let k = -DIRECTIONS + 1; k <= DIRECTIONS; k++) {
      const angle = (k * Math.PI) / DIRECTIONS;
      if (!mends(v, angle)) continue;
      const to = edgeAhead(draft, present, v, angle);
      if (to && inSight(draft, present, v, { to, vertex: -1 })) ends.push(to);
    }
    // Several ways out are none.
    if (ends.length === 1) propose([v], ends[0], MENDS_ONE);
  }
  return proposals;
}

function angleOf(a: PatternPoint, b: PatternPoint): number {
  return Math.atan2(b[1] - a[1], b[0] - a[0]);
}

function degrees(a: PatternPoint, b: PatternPoint): number {
  return Math.round((angleOf(a, b) * 1800) / Math.PI) / 10;
}

/** Whether the way from a vertex meets no crease and passes no vertex before its end. */
function inSight(draft: Draft, present: readonly number[], v: number, { to, vertex }: Sight): boolean {
  const start = draft.vertices[v];
  const [dx, dy] = [to[0] - start[0], to[1] - start[1]];
  const length = Math.hypot(dx, dy);
  const clear = CLEAR_WIDTHS * draft.strokeWidth;
  const along = (q: PatternPoint) => ((q[0] - start[0]) * dx + (q[1] - start[1]) * dy) / length;
  const beside = (q: PatternPoint) => ((q[1] - start[1]) * dx - (q[0] - start[0]) * dy) / length;
  return present.every((p) => {
    const { from, to: end } = draft.parts[p];
    const [a, b] = [draft.vertices[from], draft.vertices[end]];
    for (const [u, q] of [
      [from, a],
      [end, b],
    ] as const) {
      if (u === v || u === vertex) continue;
      const t = along(q);
      if (t > 0 && t < length - clear && Math.abs(beside(q)) < clear) return false;
    }
    const [sa, sb] = [beside(a), beside(b)];
    if (from === v || end === v || from === vertex || end === vertex || sa * sb >= 0) {
      // A crease that leaves in the same direction lies under the way.
      const far = from === v ? b : end === v ? a : null;
      return !far || Math.abs(beside(far)) > clear || along(far) <= 0;
    }
    const t = along(a) + ((along(b) - along(a)) * sa) / (sa - sb);
    return t <= 0 || t >= length - clear;
  });
}

/** Where a ray from a vertex leaves the sheet. */
function edgeAhead(draft: Draft, present: readonly number[], v: number, angle: number): PatternPoint | null {
  const [x, y] = draft.vertices[v];
  const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
  let best = Number.POSITIVE_INFINITY;
  for (const p of present) {
    const { from, to, border } = draft.parts[p];
    if (!border) continue;
    const [a, b] = [draft.vertices[from], draft.vertices[to]];
    const [ex, ey] = [b[0] - a[0], b[1] - a[1]];
    const det = dx * ey - dy * ex;
    if (Math.abs(det) < 1e-12) continue;
    const t = ((a[0] - x) * ey - (a[1] - y) * ex) / det;
    const u = ((a[0] - x) * dy - (a[1] - y) * dx) / det;
    if (t > 0 && u >= 0 && u <= 1) best = Math.min(best, t);
  }
  return Number.isFinite(best) ? [x + best * dx, y + best * dy] : null;
}
