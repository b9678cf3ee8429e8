import type { StageName } from '../../types.ts';
import { attr, el, setText, show } from './el.ts';
import type { Files } from './files.ts';
import { icon } from './icons.ts';
import type { Store } from './store.ts';
import { count, STAGES } from './words.ts';

/** The stages of a reading as they pass, beside the picture. */
export function makeReadingScreen(store: Store, files: Files): { readonly root: HTMLElement } {
  const name = el('h1', { class: 'name' });
  const queue = el('p', { class: 'quiet' });
  const picture = el('img', {
    class: 'preview',
    alt: '',
    on: { error: () => show(picture, false), load: () => show(picture, true) },
  });
  const stages = STAGES.map(([stage, words]) => ({
    stage,
    row: el('li', {}, [el('span', { class: 'dot' }, [icon('tick')]), el('span', { text: words })]),
  }));
  const bar = el('progress', { max: 1, 'aria-label': 'Share of the reading that is done' });
  const said = el('p', { class: 'unseen', role: 'status' });
  const root = el('main', { class: 'reading' }, [
    el('div', { class: 'reading-picture' }, [picture]),
    el('div', { class: 'reading-words' }, [
      name,
      queue,
      el(
        'ol',
        { class: 'stages' },
        stages.map(({ row }) => row),
      ),
      bar,
      said,
      el('button', { type: 'button', text: 'Stop', on: { click: () => void files.cancel() } }),
    ]),
  ]);
  store.subscribe(({ reading }, before) => {
    if (!reading || reading === before?.reading) return;
    setText(name, reading.name);
    if (reading.preview !== before?.reading?.preview) {
      show(picture, false);
      attr(picture, 'src', reading.preview);
    }
    const { progress } = reading;
    const ahead = progress?.state === 'waiting' ? progress.ahead : 0;
    setText(
      queue,
      !progress
        ? 'Sending…'
        : ahead > 0
          ? `Waiting: ${count(ahead, 'picture', 'pictures')} before this one`
          : 'Reading the picture',
    );
    const at =
      progress?.state === 'reading' ? placeOf(progress.stage) : progress?.state === 'done' ? STAGES.length : -1;
    stages.forEach(({ row }, i) => {
      row.className = i < at ? 'past' : i === at ? 'now' : '';
    });
    bar.value = Math.max(0, at) / STAGES.length;
    setText(said, STAGES[at]?.[1] ?? '');
  });
  return { root };
}

function placeOf(stage: StageName | null): number {
  return STAGES.findIndex(([known]) => known === stage);
}
