/** The desk's page: screens, windows, keys, put together. */
import { stateNow } from '../work/history.ts';
import { makeCard } from './card.ts';
import type { Answer } from './card-model.ts';
import { makeDoubtList } from './doubt-list.ts';
import { attr, el, setText, show } from './el.ts';
import { makeExportDialog } from './export-dialog.ts';
import { makeFiles } from './files.ts';
import { makeFolded } from './folded.ts';
import { makeJudging } from './judging.ts';
import { keptSingleKeys, listenForKeys, makeKeysDialog } from './keys.ts';
import { firstOpen, judged, makeMending } from './mending.ts';
import { makeOutlineScreen } from './outline-screen.ts';
import { makeReadingDialog } from './reading-dialog.ts';
import { makeReadingScreen } from './reading-screen.ts';
import { makeStage } from './stage.ts';
import { acceptDrops, makeStartScreen } from './start-screen.ts';
import { makeStore, type Shown } from './store.ts';
import { makeKindChoice, makeToolStrip } from './tool-strip.ts';
import { makeTopBar } from './top-bar.ts';

const store = makeStore({
  screen: 'start',
  problem: null,
  reading: null,
  desk: null,
  selection: null,
  tool: 'look',
  drawKind: 'M',
  held: null,
  hint: [],
  mix: 0.5,
  grid: false,
  side: 'front',
  panel: 'doubts',
  singleKeys: keptSingleKeys(),
  server: 'there',
  kept: null,
  keptIn: null,
});

const judgeSoon = makeJudging((judgement) => {
  const { desk } = store.get();
  if (!desk) return;
  const next = judged(desk, judgement);
  store.set({ desk: next, ...(store.get().selection === null && { selection: firstOpen(next.items) }) });
});
const changed = (): void => {
  const { desk } = store.get();
  if (!desk) return;
  judgeSoon(stateNow(desk.history).pattern);
  files.keepSoon();
};
const files = makeFiles(store, changed);
const mending = makeMending(store, changed);

const spoken = el('p', { class: 'unseen', 'aria-live': 'polite' });
const say = (text: string): void => setText(spoken, text);

const give = ({ does }: Answer): void => {
  if ('edit' in does) mending.answer(does.edit);
  else if (does.opens === 'outline') store.set({ screen: 'outline' });
  else if (does.opens === 'reading') readingDialog.open();
  else {
    store.set({ tool: 'draw', held: null });
    stage.goToSelection();
    stage.root.focus();
  }
};

const stage = makeStage(store, mending, say);
const readingDialog = makeReadingDialog(store, mending, files);
const exportDialog = makeExportDialog(store);
const keysDialog = makeKeysDialog(store);
const topBar = makeTopBar(store, mending, {
  reading: readingDialog.open,
  save: exportDialog.open,
  keys: keysDialog.open,
  leave: files.leave,
});

const notice = el('div', { class: 'notice', role: 'alert' });
const tabs = (['doubts', 'folded'] as const).map((panel) =>
  el('button', {
    type: 'button',
    'data-panel': panel,
    text: panel === 'doubts' ? 'Doubts' : 'Folded',
    on: { click: () => store.set({ panel }) },
  }),
);
const folded = makeFolded(store);
const doubts = el('div', { class: 'doubts-column scrolls' }, [
  makeCard(store, mending, give).root,
  makeDoubtList(store, mending).root,
]);
const desk = el('div', { class: 'desk' }, [
  topBar.root,
  notice,
  el('main', { class: 'work' }, [
    el('div', { class: 'stage-column' }, [stage.root, makeKindChoice(store).root, makeToolStrip(store, stage).root]),
    el('div', { class: 'choice tabs', role: 'group', 'aria-label': 'Beside the pattern' }, tabs),
    folded.root,
    doubts,
  ]),
]);

const screens = {
  start: makeStartScreen(store, files).root,
  reading: makeReadingScreen(store, files).root,
  desk,
  outline: makeOutlineScreen(store, files, say).root,
};
const app = document.querySelector<HTMLElement>('#app')!;
app.append(...Object.values(screens), readingDialog.root, exportDialog.root, keysDialog.root, spoken);

const focusOn = (screen: Shown['screen']): void => {
  if (screen === 'desk') stage.root.focus({ preventScroll: true });
};
store.subscribe((shown, before) => {
  for (const [name, root] of Object.entries(screens)) show(root, name === shown.screen);
  attr(desk, 'data-panel', shown.panel);
  for (const tab of tabs) attr(tab, 'aria-pressed', String(tab.dataset.panel === shown.panel));
  setText(notice, shown.problem ?? '');
  show(notice, shown.problem !== null);
  // Where a person has been busy elsewhere on the page, its focus went with what is now hidden.
  if (before && before.screen !== shown.screen && navigator.userActivation?.hasBeenActive) focusOn(shown.screen);
  document.title = shown.desk ? `${shown.desk.history.work.name} · Plica desk` : 'Plica desk';
});
acceptDrops(app, files);
listenForKeys({ store, mending, stage, give, help: keysDialog.open });
void files.begin();
