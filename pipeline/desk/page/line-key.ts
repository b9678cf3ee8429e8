import { KIND_NAMES } from '../../report/words.ts';
import type { Kind } from '../../types.ts';
import { stateNow } from '../work/history.ts';
import { el } from './el.ts';
import { lineSample } from './lines.ts';
import type { Store } from './store.ts';

const ORDER: readonly Kind[] = ['M', 'V', 'B', 'U', 'F', 'C'];

/** The kinds that occur, with a sample of their line and how many there are. */
export function makeLineKey(store: Store): { readonly root: HTMLElement } {
  const root = el('ul', { class: 'line-key', 'aria-label': 'Lines in the pattern' });
  store.subscribe(({ desk }, before) => {
    if (!desk || before?.desk?.history === desk.history) return;
    const { creases } = stateNow(desk.history).pattern;
    const rows = ORDER.flatMap((kind) => {
      const count = creases.filter((crease) => crease.kind === kind).length;
      if (count === 0) return [];
      return [
        el('li', {}, [
          lineSample(kind),
          el('span', { text: KIND_NAMES[kind] }),
          el('span', { class: 'quiet count', text: String(count) }),
        ]),
      ];
    });
    root.replaceChildren(...rows);
  });
  return { root };
}
