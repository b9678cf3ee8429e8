/** What a person can do to the pattern on the desk. */
import { checkVertices } from '../../laws/laws.ts';
import { type DoubtItem, listDoubts, wholeLaws } from '../work/doubts.ts';
import { type History, redo, stateNow, step, undo } from '../work/history.ts';
import type { Judgement } from '../work/judge.ts';
import type { DeskState, Edit } from '../work/work.ts';
import type { Deskful, Selection, Shown, Store } from './store.ts';

/** The parts of the page's state that follow from the steps in force. */
export function derive(history: History): Pick<Deskful, 'history' | 'laws' | 'items' | 'judgement'> {
  const state = stateNow(history);
  const laws = checkVertices(state.pattern);
  return { history, laws, items: listDoubts(state, laws), judgement: 'working' };
}

/** The desk once the whole sheet has been judged: what it breaks as a whole joins the list. */
export function judged(desk: Deskful, judgement: Judgement | 'failed'): Deskful {
  const whole = judgement === 'failed' ? [] : wholeLaws(judgement.broken);
  const items = whole.length > 0 ? listDoubts(stateNow(desk.history), desk.laws, whole) : desk.items;
  return { ...desk, judgement, items };
}

export interface Mending {
  readonly take: (edit: Edit) => void;
  /** A step that answers a doubt; the next open one comes up. */
  readonly answer: (edit: Edit) => void;
  readonly undo: () => void;
  readonly redo: () => void;
  readonly select: (selection: Selection | null) => void;
  readonly go: (by: 1 | -1) => void;
}

/** @param changed called with every new history, to be judged and kept */
export function makeMending(store: Store, changed: () => void): Mending {
  const become = (history: History, after: Partial<Shown> = {}): void => {
    const { desk } = store.get();
    if (!desk || history === desk.history) return;
    store.set({ desk: { ...desk, ...derive(history) }, held: null, hint: [], ...after });
    const { selection } = store.get();
    if (!isThere(store.get(), selection)) store.set({ selection: firstOpen(store.get().desk!.items) });
    changed();
  };
  const take = (edit: Edit): void => {
    const { desk } = store.get();
    if (desk) become(step(desk.history, edit));
  };
  return {
    take,
    answer(edit) {
      const { selection } = store.get();
      take(edit);
      const { desk } = store.get();
      if (desk && selection?.what === 'doubt') store.set({ selection: firstOpen(desk.items) ?? selection });
    },
    undo() {
      const { desk } = store.get();
      if (!desk || desk.history.work.done === 0) return;
      const back = undo(desk.history);
      become(back, { selection: subjectOf(back.work.edits[back.work.done], stateNow(back)) ?? store.get().selection });
    },
    redo() {
      const { desk } = store.get();
      if (desk) become(redo(desk.history));
    },
    select: (selection) => store.set({ selection }),
    go(by) {
      const { desk, selection } = store.get();
      if (!desk || desk.items.length === 0) return;
      const at = selection?.what === 'doubt' ? desk.items.findIndex(({ key }) => key === selection.key) : -1;
      const next = at < 0 ? (by > 0 ? 0 : desk.items.length - 1) : at + by;
      const item = desk.items[(next + desk.items.length) % desk.items.length];
      store.set({ selection: { what: 'doubt', key: item.key } });
    },
  };
}

/** What a step was about, to be looked at again when the step is taken back. */
function subjectOf(edit: Edit, state: DeskState): Selection | null {
  if (edit.what === 'accept') return { what: 'doubt', key: `d${edit.doubt}` };
  const crease =
    edit.what === 'kinds' && edit.kinds.length === 1 ? edit.kinds[0][0] : edit.what === 'erase' ? edit.crease : null;
  if (crease === null) return null;
  const doubt = state.doubts.find((d) => d.crease === crease && !d.settled);
  return doubt ? { what: 'doubt', key: `d${doubt.id}` } : { what: 'crease', crease };
}

export function firstOpen(items: readonly DoubtItem[]): Selection | null {
  const open = items.find(({ settled }) => !settled);
  return open ? { what: 'doubt', key: open.key } : null;
}

function isThere({ desk }: Shown, selection: Selection | null): boolean {
  if (!desk || !selection) return false;
  if (selection.what === 'doubt') return desk.items.some(({ key }) => key === selection.key);
  return selection.crease < stateNow(desk.history).pattern.creases.length;
}
