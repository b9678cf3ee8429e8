/** Everything by keyboard. */
import type { Answer } from './card-model.ts';
import { cardOf } from './card-model.ts';
import { type Dialog, makeDialog } from './dialog.ts';
import { el } from './el.ts';
import type { Mending } from './mending.ts';
import type { Stage } from './stage.ts';
import type { Side, Store, Tool } from './store.ts';
import { ZOOM_STEP } from './tool-strip.ts';

const TOOL_KEYS: Readonly<Record<string, Tool>> = { s: 'look', d: 'draw', o: 'move', r: 'erase' };
const KIND_KEYS = { m: 'M', v: 'V', g: 'F', e: 'B' } as const;
const NEXT_SIDE: Readonly<Record<Side, Side>> = { front: 'back', back: 'through', through: 'front' };
const ARROWS = { ArrowLeft: 'left', ArrowRight: 'right', ArrowUp: 'up', ArrowDown: 'down' } as const;

export interface KeyTargets {
  readonly store: Store;
  readonly mending: Mending;
  readonly stage: Stage;
  readonly give: (answer: Answer) => void;
  readonly help: () => void;
}

export function listenForKeys(targets: KeyTargets): void {
  document.addEventListener('keydown', (event) => {
    const { store } = targets;
    const shown = store.get();
    if (shown.screen !== 'desk' || event.defaultPrevented || document.querySelector('dialog[open]')) return;
    const element = event.target as HTMLElement;
    if (isWriting(element)) return;
    const done = event.ctrlKey || event.metaKey ? withControl(event, targets) : plain(event, element, targets);
    if (done) event.preventDefault();
  });
}

/** Text is being typed, or a slider moved. */
function isWriting(element: HTMLElement): boolean {
  return element.matches('input, select, textarea');
}

function withControl({ key, shiftKey, altKey }: KeyboardEvent, { mending }: KeyTargets): boolean {
  if (altKey) return false;
  const letter = key.toLowerCase();
  if (letter === 'z') (shiftKey ? mending.redo : mending.undo)();
  else if (letter === 'y') mending.redo();
  else return false;
  return true;
}

function plain(event: KeyboardEvent, element: HTMLElement, targets: KeyTargets): boolean {
  const { store, stage, help } = targets;
  if (event.altKey) return false;
  if (event.key === 'Escape') return stepBack(targets);
  if (element === stage.root && onStage(event, targets)) return true;
  if (event.key === '?') {
    help();
    return true;
  }
  return store.get().singleKeys && single(event.key, targets);
}

/** What was taken hold of is let go; else the tool is put away; else the list of doubts comes back. */
function stepBack({ store, stage, mending }: KeyTargets): boolean {
  if (stage.dropHeld()) return true;
  const { tool, selection, desk } = store.get();
  if (tool !== 'look') {
    store.set({ tool: 'look' });
    return true;
  }
  if (selection?.what === 'crease' && desk && desk.items.length > 0) {
    mending.go(1);
    return true;
  }
  return false;
}

function onStage({ key, shiftKey }: KeyboardEvent, { stage }: KeyTargets): boolean {
  const direction = ARROWS[key as keyof typeof ARROWS];
  if (direction && shiftKey) {
    stage.pan(
      direction === 'right' ? 1 : direction === 'left' ? -1 : 0,
      direction === 'up' ? 1 : direction === 'down' ? -1 : 0,
    );
  } else if (direction) stage.moveCursor(direction);
  else if (key === 'Enter' || key === ' ') stage.press();
  else if (key === '[') stage.jump(-1);
  else if (key === ']') stage.jump(1);
  else if (key === 'c') stage.turn();
  else return false;
  return true;
}

function single(key: string, { store, mending, stage, give }: KeyTargets): boolean {
  const shown = store.get();
  const letter = key === 'Delete' || key === 'Backspace' ? 'x' : key.toLowerCase();
  if (shown.tool === 'draw' && letter in KIND_KEYS && shown.held) {
    store.set({ drawKind: KIND_KEYS[letter as keyof typeof KIND_KEYS] });
    return true;
  }
  const answer = cardOf(shown)?.answers.find((one) => one.key === letter);
  if (answer) {
    give(answer);
    return true;
  }
  if (letter in TOOL_KEYS) {
    store.set({ tool: TOOL_KEYS[letter], held: null });
    return true;
  }
  switch (letter) {
    case 'n':
      mending.go(1);
      return true;
    case 'p':
      mending.go(-1);
      return true;
    case 'f':
      store.set({ side: NEXT_SIDE[shown.side] });
      return true;
    case 't':
      store.set({ mix: shown.mix === 0.5 ? 1 : shown.mix === 1 ? 0 : 0.5 });
      return true;
    case '#':
      store.set({ grid: !shown.grid });
      return true;
    case '+':
    case '=':
      stage.zoom(ZOOM_STEP);
      return true;
    case '-':
    case '−':
      stage.zoom(1 / ZOOM_STEP);
      return true;
    case '0':
      stage.showWhole();
      return true;
    case 'h':
      stage.goToSelection();
      stage.root.focus();
      return true;
    default:
      return false;
  }
}

const HELP: readonly (readonly [string, readonly (readonly [string, string])[]])[] = [
  [
    'Doubts',
    [
      ['N  P', 'next, previous'],
      ['M  V  G  E', 'it is a mountain, valley, guide, edge'],
      ['X', 'it is not there'],
      ['Y', 'it is right as shown'],
      ['1 … 4', 'use a repair that is offered'],
      ['H', 'go to it in the pattern'],
      ['Ctrl Z', 'undo'],
      ['Ctrl Shift Z', 'redo'],
    ],
  ],
  [
    'View',
    [
      ['+  −  0', 'larger, smaller, whole sheet'],
      ['T', 'both, pattern alone, picture alone'],
      ['#', 'grid'],
      ['F', 'folded: front, back, see-through'],
    ],
  ],
  [
    'In the pattern (reach it with Tab)',
    [
      ['Arrows', 'move the cursor to the next grid point or vertex'],
      ['[  ]', 'previous, next vertex'],
      ['Shift arrows', 'move the sheet'],
      ['C', 'select the next crease at the cursor'],
      ['S  D  O  R', 'tools: select, draw, move, erase'],
      ['Enter', 'select, begin or end a crease, take up or put down a vertex, erase'],
      ['Escape', 'let go, put the tool away'],
    ],
  ],
];

const SINGLE_KEYS = 'plica-single-keys';

/** Single keys are on until a person switches them off (WCAG 2.2, 2.1.4). */
export function keptSingleKeys(): boolean {
  return localStorage.getItem(SINGLE_KEYS) !== 'false';
}

export function makeKeysDialog(store: Store): Dialog {
  const dialog = makeDialog('Keys', true);
  const toggle = el('input', {
    type: 'checkbox',
    id: 'single-keys',
    on: {
      change: () => {
        localStorage.setItem(SINGLE_KEYS, String(toggle.checked));
        store.set({ singleKeys: toggle.checked });
      },
    },
  });
  dialog.body.append(
    el('p', {}, [toggle, el('label', { for: 'single-keys', text: 'Single keys answer and choose tools' })]),
    el(
      'div',
      { class: 'key-lists' },
      HELP.map(([title, lines]) =>
        el('section', {}, [
          el('h3', { text: title }),
          el(
            'dl',
            { class: 'key-list' },
            lines.flatMap(([keys, does]) => [
              el(
                'dt',
                {},
                keys.split('  ').map((key) => el('kbd', { text: key })),
              ),
              el('dd', { text: does }),
            ]),
          ),
        ]),
      ),
    ),
  );
  store.subscribe(({ singleKeys }) => {
    toggle.checked = singleKeys;
  });
  return dialog;
}
