/** What was taken for granted about the picture: outline, grid, inks; and reading it again otherwise. */
import { inkWords, KIND_NAMES, latticeWords, outlineWords, percent } from '../../report/words.ts';
import type { Kind, LegendEntry, LegendRule } from '../../types.ts';
import { MOST_DIVISIONS } from '../work/choices.ts';
import { stateNow } from '../work/history.ts';
import type { Reading, ReadingChoices } from '../work/work.ts';
import { type Dialog, makeDialog } from './dialog.ts';
import { el, svg } from './el.ts';
import type { Files } from './files.ts';
import type { Mending } from './mending.ts';
import type { Store } from './store.ts';

const MEANINGS: readonly (readonly [LegendRule['kind'], Kind])[] = [
  ['mountain', 'M'],
  ['valley', 'V'],
  ['edge', 'B'],
  ['guide', 'F'],
];

export function makeReadingDialog(store: Store, mending: Mending, files: Files): Dialog {
  const dialog = makeDialog('How it was read');
  const fill = (): void => {
    const { desk } = store.get();
    if (!desk) return;
    const state = stateNow(desk.history);
    const reading = desk.history.work.readings[state.reading];
    const again = desk.file !== null;
    const divisions = el('input', {
      id: 'reading-divisions',
      type: 'number',
      min: 1,
      max: MOST_DIVISIONS,
      inputmode: 'numeric',
      placeholder: 'found by itself',
      value: reading.choices.divisions,
    });
    const page = el('input', {
      id: 'reading-page',
      type: 'number',
      min: 1,
      inputmode: 'numeric',
      value: reading.choices.page ?? 1,
    });
    const meanings = reading.legend.map((entry, i) => meaningSelect(entry, i));
    const isPdf = reading.picture?.format === 'pdf';
    const readAgain = (): void => {
      dialog.close();
      void files.readAgain({
        ...choicesOf(reading, divisions, meanings),
        ...(isPdf && { page: Number(page.value) }),
      });
    };
    const swap = el('button', {
      type: 'button',
      text: 'Swap mountains and valleys',
      on: {
        click: () => {
          dialog.close();
          mending.take({ what: 'swap' });
        },
      },
    });
    dialog.body.replaceChildren(
      ...[
        ...(reading.outline ? outlinePart(reading, again, () => openOutline()) : []),
        ...(reading.notes.length > 0
          ? [
              part(
                'As a file',
                el(
                  'ul',
                  {},
                  reading.notes.map((text) => el('li', { text })),
                ),
              ),
            ]
          : []),
        part(
          'Grid',
          el('p', { text: `${capital(latticeWords(reading.pattern.lattice))}.` }),
          again &&
            el('div', { class: 'fields' }, [
              el('label', { for: divisions.id, text: 'Divisions along the longest side' }),
              divisions,
            ]),
        ),
        meanings.length > 0 &&
          part('Inks', inkTable(reading.legend, meanings, again), el('div', { class: 'buttons' }, [swap])),
        meanings.length === 0 && part('Sides', el('div', { class: 'buttons' }, [swap])),
        isPdf &&
          part('Page', el('div', { class: 'fields' }, [el('label', { for: page.id, text: 'Page of the PDF' }), page])),
        again &&
          el('div', { class: 'buttons last' }, [
            el('button', {
              type: 'button',
              class: 'strong',
              text: reading.picture ? 'Read again' : 'Read it as a picture',
              on: { click: readAgain },
            }),
            el('p', {
              class: 'quiet',
              text: 'Answers that you gave are kept where the same crease is found; undo brings everything back.',
            }),
          ]),
      ].filter((child) => child !== false),
    );
  };
  const openOutline = (): void => {
    dialog.close();
    store.set({ screen: 'outline' });
  };
  return {
    ...dialog,
    open() {
      fill();
      dialog.open();
    },
  };
}

function part(title: string, ...children: (Node | false)[]): HTMLElement {
  return el('section', { class: 'part' }, [el('h3', { text: title }), ...children]);
}

function outlinePart({ outline }: Reading, again: boolean, open: () => void): HTMLElement[] {
  if (!outline) return [];
  return [
    part(
      'Sheet',
      el('p', { text: `${outlineWords(outline)} ${percent(outline.probability)} sure.` }),
      outline.assumed.length > 0 &&
        el(
          'ul',
          {},
          outline.assumed.map((text) => el('li', { text: `Taken for granted: ${text}.` })),
        ),
      again &&
        el('div', { class: 'buttons' }, [
          el('button', { type: 'button', text: 'Set its corners…', on: { click: open } }),
        ]),
    ),
  ];
}

function meaningSelect(entry: LegendEntry, i: number): HTMLSelectElement {
  const options = MEANINGS.map(([name, kind]) =>
    el('option', { value: name, selected: kind === entry.kind, text: KIND_NAMES[kind] }),
  );
  const known = MEANINGS.some(([, kind]) => kind === entry.kind);
  return el('select', { 'aria-label': `Ink ${i + 1}, ${inkWords(entry)}, means` }, [
    ...(known ? [] : [el('option', { value: '', selected: true, text: KIND_NAMES[entry.kind] })]),
    ...options,
  ]);
}

function inkTable(legend: readonly LegendEntry[], meanings: readonly HTMLSelectElement[], again: boolean): HTMLElement {
  return el('table', { class: 'inks' }, [
    el('thead', {}, [
      el(
        'tr',
        {},
        ['Ink', 'Means', 'Creases', 'Sure'].map((text) => el('th', { scope: 'col', text })),
      ),
    ]),
    el(
      'tbody',
      {},
      legend.map((entry, i) =>
        el('tr', {}, [
          el('td', {}, [swatch(entry), inkWords(entry)]),
          el('td', {}, [again ? meanings[i] : KIND_NAMES[entry.kind]]),
          el('td', { text: String(entry.count) }),
          el('td', { text: percent(entry.probability), title: entry.why }),
        ]),
      ),
    ),
  ]);
}

function swatch({ colour }: LegendEntry): SVGElement {
  return svg('svg', { class: 'swatch', viewBox: '0 0 20 12', 'aria-hidden': 'true' }, [
    svg('rect', { width: 20, height: 12, rx: 2, fill: colour }),
  ]);
}

/** The legend is sent as soon as a person changes one of its lines, whole, for its lines hang together. */
function choicesOf(
  { legend, choices }: Reading,
  divisions: HTMLInputElement,
  meanings: readonly HTMLSelectElement[],
): ReadingChoices {
  const letter = new Map(MEANINGS.map(([name, kind]) => [name as string, kind]));
  const changed = meanings.some(({ value }, i) => value !== '' && letter.get(value) !== legend[i].kind);
  const rules = legend.flatMap(({ colour, rhythm }, i): LegendRule[] => {
    const kind = meanings[i].value as LegendRule['kind'] | '';
    return kind === '' ? [] : [{ kind, colour, rhythm }];
  });
  const n = Math.round(Number(divisions.value));
  return {
    ...(choices.corners && { corners: choices.corners }),
    ...(n >= 1 && { divisions: n }),
    ...((changed || choices.legend) && { legend: rules }),
  };
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
