import { el } from './el.ts';

export interface Dialog {
  readonly root: HTMLDialogElement;
  readonly body: HTMLElement;
  readonly open: () => void;
  readonly close: () => void;
}

let made = 0;

/** A window over the page: Escape closes it, and the focus goes back to where it was. */
export function makeDialog(title: string, wide = false): Dialog {
  const id = `dialog-${made++}`;
  const body = el('div', { class: 'dialog-body' });
  const root = el('dialog', { 'aria-labelledby': id, class: wide ? 'wide' : undefined }, [
    el('div', { class: 'dialog-head' }, [
      el('h2', { id, text: title }),
      el('button', { type: 'button', class: 'plain', text: 'Close', on: { click: () => root.close() } }),
    ]),
    body,
  ]);
  root.addEventListener('click', (event) => {
    // The dim surroundings count as the dialog itself.
    if (event.target === root) root.close();
  });
  return { root, body, open: () => root.showModal(), close: () => root.close() };
}
