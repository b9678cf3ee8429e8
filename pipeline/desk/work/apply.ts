import type { Evidence, Kind, KindOfOdds } from '../../types.ts';
import { carryAnswers } from './carry.ts';
import { creasesAt, draftOf, drawnEvidence, finish, healVertex, nearness, SAME_PLACE } from './draft.ts';
import { insertCrease, vertexAt } from './insert.ts';
import { type DeskDoubt, type DeskState, type Edit, type Place, type Reading, stateOf } from './work.ts';

/** The state after one more step; the given one stays as it is. */
export function applyEdit(state: DeskState, edit: Edit, readings: readonly Reading[]): DeskState {
  switch (edit.what) {
    case 'kinds':
      return setKinds(state, new Map(edit.kinds));
    case 'erase':
      return erase(state, edit.crease);
    case 'draw':
      return draw(state, edit.from, edit.to, edit.kind);
    case 'move':
      return move(state, edit.vertex, edit.to);
    case 'accept':
      return settle(state, ({ id }) => id === edit.doubt);
    case 'leave':
      return { ...state, left: [...state.left, edit.vertex] };
    case 'swap':
      return swap(state);
    case 'join':
      return join(state);
    case 'read':
      return carryAnswers(state, stateOf(readings, edit.reading));
  }
}

/** The state after the first `done` steps, from the first reading on. */
export function replay(readings: readonly Reading[], edits: readonly Edit[], done: number): DeskState {
  let state = stateOf(readings, 0);
  for (let i = 0; i < done; i++) state = applyEdit(state, edits[i], readings);
  return state;
}

const decided = (evidence: Evidence): Evidence => ({ ...evidence, origin: 'edited' });

function settle(state: DeskState, which: (doubt: DeskDoubt) => boolean): DeskState {
  return { ...state, doubts: state.doubts.map((doubt) => (which(doubt) ? { ...doubt, settled: true } : doubt)) };
}

/** A person's word on the kind of a crease settles every doubt about it. */
function setKinds(state: DeskState, kinds: ReadonlyMap<number, Kind>): DeskState {
  const { pattern, evidence } = state;
  const changed: DeskState = {
    ...state,
    pattern: {
      ...pattern,
      creases: pattern.creases.map((crease, c) => {
        const kind = kinds.get(c);
        return kind === undefined ? crease : { ...crease, kind };
      }),
    },
    evidence: evidence.map((one, c) => (kinds.has(c) ? decided(one) : one)),
  };
  return settle(changed, ({ crease }) => crease !== undefined && kinds.has(crease));
}

function erase(state: DeskState, crease: number): DeskState {
  const draft = draftOf(state);
  const { from, to } = state.pattern.creases[crease];
  draft.creases[crease] = null;
  const near = nearness(state);
  for (const v of [from, to]) healVertex(draft, v, near);
  return finish(draft, state);
}

function draw(state: DeskState, from: Place, to: Place, kind: Kind): DeskState {
  const draft = draftOf(state);
  const near = nearness(state);
  const [a, b] = [vertexAt(draft, from, near), vertexAt(draft, to, near)];
  insertCrease(draft, a, b, { kind, evidence: drawnEvidence(kind), was: [], replaces: true }, near);
  return finish(draft, state);
}

/** Takes a vertex's creases up and lays them down again from the new place, joining what is there. */
function move(state: DeskState, vertex: number, to: Place): DeskState {
  const draft = draftOf(state);
  const near = nearness(state);
  const own = creasesAt(draft, vertex);
  const taken = own.map((c) => draft.creases[c]!);
  for (const c of own) draft.creases[c] = null;
  draft.given.add(vertex);
  const there = vertexAt(draft, to, near);
  for (const { from, to: other, kind, evidence, was } of taken) {
    const far = from === vertex ? other : from;
    insertCrease(draft, far, there, { kind, evidence: decided(evidence), was, replaces: false }, near);
  }
  const doubts = state.doubts.map((d) => (d.vertex === vertex ? { ...d, settled: true } : d));
  return finish(draft, { ...state, doubts });
}

/**
 * Where a vertex may be put: anywhere inside the sheet for one inside it, along the edge for one on the edge; null for a
 * corner, which the outline holds.
 */
export function mayMoveTo({ pattern }: DeskState, vertex: number, to: Place): Place | null {
  const edges = pattern.creases.filter(
    ({ from, to: end, kind }) => kind === 'B' && (from === vertex || end === vertex),
  );
  if (edges.length === 0) return to;
  if (edges.length !== 2) return null;
  const [a, b] = edges.map(({ from, to: end }) => pattern.vertices[from === vertex ? end : from]);
  const p = pattern.vertices[vertex];
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const length = Math.hypot(dx, dy);
  const bend = Math.abs((p[0] - a[0]) * dy - (p[1] - a[1]) * dx) / length;
  if (bend > nearness({ pattern } as DeskState)) return null;
  const along = ((to.at[0] - a[0]) * dx + (to.at[1] - a[1]) * dy) / length;
  if (along <= SAME_PLACE || along >= length - SAME_PLACE) return null;
  const on = [a[0] + (along / length) * dx, a[1] + (along / length) * dy] as const;
  return Math.hypot(on[0] - to.at[0], on[1] - to.at[1]) <= SAME_PLACE ? to : { at: on, exact: null };
}

/** Lays every crease down again, one after the other, so that each is cut where it meets those before it. */
function join(state: DeskState): DeskState {
  const draft = draftOf(state);
  const all = draft.creases.splice(0);
  for (const crease of all) {
    if (!crease) continue;
    // In decimals as in the check of planar graphs: what is near but apart stays apart.
    const [from, to] = [crease.from, crease.to].map((v) => vertexAt(draft, draft.places[v], SAME_PLACE));
    const { kind, evidence, was } = crease;
    insertCrease(draft, from, to, { kind, evidence, was, replaces: false }, SAME_PLACE);
  }
  return finish(draft, state);
}

const SWAPPED: Readonly<Partial<Record<Kind, Kind>>> = { M: 'V', V: 'M' };
const SWAPPED_NAMES: Readonly<Partial<Record<KindOfOdds | 'other', KindOfOdds>>> = {
  mountain: 'valley',
  valley: 'mountain',
};

/** The sheet seen from its other side: every mountain a valley. */
function swap(state: DeskState): DeskState {
  const swapped: DeskState = {
    ...state,
    pattern: {
      ...state.pattern,
      creases: state.pattern.creases.map((crease) => ({ ...crease, kind: SWAPPED[crease.kind] ?? crease.kind })),
    },
    evidence: state.evidence.map((one) => ({
      ...one,
      odds: { ...one.odds, mountain: one.odds.valley, valley: one.odds.mountain },
    })),
    doubts: state.doubts.map((doubt) => ({
      ...doubt,
      instead: (doubt.instead && SWAPPED_NAMES[doubt.instead]) ?? doubt.instead,
    })),
  };
  return settle(swapped, ({ what }) => what === 'mountain-valley-swap' || what === 'convention-unknown');
}
