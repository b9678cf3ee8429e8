/** A pattern being changed: creases may be taken away and vertices added, and nothing is renumbered until the end. */
import type { Crease, Evidence, Kind } from '../../types.ts';
import type { DeskState, Place } from './work.ts';

export interface DraftCrease extends Crease {
  readonly evidence: Evidence;
  /** Indices of the creases of the state that this one was part of. */
  readonly was: readonly number[];
}

export interface Draft {
  readonly places: Place[];
  /** Null where a crease was taken away. */
  readonly creases: (DraftCrease | null)[];
  /** Vertices that are given up: nothing meets them any more. */
  readonly given: Set<number>;
}

/** Places nearer than this are one, pattern units: as in the check of planar graphs. */
export const SAME_PLACE = 1e-7;
/** A measured vertex this near to a line drawn by hand lies on it: a share of the grid's step, and pattern units without a grid. */
const NEAR_STEPS = 0.12;
const NEAR = 0.003;

export function draftOf({ pattern, evidence }: DeskState): Draft {
  return {
    places: pattern.vertices.map((at, v) => ({ at, exact: pattern.exact[v] })),
    creases: pattern.creases.map((crease, c) => ({ ...crease, evidence: evidence[c], was: [c] })),
    given: new Set(),
  };
}

/** How near measured vertices must come to a line to count as lying on it, pattern units. */
export function nearness({ pattern: { lattice } }: DeskState): number {
  const divisions = lattice ? Math.max(lattice.divisionsX, lattice.divisionsY) : 0;
  return divisions > 0 ? NEAR_STEPS / divisions / (lattice?.halfUnits ? 2 : 1) : NEAR;
}

export function creasesAt(draft: Draft, vertex: number): number[] {
  const found: number[] = [];
  draft.creases.forEach((crease, c) => {
    if (crease && (crease.from === vertex || crease.to === vertex)) found.push(c);
  });
  return found;
}

/** Puts a vertex inside a crease. */
export function splitCrease(draft: Draft, crease: number, vertex: number): void {
  const old = draft.creases[crease]!;
  draft.creases[crease] = { ...old, to: vertex };
  draft.creases.push({ ...old, from: vertex });
}

/** Joins two creases that go straight through a vertex and are of one kind: nothing needs a vertex there any more. */
export function healVertex(draft: Draft, vertex: number, tolerance: number): void {
  const own = creasesAt(draft, vertex);
  if (own.length !== 2) return;
  const [one, other] = own.map((c) => draft.creases[c]!);
  if (one.kind !== other.kind) return;
  const [a, b] = [one, other].map(({ from, to }) => (from === vertex ? to : from));
  if (a === b || distanceToLine(draft, vertex, a, b) > toleranceAt(draft, vertex, tolerance)) return;
  draft.creases[own[0]] = {
    from: a,
    to: b,
    kind: one.kind,
    evidence: lengthOf(draft, one) >= lengthOf(draft, other) ? one.evidence : other.evidence,
    was: [...one.was, ...other.was],
  };
  draft.creases[own[1]] = null;
}

/** Exact places are compared as such; measured ones within what a hand and a camera can tell. */
export function toleranceAt(draft: Draft, vertex: number, near: number): number {
  return draft.places[vertex].exact ? SAME_PLACE : near;
}

function distanceToLine({ places }: Draft, v: number, a: number, b: number): number {
  const [p, q, r] = [places[v].at, places[a].at, places[b].at];
  const [dx, dy] = [r[0] - q[0], r[1] - q[1]];
  const length = Math.hypot(dx, dy);
  return length === 0 ? Number.POSITIVE_INFINITY : Math.abs((p[0] - q[0]) * dy - (p[1] - q[1]) * dx) / length;
}

function lengthOf({ places }: Draft, { from, to }: Crease): number {
  return Math.hypot(places[to].at[0] - places[from].at[0], places[to].at[1] - places[from].at[1]);
}

/** The state with the draft's pattern: what is left is numbered anew, and doubts follow their creases and vertices. */
export function finish(draft: Draft, before: DeskState): DeskState {
  const vertexNow = new Int32Array(draft.places.length).fill(-1);
  const kept = draft.creases.filter((crease): crease is DraftCrease => crease !== null);
  for (const { from, to } of kept) vertexNow[from] = vertexNow[to] = 0;
  let count = 0;
  for (let v = 0; v < vertexNow.length; v++) if (vertexNow[v] === 0) vertexNow[v] = count++;
  const places = draft.places.filter((_, v) => vertexNow[v] >= 0);
  const creaseNow = new Int32Array(before.pattern.creases.length).fill(-1);
  kept.forEach(({ was }, c) => {
    for (const w of was) if (creaseNow[w] < 0) creaseNow[w] = c;
  });
  return {
    ...before,
    pattern: {
      ...before.pattern,
      vertices: places.map(({ at }) => at),
      exact: places.map(({ exact }) => exact),
      creases: kept.map(({ from, to, kind }) => ({ from: vertexNow[from], to: vertexNow[to], kind })),
    },
    evidence: kept.map(({ evidence }) => evidence),
    doubts: before.doubts.map((doubt) => {
      const crease = doubt.crease === undefined ? undefined : creaseNow[doubt.crease];
      const vertex = doubt.vertex === undefined ? undefined : vertexNow[doubt.vertex];
      // What the doubt was about is gone, and the doubt with it.
      const gone = crease === -1 || vertex === -1;
      return {
        ...doubt,
        crease: crease === -1 ? undefined : crease,
        vertex: vertex === -1 ? undefined : vertex,
        settled: doubt.settled || gone,
      };
    }),
    left: before.left.map((v) => vertexNow[v]).filter((v) => v >= 0),
  };
}

/** Evidence of a crease that a person drew. */
export function drawnEvidence(kind: Kind): Evidence {
  const odds = { mountain: 0, valley: 0, edge: 0, guide: 0, absent: 0 };
  const name = ({ M: 'mountain', V: 'valley', B: 'edge', C: 'edge', F: 'guide', U: null } as const)[kind];
  if (name) odds[name] = 1;
  else odds.mountain = odds.valley = 0.5;
  return { odds, coverage: 0, residual: 0, origin: 'edited' };
}
