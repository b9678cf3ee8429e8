import { readingOfPattern } from '../../pipeline/desk/reading.ts';
import { type DeskState, type Reading, stateOf, WORK_VERSION, type Work } from '../../pipeline/desk/work/work.ts';
import type { Doubt, Lattice, Pattern } from '../../pipeline/types.ts';

/** A square grid for a pattern that names none. */
export function squareLattice(divisions: number, halfUnits = false): Lattice {
  return { kind: 'square', divisionsX: divisions, divisionsY: divisions, halfUnits, residual: 0, fit: 1 };
}

/** A reading with doubts of its own, as if it came from a picture that was read perfectly. */
export function readingWith(pattern: Pattern, doubts: readonly Partial<Doubt>[] = []): Reading {
  return {
    ...readingOfPattern({ name: 'test.fold', pattern, notes: [] }),
    doubts: doubts.map((doubt) => ({
      what: 'kind-unclear',
      at: [0.5, 0.5],
      atPicture: [0, 0],
      facts: {},
      probability: 0.6,
      instead: 'valley',
      ...doubt,
    })),
  };
}

export function deskWith(pattern: Pattern, doubts: readonly Partial<Doubt>[] = []): DeskState {
  return stateOf([readingWith(pattern, doubts)], 0);
}

export function workWith(reading: Reading): Work {
  return { version: WORK_VERSION, id: 'one', name: 'test.fold', readings: [reading], edits: [], done: 0, savedAt: 0 };
}
