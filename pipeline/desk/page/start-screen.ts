import { el, show } from './el.ts';
import type { Files } from './files.ts';
import { icon } from './icons.ts';
import type { KeptLine } from './keep.ts';
import type { Store } from './store.ts';
import { agoWords } from './words.ts';

const ACCEPTED = '.jpg,.jpeg,.png,.webp,.tif,.tiff,.avif,.gif,.heic,.heif,.svg,.pdf,.fold,image/*,application/pdf';

/** Where a picture is dropped, and what was worked on before. */
export function makeStartScreen(store: Store, files: Files): { readonly root: HTMLElement } {
  const input = el('input', {
    type: 'file',
    id: 'file',
    class: 'unseen',
    accept: ACCEPTED,
    tabindex: -1,
    'aria-hidden': 'true',
    on: {
      change: () => {
        const [file] = input.files ?? [];
        if (file) void files.open(file, file.name);
        input.value = '';
      },
    },
  });
  const problem = el('p', { class: 'problem', role: 'alert' });
  const earlier = el('section', { class: 'earlier', 'aria-labelledby': 'earlier-title' });
  const root = el('main', { class: 'start' }, [
    el('div', { class: 'drop' }, [
      foldedCorner(),
      el('h1', { text: 'Drop a picture of a crease pattern here' }),
      el('p', { class: 'quiet', text: 'A photo, scan, screenshot or drawing; or a pattern as a FOLD or SVG file.' }),
      el('button', {
        type: 'button',
        class: 'strong large',
        text: 'Choose a file',
        on: { click: () => input.click() },
      }),
      input,
    ]),
    problem,
    earlier,
    el('p', { class: 'quiet foot', text: 'Everything stays on this computer: nothing is sent anywhere.' }),
  ]);
  const list = async (): Promise<void> => {
    const keeper = await files.keeper();
    const kept = keeper ? await keeper.list().catch(() => []) : [];
    show(earlier, kept.length > 0);
    earlier.replaceChildren(
      el('h2', { id: 'earlier-title', text: 'Go on with' }),
      el(
        'ul',
        {},
        kept.map((line) => keptRow(line)),
      ),
    );
  };
  const keptRow = ({ id, name, savedAt }: KeptLine): HTMLElement =>
    el('li', {}, [
      el('button', { type: 'button', class: 'resume', on: { click: () => void files.resume(id) } }, [
        el('span', { class: 'resume-name', text: name }),
        el('span', { class: 'quiet', text: agoWords(savedAt, Date.now()) }),
      ]),
      el('button', {
        type: 'button',
        class: 'plain',
        text: 'Forget',
        'aria-label': `Forget the work on ${name}`,
        on: {
          click: () => {
            void files
              .keeper()
              .then((keeper) => keeper?.forget(id))
              .then(list);
          },
        },
      }),
    ]);
  store.subscribe((shown, before) => {
    if (shown.screen !== 'start') return;
    problem.textContent = shown.problem ?? '';
    show(problem, shown.problem !== null);
    if (before?.screen !== 'start') void list();
  });
  return { root };
}

function foldedCorner(): Node {
  const sheet = icon('draw');
  sheet.setAttribute('viewBox', '0 0 64 64');
  sheet.setAttribute('class', 'emblem');
  const [path] = sheet.children;
  path.setAttribute('d', 'M8 8h34l14 14v34H8zM42 8v14h14');
  const fold = path.cloneNode() as SVGPathElement;
  fold.setAttribute('d', 'M8 56 42 22');
  fold.setAttribute('class', 'emblem-fold');
  sheet.append(fold);
  return sheet;
}

/** Files dropped anywhere on the page are opened; the first of several. */
export function acceptDrops(root: HTMLElement, files: Files): void {
  let depth = 0;
  const over = (by: number) => {
    depth += by;
    root.classList.toggle('dropping', depth > 0);
  };
  root.addEventListener('dragenter', () => over(1));
  root.addEventListener('dragleave', () => over(-1));
  root.addEventListener('dragover', (event) => event.preventDefault());
  root.addEventListener('drop', (event) => {
    event.preventDefault();
    over(-depth);
    const file = event.dataTransfer?.files[0];
    if (file) void files.open(file, file.name);
  });
}
