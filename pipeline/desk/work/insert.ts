import { toPoint } from '../../geometry/exact.ts';
import { crossingOf, lineOf } from '../../resolve/exact-lines.ts';
import type { Evidence, ExactPoint, Kind } from '../../types.ts';
import { type Draft, SAME_PLACE, splitCrease, toleranceAt } from './draft.ts';
import type { Place } from './work.ts';

export interface NewCrease {
  readonly kind: Kind;
  readonly evidence: Evidence;
  readonly was: readonly number[];
  /** Whether its kind replaces that of a fold or guide which is there already. The sheet's edge always stays. */
  readonly replaces: boolean;
}

/** The vertex at a place: one that is there, or a new one, which cuts a crease that it lies on. */
export function vertexAt(draft: Draft, place: Place, near: number): number {
  const { places, creases } = draft;
  for (let v = 0; v < places.length; v++) {
    if (draft.given.has(v) || distance(places[v].at, place.at) > SAME_PLACE) continue;
    if (!places[v].exact && place.exact) places[v] = place;
    return v;
  }
  const added = places.push(place) - 1;
  const tolerance = toleranceAt(draft, added, near);
  for (let c = creases.length - 1; c >= 0; c--) {
    const crease = creases[c];
    if (!crease) continue;
    const { along, away, length } = onSegment(place.at, places[crease.from].at, places[crease.to].at);
    if (away <= tolerance && along > SAME_PLACE && along < length - SAME_PLACE) splitCrease(draft, c, added);
  }
  return added;
}

/**
 * Draws a straight crease between two vertices. It is cut at every vertex on its way and at every crease that it crosses,
 * which are cut there, too; where a crease is there already, no second one is laid over it.
 *
 * @param near how near measured vertices must be to lie on the way, pattern units
 */
export function insertCrease(draft: Draft, from: number, to: number, crease: NewCrease, near: number): void {
  if (from === to) return;
  const stops = stopsAtVertices(draft, from, to, near);
  const [a, b] = [draft.places[from].at, draft.places[to].at];
  for (let c = draft.creases.length - 1; c >= 0; c--) {
    const other = draft.creases[c];
    if (!other) continue;
    // A crease that ends at a stop meets the new one there.
    if ([other.from, other.to].some((v) => v === from || v === to || stops.some((stop) => stop.vertex === v))) continue;
    const place = crossing(draft, [from, to], [other.from, other.to]);
    if (!place) continue;
    const vertex = draft.places.push(place) - 1;
    splitCrease(draft, c, vertex);
    stops.push({ vertex, along: onSegment(place.at, a, b).along });
  }
  stops.sort((one, other) => one.along - other.along);
  const chain = [from, ...stops.map(({ vertex }) => vertex), to];
  for (let i = 1; i < chain.length; i++) layPiece(draft, chain[i - 1], chain[i], crease);
}

function layPiece(draft: Draft, from: number, to: number, { replaces, ...crease }: NewCrease): void {
  const there = draft.creases.findIndex(
    (c) => c && ((c.from === from && c.to === to) || (c.from === to && c.to === from)),
  );
  if (there < 0) {
    draft.creases.push({ from, to, ...crease });
    return;
  }
  const old = draft.creases[there]!;
  if (replaces && old.kind !== 'B') draft.creases[there] = { ...old, kind: crease.kind, evidence: crease.evidence };
  else draft.creases[there] = { ...old, was: [...old.was, ...crease.was] };
}

interface Stop {
  readonly vertex: number;
  readonly along: number;
}

function stopsAtVertices(draft: Draft, from: number, to: number, near: number): Stop[] {
  const [a, b] = [draft.places[from].at, draft.places[to].at];
  const stops: Stop[] = [];
  draft.places.forEach(({ at }, vertex) => {
    if (vertex === from || vertex === to || draft.given.has(vertex)) return;
    const { along, away, length } = onSegment(at, a, b);
    const tolerance = Math.max(
      toleranceAt(draft, from, near),
      toleranceAt(draft, to, near),
      toleranceAt(draft, vertex, near),
    );
    if (away <= tolerance && along > tolerance && along < length - tolerance) stops.push({ vertex, along });
  });
  return stops;
}

/** Where two segments cross inside both; exact where all four ends are. */
function crossing({ places }: Draft, one: readonly [number, number], other: readonly [number, number]): Place | null {
  const [a, b, c, d] = [...one, ...other].map((v) => places[v].at);
  const [s, t] = [side(a, b, c), side(a, b, d)];
  const [u, v] = [side(c, d, a), side(c, d, b)];
  if (s * t >= 0 || u * v >= 0) return null;
  const share = u / (u - v);
  const [p, q, r, w] = [...one, ...other].map((end) => places[end].exact);
  return placeOf([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])], exactCrossing(p, q, r, w));
}

type MaybeExact = ExactPoint | null;

function exactCrossing(p: MaybeExact, q: MaybeExact, r: MaybeExact, s: MaybeExact): MaybeExact {
  if (!p || !q || !r || !s) return null;
  const [one, other] = [lineOf(p, q), lineOf(r, s)];
  return one && other && crossingOf(one, other);
}

/** The exact place where it is known, for it is the better number. */
export function placeOf(at: Point, exact: MaybeExact): Place {
  return { at: exact ? toPoint(exact) : at, exact };
}

type Point = readonly [number, number];

/** Twice the signed area of a, b, c: positive where c lies left of a → b. */
function side(a: Point, b: Point, c: Point): number {
  return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
}

function distance(p: Point, q: Point): number {
  return Math.hypot(p[0] - q[0], p[1] - q[1]);
}

/** A point against a segment: how far along it, how far beside it, and the segment's length. */
export function onSegment(p: Point, a: Point, b: Point): { along: number; away: number; length: number } {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const length = Math.hypot(dx, dy);
  if (length === 0) return { along: 0, away: distance(p, a), length };
  const [px, py] = [p[0] - a[0], p[1] - a[1]];
  return { along: (px * dx + py * dy) / length, away: Math.abs(px * dy - py * dx) / length, length };
}
