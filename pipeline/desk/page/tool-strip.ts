import type { Kind } from '../../types.ts';
import { gridOf } from '../work/grid.ts';
import { stateNow } from '../work/history.ts';
import { attr, el, show } from './el.ts';
import { type IconName, icon } from './icons.ts';
import { lineSample } from './lines.ts';
import type { Stage } from './stage.ts';
import type { Store, Tool } from './store.ts';

const TOOLS: readonly (readonly [Tool, IconName, string, string])[] = [
  ['look', 'look', 'Select', 'S'],
  ['draw', 'draw', 'Draw', 'D'],
  ['move', 'move', 'Move', 'O'],
  ['erase', 'erase', 'Erase', 'R'],
];
const DRAWN: readonly (readonly [Kind, string])[] = [
  ['M', 'Mountain'],
  ['V', 'Valley'],
  ['F', 'Guide'],
  ['B', 'Edge'],
];
/** A click on the buttons zooms by this. */
export const ZOOM_STEP = 1.4;

/** Below the pattern: tools, how much of picture and pattern shows, the grid, the zoom. */
/** Over the pattern while drawing: the kind that is drawn. */
export function makeKindChoice(store: Store): { readonly root: HTMLElement } {
  const kinds = DRAWN.map(([kind, label]) =>
    el(
      'button',
      {
        type: 'button',
        'data-kind': kind,
        title: label,
        'aria-label': `Draw ${label.toLowerCase()}`,
        on: { click: () => store.set({ drawKind: kind }) },
      },
      [lineSample(kind)],
    ),
  );
  const root = el('div', { class: 'choice kinds', role: 'group', 'aria-label': 'Kind to draw' }, kinds);
  store.subscribe(({ tool, drawKind }) => {
    for (const button of kinds) attr(button, 'aria-pressed', String(button.dataset.kind === drawKind));
    show(root, tool === 'draw');
  });
  return { root };
}

export function makeToolStrip(store: Store, stage: Stage): { readonly root: HTMLElement } {
  const tools = TOOLS.map(([tool, symbol, label, key]) =>
    el(
      'button',
      {
        type: 'button',
        'data-tool': tool,
        title: `${label} (${key})`,
        'aria-label': label,
        on: { click: () => store.set({ tool, held: null }) },
      },
      [icon(symbol), el('span', { class: 'tool-text', text: label, 'aria-hidden': 'true' })],
    ),
  );
  const mix = el('input', {
    type: 'range',
    min: 0,
    max: 100,
    step: 1,
    'aria-label': 'From picture to pattern',
    on: { input: () => store.set({ mix: Number(mix.value) / 100 }) },
  });
  const mixBox = el('div', { class: 'mix' }, [
    el('span', { class: 'quiet', text: 'Picture' }),
    mix,
    el('span', { class: 'quiet', text: 'Pattern' }),
  ]);
  const grid = el(
    'button',
    {
      type: 'button',
      class: 'bare',
      title: 'Grid (#)',
      'aria-label': 'Grid',
      on: { click: () => store.set({ grid: !store.get().grid }) },
    },
    [icon('grid')],
  );
  const zoomButton = (symbol: IconName, label: string, key: string, act: () => void) =>
    el(
      'button',
      { type: 'button', class: 'bare', title: `${label} (${key})`, 'aria-label': label, on: { click: act } },
      [icon(symbol)],
    );
  const root = el('div', { class: 'strip', role: 'toolbar', 'aria-label': 'Tools and view' }, [
    el('div', { class: 'choice tools', role: 'group', 'aria-label': 'Tool' }, tools),
    mixBox,
    el('div', { class: 'view-buttons' }, [
      grid,
      zoomButton('minus', 'Smaller', '−', () => stage.zoom(1 / ZOOM_STEP)),
      zoomButton('fit', 'Whole sheet', '0', stage.showWhole),
      zoomButton('plus', 'Larger', '+', () => stage.zoom(ZOOM_STEP)),
    ]),
  ]);
  store.subscribe(({ desk, tool, mix: share, grid: visible }) => {
    if (!desk) return;
    for (const button of tools) attr(button, 'aria-pressed', String(button.dataset.tool === tool));
    mix.value = String(Math.round(share * 100));
    const state = stateNow(desk.history);
    show(mixBox, desk.images[state.reading] !== null);
    attr(grid, 'aria-pressed', String(visible));
    attr(grid, 'disabled', gridOf(state.pattern) === null);
  });
  return { root };
}
