import { applyEdit } from './apply.ts';
import { type DeskState, type Edit, type Reading, stateOf, type Work } from './work.ts';

/** Work with the state after each of its steps: states[n] is what stands on the desk after n steps. */
export interface History {
  readonly work: Work;
  readonly states: readonly DeskState[];
}

/** @throws RangeError or TypeError where kept work does not fit together */
export function openHistory(work: Work): History {
  const states = [stateOf(work.readings, 0)];
  for (const edit of work.edits) states.push(applyEdit(states[states.length - 1], edit, work.readings));
  return { work, states };
}

export function stateNow({ work, states }: History): DeskState {
  return states[work.done];
}

/** One step more; steps that were taken back before are gone. */
export function step({ work, states }: History, edit: Edit): History {
  const done = work.done + 1;
  const next = applyEdit(states[work.done], edit, work.readings);
  return {
    work: { ...work, edits: [...work.edits.slice(0, work.done), edit], done },
    states: [...states.slice(0, done), next],
  };
}

/** Goes on from a new reading of the picture, as one step that can be taken back. */
export function readAgain(history: History, reading: Reading): History {
  const readings = [...history.work.readings, reading];
  return step({ ...history, work: { ...history.work, readings } }, { what: 'read', reading: readings.length - 1 });
}

export function undo(history: History): History {
  return goTo(history, history.work.done - 1);
}

export function redo(history: History): History {
  return goTo(history, history.work.done + 1);
}

function goTo(history: History, done: number): History {
  if (done < 0 || done >= history.states.length) return history;
  return { ...history, work: { ...history.work, done } };
}
