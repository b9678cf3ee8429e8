import { attr, el, setText } from './el.ts';
import { type IconName, icon } from './icons.ts';
import type { Mending } from './mending.ts';
import type { Store } from './store.ts';
import { verdictWords } from './words.ts';

export interface TopBarActions {
  readonly reading: () => void;
  readonly save: () => void;
  readonly keys: () => void;
  readonly leave: () => void;
}

const KEPT = {
  beside: (keptIn: string | null) => `Kept in ${keptIn}`,
  browser: () => 'Kept in this browser',
  not: () => 'Not kept: save a copy',
} as const;

/** The picture's name, whether it folds, and what can be done with the whole. */
export function makeTopBar(store: Store, mending: Mending, actions: TopBarActions): { readonly root: HTMLElement } {
  const name = el('h1', { class: 'name' });
  const kept = el('span', { class: 'quiet kept' });
  const verdict = el('p', { class: 'verdict', role: 'status' });
  const button = (symbol: IconName, label: string, keys: string, act: () => void, withText = true) =>
    el(
      'button',
      {
        type: 'button',
        class: withText ? 'bar' : 'bar bare',
        title: keys ? `${label} (${keys})` : label,
        'aria-label': label,
        on: { click: act },
      },
      [icon(symbol), withText && el('span', { class: 'bar-text', text: label, 'aria-hidden': 'true' })],
    );
  const undo = button('undo', 'Undo', 'Ctrl Z', mending.undo, false);
  const redo = button('redo', 'Redo', 'Ctrl Shift Z', mending.redo, false);
  const root = el('header', { class: 'top' }, [
    el('div', { class: 'title' }, [name, kept]),
    verdict,
    el('div', { class: 'bar-buttons' }, [
      undo,
      redo,
      button('open', 'Open another', '', actions.leave),
      button('reading', 'Reading', '', actions.reading),
      button('save', 'Save as', '', actions.save),
      button('keys', 'Keys', '?', actions.keys),
    ]),
  ]);
  store.subscribe((shown, before) => {
    const { desk } = shown;
    if (!desk) return;
    const { work } = desk.history;
    setText(name, work.name);
    attr(name, 'title', work.name);
    setText(kept, shown.kept ? KEPT[shown.kept](shown.keptIn) : '');
    if (before?.desk === desk) return;
    attr(undo, 'disabled', work.done === 0);
    attr(redo, 'disabled', work.done === work.edits.length);
    const broken = new Set(desk.laws.map(({ vertex }) => vertex)).size;
    const { tone, text } = verdictWords(broken, desk.judgement);
    if (verdict.dataset.text === text) return;
    verdict.dataset.text = text;
    verdict.className = `verdict ${tone}`;
    verdict.replaceChildren(
      ...(tone === 'open' ? [] : [icon(tone === 'good' ? 'tick' : 'warn')]),
      el('span', { text }),
    );
  });
  return { root };
}
