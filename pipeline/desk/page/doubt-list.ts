import { doubtTitle, KIND_NAMES, lawTitle, placeWords } from '../../report/words.ts';
import type { DoubtItem } from '../work/doubts.ts';
import { stateNow } from '../work/history.ts';
import type { DeskState } from '../work/work.ts';
import { attr, el, show } from './el.ts';
import { icon } from './icons.ts';
import { placeOfItem } from './marks.ts';
import type { Mending } from './mending.ts';
import type { Store } from './store.ts';
import { stakesShort } from './words.ts';

/** A page of some hundred rows is still quick, and nobody walks further without mending something first. */
const MOST_ROWS = 300;

/** The doubts in the order of what they would break. */
export function makeDoubtList(store: Store, mending: Mending): { readonly root: HTMLElement } {
  const heading = el('h2', { class: 'list-head' });
  const list = el('ol', { class: 'doubt-list' });
  const more = el('p', { class: 'quiet' });
  const root = el('section', { class: 'doubts', 'aria-label': 'List of doubts' }, [heading, list, more]);
  let rows: HTMLButtonElement[] = [];
  store.subscribe((shown, before) => {
    const { desk, selection } = shown;
    if (!desk) return;
    const selectedKey = selection?.what === 'doubt' ? selection.key : null;
    if (before?.desk?.items !== desk.items) {
      const state = stateNow(desk.history);
      const focusedKey = rows.find((row) => row === document.activeElement)?.dataset.key;
      rows = desk.items.slice(0, MOST_ROWS).map((item) => row(item, state, mending));
      list.replaceChildren(...rows.map((button) => el('li', {}, [button])));
      rows.find((button) => button.dataset.key === focusedKey)?.focus();
      show(root, desk.items.length > 0);
      const open = desk.items.filter(({ settled }) => !settled).length;
      heading.textContent = open === 0 ? 'Doubts: none open' : `Doubts: ${open} open`;
      const rest = desk.items.length - rows.length;
      more.textContent = rest > 0 ? `And ${rest} more, once these are settled.` : '';
      show(more, rest > 0);
    }
    for (const button of rows) {
      const current = button.dataset.key === selectedKey;
      attr(button, 'aria-current', current ? 'true' : null);
      if (current && before?.selection !== selection) scrollWithin(list, button);
    }
  });
  return { root };
}

function row(item: DoubtItem, state: DeskState, mending: Mending): HTMLButtonElement {
  const title =
    item.from === 'laws' ? lawTitle(item.laws[0]) : doubtTitle(item.doubt.what, item.doubt.crease !== undefined);
  const crease = item.from === 'reading' ? item.doubt.crease : undefined;
  const about = crease === undefined ? '' : `${KIND_NAMES[state.pattern.creases[crease].kind]}, `;
  const place = placeWords(placeOfItem(item, state), state.pattern.lattice).replace(' on the grid', '');
  return el(
    'button',
    {
      type: 'button',
      class: `row${item.settled ? ' settled' : ''}`,
      'data-key': item.key,
      on: { click: () => mending.select({ what: 'doubt', key: item.key }) },
    },
    [
      el('span', { class: `dot ${item.settled ? 'done' : item.from === 'laws' ? 'law' : 'open'}` }, [
        item.settled ? icon('tick') : item.from === 'laws' ? icon('warn') : null,
      ]),
      el('span', { class: 'row-text' }, [
        el('span', { class: 'row-title', text: title }),
        el('span', { class: 'quiet', text: item.stakes.everything ? 'the whole sheet' : about + place }),
      ]),
      el('span', { class: 'quiet stake', text: item.settled ? 'settled' : stakesShort(item) }),
    ],
  );
}

/** Without moving the page, which a phone would do. */
function scrollWithin(list: HTMLElement, row: HTMLElement): void {
  const box = list.closest<HTMLElement>('.scrolls');
  if (!box) return;
  const [outer, inner] = [box.getBoundingClientRect(), row.getBoundingClientRect()];
  if (inner.top < outer.top) box.scrollTop -= outer.top - inner.top;
  else if (inner.bottom > outer.bottom) box.scrollTop += inner.bottom - outer.bottom;
}
