/** The card of the thing selected: its cut-out at large, what was decided, the odds, the answers. */
import type { Answer, Card } from './card-model.ts';
import { cardOf } from './card-model.ts';
import { cutOut } from './cut-out.ts';
import { el, show } from './el.ts';
import { icon } from './icons.ts';
import { lineSample } from './lines.ts';
import type { Mending } from './mending.ts';
import type { Shown, Store } from './store.ts';
import { percentWords } from './words.ts';

export interface CardPanel {
  readonly root: HTMLElement;
}

/** Carries out an answer. */
export type Give = (answer: Answer) => void;

export function makeCard(store: Store, mending: Mending, give: Give): CardPanel {
  const picture = el('div', { class: 'card-picture' });
  const title = el('h2', { id: 'card-title' });
  const why = el('div', { class: 'card-why' });
  const answers = el('div', { class: 'answers', role: 'group', 'aria-labelledby': 'card-title' });
  const position = el('span', { class: 'quiet position' });
  const step = (label: string, key: string, by: 1 | -1, name: 'back' | 'ahead') =>
    el(
      'button',
      {
        type: 'button',
        class: 'plain',
        title: `${label} (${key})`,
        'aria-label': label,
        on: { click: () => mending.go(by) },
      },
      [icon(name)],
    );
  const walk = el('div', { class: 'walk' }, [
    position,
    step('Previous doubt', 'p', -1, 'back'),
    step('Next doubt', 'n', 1, 'ahead'),
  ]);
  const head = el('div', { class: 'card-head' }, [title, walk]);
  const none = el('div', { class: 'card-none' });
  const body = el('div', { class: 'card-body' }, [picture, head, why, answers]);
  const root = el('section', { class: 'card', 'aria-label': 'In question' }, [body, none]);

  const drawNone = ({ desk }: Shown): void => {
    if (!desk) return;
    const any = desk.items.length > 0;
    none.replaceChildren(
      el('p', { class: 'lead', text: any ? 'Every doubt is settled.' : 'No doubts: every line was read clearly.' }),
      el('p', { class: 'quiet', text: 'Select any crease in the pattern to change it.' }),
    );
  };

  const hint = (answer: Answer | null): void => store.set({ hint: answer?.about ?? [] });
  let drawn: Card | null = null;
  store.subscribe((shown, before) => {
    if (!shown.desk) return;
    if (before?.desk === shown.desk && before.selection === shown.selection) return;
    const card = cardOf(shown);
    show(body, card !== null);
    show(none, card === null);
    if (!card) {
      drawn = null;
      drawNone(shown);
      return;
    }
    const focused = answers.contains(document.activeElement)
      ? (document.activeElement as HTMLElement).dataset.key
      : null;
    picture.replaceChildren(cutOut(shown.desk, card));
    title.textContent = card.title;
    why.replaceChildren(...card.lines.map((text) => el('p', { text })));
    if (card.settled) why.append(el('p', { class: 'settled' }, [icon('tick'), 'Settled']));
    position.textContent = card.place ? `${card.place[0]} of ${card.place[1]}` : '';
    if (JSON.stringify(card.answers) !== JSON.stringify(drawn?.answers)) {
      answers.replaceChildren(...card.answers.map((answer) => answerButton(answer, give, hint)));
      if (focused) answers.querySelector<HTMLElement>(`[data-key="${focused}"]`)?.focus();
    }
    drawn = card;
  });
  return { root };
}

function answerButton(answer: Answer, give: Give, hint: (answer: Answer | null) => void): HTMLElement {
  const { key, label, kind, share, shown } = answer;
  const meter = el('span', { class: 'meter' }, [el('span', { class: 'level' })]);
  if (share !== undefined) (meter.firstElementChild as HTMLElement).style.width = `${(share * 100).toFixed(1)}%`;
  const isKind = kind !== undefined;
  return el(
    'button',
    {
      type: 'button',
      class: `answer${shown ? ' shown' : ''}${isKind ? ' kind' : ''}`,
      'data-key': key,
      'aria-pressed': String(shown),
      on: {
        click: () => give(answer),
        pointerenter: () => hint(answer),
        pointerleave: () => hint(null),
        focus: () => hint(answer),
        blur: () => hint(null),
      },
    },
    [
      el('kbd', { text: key.toUpperCase(), 'aria-hidden': 'true' }),
      isKind && lineSample(kind),
      el('span', { class: 'label', text: label }),
      isKind && share !== undefined && meter,
      isKind && share !== undefined && el('span', { class: 'share', text: percentWords(share) }),
      el('span', { class: 'now', 'aria-hidden': 'true' }, shown ? [icon('tick')] : []),
    ],
  );
}
