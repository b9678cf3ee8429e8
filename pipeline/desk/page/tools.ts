/** The four tools, for pointer and keyboard alike: a place is shown, taken hold of, and let go. */
import { placeWords } from '../../report/words.ts';
import type { PatternPoint } from '../../types.ts';
import { mayMoveTo } from '../work/apply.ts';
import { SAME_PLACE } from '../work/draft.ts';
import { nearestCrease, nearestVertex, type Snap, snapTo } from '../work/snap.ts';
import type { DeskState } from '../work/work.ts';
import type { Mending } from './mending.ts';
import type { Store } from './store.ts';

/** What would be meant at a place with the tool in hand. */
export interface Aim {
  readonly snap: Snap | null;
  readonly crease: number | null;
  readonly vertex: number | null;
}

export const NO_AIM: Aim = { snap: null, crease: null, vertex: null };

export interface Tools {
  /** @param reach how far things draw a place to themselves, pattern units */
  readonly aim: (state: DeskState, at: PatternPoint, reach: number) => Aim;
  /** Begins something at a place; false where there is nothing to begin. */
  readonly take: (state: DeskState, at: PatternPoint, reach: number) => boolean;
  /** Ends what was begun; at the place where it began nothing is done and it is still held. */
  readonly put: (state: DeskState, at: PatternPoint, reach: number) => void;
  readonly drop: () => void;
}

export function makeTools(store: Store, mending: Mending, say: (text: string) => void): Tools {
  const placeName = (state: DeskState, at: PatternPoint) => placeWords(at, state.pattern.lattice);
  const isHeldPlace = (at: PatternPoint) => {
    const { held } = store.get();
    return held !== null && Math.hypot(held.place.at[0] - at[0], held.place.at[1] - at[1]) <= SAME_PLACE;
  };
  const aim = (state: DeskState, at: PatternPoint, reach: number): Aim => {
    const { tool, held } = store.get();
    const { pattern } = state;
    switch (tool) {
      case 'look':
        return NO_AIM;
      case 'erase': {
        const crease = nearestCrease(pattern, at, reach);
        return { ...NO_AIM, crease: crease < 0 ? null : crease };
      }
      case 'draw':
        return { ...NO_AIM, snap: snapTo(pattern, at, { reach, from: held?.place }) };
      case 'move': {
        if (held?.vertex == null) {
          const vertex = nearestVertex(pattern, at, reach);
          return { ...NO_AIM, vertex: vertex < 0 ? null : vertex };
        }
        const snap = snapTo(pattern, at, { reach, except: held.vertex });
        const place = mayMoveTo(state, held.vertex, snap?.place ?? { at, exact: null });
        return { ...NO_AIM, snap: place && { what: snap?.what ?? 'crease', place } };
      }
    }
  };
  return {
    aim,
    drop: () => store.set({ held: null }),
    take(state, at, reach) {
      const { tool, held } = store.get();
      if (held) return true;
      const { snap, vertex, crease } = aim(state, at, reach);
      if (tool === 'draw' && snap) {
        store.set({ held: { place: snap.place, vertex: null } });
        say(`Crease starts at ${placeName(state, snap.place.at)}`);
        return true;
      }
      if (tool === 'move' && vertex !== null) {
        const place = { at: state.pattern.vertices[vertex], exact: state.pattern.exact[vertex] };
        if (isCorner(state, vertex)) {
          say('Corners of the sheet are set with its outline, under Reading');
          return true;
        }
        store.set({ held: { place, vertex } });
        say(`Vertex taken up at ${placeName(state, place.at)}`);
        return true;
      }
      return tool === 'erase' && crease !== null;
    },
    put(state, at, reach) {
      const { tool, held, drawKind } = store.get();
      const { snap, crease } = aim(state, at, reach);
      if (tool === 'erase') {
        if (crease === null) return;
        mending.take({ what: 'erase', crease });
        say('Crease taken away');
        return;
      }
      if (!held || !snap || isHeldPlace(snap.place.at)) return;
      if (tool === 'draw') {
        mending.take({ what: 'draw', from: held.place, to: snap.place, kind: drawKind });
        say(`Crease drawn to ${placeName(state, snap.place.at)}`);
      } else if (tool === 'move' && held.vertex !== null) {
        mending.take({ what: 'move', vertex: held.vertex, to: snap.place });
        say(`Vertex put down at ${placeName(state, snap.place.at)}`);
      }
    },
  };
}

/** A vertex on the edge that moving along the edge would not keep there. */
function isCorner(state: DeskState, vertex: number): boolean {
  const place = { at: state.pattern.vertices[vertex], exact: state.pattern.exact[vertex] };
  return mayMoveTo(state, vertex, place) === null;
}
