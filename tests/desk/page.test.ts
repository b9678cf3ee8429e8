/** The real page in Chromium: pictures come in, doubts are walked through, the pattern is mended, nothing is lost. */
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { traditionalBases } from '../../datasets/patterns/patterns.ts';
import { foldText, toFold } from '../../pipeline/formats/fold.ts';
import { toPng } from '../../pipeline/formats/png.ts';
import { parsePattern } from '../../pipeline/formats/read-pattern.ts';
import type { Pattern } from '../../pipeline/types.ts';
import { buildPage, openChromium, openHere, type RunningDesk, startDesk } from './desks.ts';
import { putKept } from './kept.ts';
import {
  cardTitle,
  type Driven,
  drive,
  drop,
  kindsShown,
  placeOnScreen,
  reachByTab,
  shows,
  stage,
  verdict,
} from './pages.ts';

const base = (name: string): Pattern => traditionalBases().find((one) => one.name === name)!.pattern;
// Folds flat: two mountains, four valleys (waterbomb base, traditional).
const waterbomb = base('waterbomb');
const WATERBOMB = { B: 6, M: 2, V: 4 };
const mountain = waterbomb.creases.findIndex(({ kind }) => kind === 'M');
const valley = waterbomb.creases.findIndex(({ kind }) => kind === 'V');
/** With one mountain more it breaks Maekawa at the middle (Kasahara & Takahama 1987). */
const spoiled: Pattern = {
  ...waterbomb,
  creases: waterbomb.creases.map((c, i) => (i === valley ? { ...c, kind: 'M' } : c)),
};

let folder: string;
let browser: Browser;
let page: Awaited<ReturnType<typeof buildPage>>;
let desk: RunningDesk;
const open: Driven[] = [];
const others: RunningDesk[] = [];

beforeAll(async () => {
  browser = await openChromium();
  folder = await mkdtemp(join(tmpdir(), 'plica-desk-page-'));
  page = await buildPage();
  desk = await startDesk(page.folder);
});
afterEach(async () => {
  for (const { context } of open.splice(0)) await context.close();
  for (const other of others.splice(0)) await other.stop();
});
afterAll(async () => {
  await browser?.close();
  await desk?.stop();
  await page?.remove();
  await rm(folder, { recursive: true, force: true });
});

async function go(address = desk.address, options = {}): Promise<Driven> {
  const driven = await drive(browser, address, options);
  open.push(driven);
  return driven;
}

/** A desk opened with a picture that has work beside it. */
async function goToKept(pattern: Pattern, doubts: Parameters<typeof putKept>[3], reads = false): Promise<Driven> {
  const path = await putKept(join(folder, String(Math.random()).slice(2)), 'kept.png', pattern, doubts);
  const own = await (reads ? startDesk(page.folder, { file: path }) : openHere(page.folder, path));
  others.push(own);
  const driven = await go(own.address);
  await stage(driven.page).waitFor();
  return driven;
}

async function openPattern(driven: Driven, pattern: Pattern, name = 'pattern.fold'): Promise<void> {
  await drop(driven.page, name, 'application/json', Buffer.from(foldText(toFold(pattern))));
  await stage(driven.page).waitFor();
}

const says = (on: Page, text: string) => verdict(on).filter({ hasText: text }).waitFor();

describe('a picture', () => {
  it('is dropped, read stage by stage, and shown with its pattern over it', async () => {
    const { page: on, wrong, outside } = await go();
    await drop(on, 'bomb.png', 'image/png', await toPng(waterbomb, { sidePx: 700 }));
    await on.locator('.stages .now').first().waitFor();
    await stage(on).waitFor({ timeout: 40_000 });
    await shows(on, WATERBOMB);
    await says(on, 'Folds flat');
    expect(await on.locator('.desk .stage image').getAttribute('href')).toMatch(/^blob:/);
    expect(await on.title()).toBe('bomb.png · Plica desk');
    expect({ wrong, outside }).toEqual({ wrong: [], outside: [] });
  });

  it('that is none is refused in words, and the next one can come', async () => {
    const { page: on } = await go();
    await drop(on, 'letter.jpg', 'image/jpeg', Buffer.from('dear friend'));
    const problem = on.locator('.start [role=alert]');
    await problem.filter({ hasText: 'letter.jpg is not a picture that can be read' }).waitFor();
    await drop(on, 'pattern.fold', '', Buffer.from(foldText(toFold(waterbomb))));
    await stage(on).waitFor();
    await shows(on, WATERBOMB);
  });

  it('can be stopped while it is read', async () => {
    const { page: on } = await go();
    await drop(on, 'large.png', 'image/png', await toPng(waterbomb, { sidePx: 2400 }));
    await on.getByRole('button', { name: 'Stop' }).click();
    await on.getByRole('button', { name: 'Choose a file' }).waitFor();
    await drop(on, 'pattern.fold', '', Buffer.from(foldText(toFold(waterbomb))));
    await stage(on).waitFor();
  });

  it('may have any name: it stays text', async () => {
    const name = '<img src=x onerror=alert(1)>.fold';
    const driven = await go();
    await openPattern(driven, waterbomb, name);
    expect(await driven.page.locator('.desk h1.name').textContent()).toBe(name);
    expect(await driven.page.locator('img[src=x]').count()).toBe(0);
    expect(driven.wrong).toEqual([]);
  });

  it('is read again from corners that a person set, which can be undone', async () => {
    const { page: on } = await goToKept(waterbomb, [{ crease: mountain }], true);
    await on.keyboard.press('v');
    await on.getByRole('button', { name: 'Reading', exact: true }).click();
    await on.getByRole('button', { name: 'Set its corners…' }).click();
    const corner = on.getByRole('button', { name: 'Corner 1, bottom left' });
    await corner.waitFor();
    const before = await corner.boundingBox();
    await on.keyboard.press('Shift+ArrowLeft');
    await expect.poll(async () => (await corner.boundingBox())!.x).toBeLessThan(before!.x);
    await on.keyboard.press('Shift+ArrowRight');
    await on.getByRole('button', { name: 'Read again from here' }).click();
    await on.locator('.reading .stages').waitFor();
    await stage(on).waitFor({ timeout: 40_000 });
    await on.getByRole('button', { name: 'Reading', exact: true }).click();
    await on.getByText('The corners of the sheet were given').waitFor();
    await on.keyboard.press('Escape');
    // What was answered is carried over; both steps can be taken back.
    await shows(on, expect.objectContaining({ M: 1, V: 5 }));
    await on.keyboard.press('Control+z');
    await on.keyboard.press('Control+z');
    await shows(on, WATERBOMB);
  });
});

describe('doubts', () => {
  const doubts = [
    { crease: mountain, probability: 0.9, instead: 'valley' },
    { crease: valley, probability: 0.55, instead: 'mountain' },
    { what: 'outline-assumed', probability: 0.8, instead: null },
  ] as const;

  it('come in the order of what they would break, each with its cut-out and the odds', async () => {
    const { page: on } = await goToKept(waterbomb, doubts);
    expect(await on.locator('.row-title').allTextContents()).toEqual([
      'Outline assumed',
      'Kind unclear',
      'Kind unclear',
    ]);
    expect(await cardTitle(on).textContent()).toBe('Outline assumed');
    await on.keyboard.press('n');
    expect(await cardTitle(on).textContent()).toBe('Kind unclear');
    expect(await on.locator('.card .cut-out image').count()).toBe(1);
    const shown = on.locator('.answer[aria-pressed=true]');
    expect(await shown.locator('.label').textContent()).toBe('Valley');
    expect(await shown.locator('.share').textContent()).toBe('100 %');
    await on.keyboard.press('p');
    expect(await cardTitle(on).textContent()).toBe('Outline assumed');
  });

  it('are answered by one key each; the laws are looked at anew; undo and redo go both ways', async () => {
    const { page: on, wrong } = await goToKept(waterbomb, doubts);
    await says(on, 'Folds flat');
    await on.keyboard.press('y');
    expect(await cardTitle(on).textContent()).toBe('Kind unclear');
    await on.keyboard.press('m');
    await shows(on, { B: 6, M: 3, V: 3 });
    await says(on, '1 vertex does not fold flat');
    await expect.poll(() => on.locator('.stage .broken').count()).toBe(1);
    await on.keyboard.press('Control+z');
    await shows(on, WATERBOMB);
    await expect.poll(() => on.locator('.stage .broken').count()).toBe(0);
    await says(on, 'Folds flat');
    await on.keyboard.press('Control+z');
    expect(await on.getByRole('button', { name: 'Undo' }).isDisabled()).toBe(true);
    await on.keyboard.press('Control+Shift+z');
    await on.keyboard.press('Control+y');
    await shows(on, { B: 6, M: 3, V: 3 });
    expect(wrong).toEqual([]);
  });

  it('"not there" takes a crease away', async () => {
    const { page: on } = await goToKept(waterbomb, [doubts[0]]);
    await on.getByRole('button', { name: 'Not there' }).click();
    await shows(on, expect.objectContaining({ M: 1 }));
  });

  it('a broken law is one of them, with repairs that mend it', async () => {
    const driven = await go();
    const { page: on } = driven;
    await openPattern(driven, spoiled);
    expect(await cardTitle(on).textContent()).toBe('Maekawa’s law is broken');
    const repair = on.locator('.answer', { hasText: 'then it folds flat' }).first();
    await repair.waitFor();
    await repair.hover();
    await on.locator('.stage .halo.hovered').first().waitFor({ state: 'attached' });
    await on.mouse.move(0, 0);
    await on.keyboard.press('1');
    await says(on, 'Folds flat');
    await on.getByText('Every doubt is settled').or(on.getByText('No doubts')).waitFor();
  });
});

describe('mending by hand', () => {
  it('draws a crease from grid point to grid point', async () => {
    const { page: on } = await goToKept(base('diagonal'), []);
    await on.getByRole('button', { name: 'Draw', exact: true }).click();
    await on.getByRole('button', { name: 'Draw valley' }).click();
    const [from, to] = [await placeOnScreen(on, 0.505, 0.01), await placeOnScreen(on, 0.495, 0.99)];
    await on.mouse.move(from.x, from.y);
    await on.mouse.down();
    await on.mouse.move((from.x + to.x) / 2, to.y, { steps: 4 });
    await on.mouse.move(to.x, to.y, { steps: 4 });
    await on.mouse.up();
    // Cut where it crosses the diagonal, and the edge where it ends.
    await expect.poll(() => kindsShown(on)).toMatchObject({ B: 6, V: expect.any(Number) });
    const { M = 0, V = 0 } = await kindsShown(on);
    expect(M + V).toBe(4);
  });

  it('moves a vertex, and erases a crease', async () => {
    const { page: on } = await goToKept(waterbomb, []);
    await on.getByRole('button', { name: 'Move', exact: true }).click();
    const [from, to] = [await placeOnScreen(on, 0.5, 0.5), await placeOnScreen(on, 0.63, 0.37)];
    await on.mouse.move(from.x, from.y);
    await on.mouse.down();
    await on.mouse.move(to.x, to.y, { steps: 5 });
    await on.mouse.up();
    await says(on, '1 vertex does not fold flat');
    await shows(on, WATERBOMB);
    await on.keyboard.press('Control+z');
    await says(on, 'Folds flat');
    await on.getByRole('button', { name: 'Erase', exact: true }).click();
    const middle = await placeOnScreen(on, 0.25, 0.5);
    await on.mouse.click(middle.x, middle.y);
    await expect.poll(() => kindsShown(on)).toMatchObject({ M: 1 });
  });

  it('is done by keys alone', async () => {
    const driven = await go();
    const { page: on } = driven;
    const path = join(folder, 'keys.fold');
    await writeFile(path, foldText(toFold({ ...base('diagonal'), lattice: null })));
    // The browser hands its dialog over only some time after it is asked to: so it is asked before the way by keys.
    const chooser = on.waitForEvent('filechooser');
    await reachByTab(on, 'Choose a file');
    await on.keyboard.press('Enter');
    await (await chooser).setFiles(path);
    await stage(on).waitFor();
    await expect.poll(() => on.evaluate('document.activeElement.className')).toBe('stage');
    // The stage has the focus before the pattern is drawn on it.
    await expect.poll(async () => Object.keys(await kindsShown(on)).length).toBeGreaterThan(1);
    const before = await kindsShown(on);
    // The other diagonal: from one of the two corners that have no fold to the other.
    await on.keyboard.press('d');
    const corners: string[] = [];
    for (let i = 0; i < 4 && corners.length < 2; i++) {
      await on.keyboard.press(']');
      const told = await on.locator('[aria-live=polite]').textContent();
      if (!told!.includes('2 creases')) continue;
      corners.push(told!);
      await on.keyboard.press('Enter');
    }
    expect(corners).toHaveLength(2);
    const drawn = await kindsShown(on);
    expect((drawn.M ?? 0) + (drawn.V ?? 0)).toBe((before.M ?? 0) + (before.V ?? 0) + 3);
    await on.keyboard.press('Escape');
    await on.keyboard.press('c');
    await on.keyboard.press('g');
    await shows(on, expect.objectContaining({ F: 1 }));
    await on.keyboard.press('x');
    await expect.poll(async () => (await kindsShown(on)).F).toBeUndefined();
    await on.keyboard.press('Control+z');
    await shows(on, expect.objectContaining({ F: 1 }));
    expect(driven.wrong).toEqual([]);
  });

  it('single keys can be switched off', async () => {
    const { page: on } = await goToKept(waterbomb, [{ crease: mountain }]);
    await on.keyboard.press('?');
    await on.getByRole('checkbox', { name: 'Single keys' }).uncheck();
    await on.keyboard.press('Escape');
    await on.keyboard.press('v');
    await shows(on, WATERBOMB);
  });
});

describe('the view', () => {
  it('zooms with the wheel around the pointer, pans by dragging, and comes back', async () => {
    const { page: on } = await goToKept(waterbomb, []);
    const at = await placeOnScreen(on, 0.5, 0.5);
    const width = async () => (await on.locator('.stage .kind-edge').boundingBox())!.width;
    const whole = await width();
    await on.mouse.move(at.x, at.y);
    await on.mouse.wheel(0, -300);
    await expect.poll(width).toBeGreaterThan(whole * 1.5);
    const zoomed = await placeOnScreen(on, 0.5, 0.5);
    expect(Math.hypot(zoomed.x - at.x, zoomed.y - at.y)).toBeLessThan(3);
    await on.mouse.down();
    await on.mouse.move(at.x - 60, at.y - 40, { steps: 4 });
    await on.mouse.up();
    await expect.poll(async () => Math.round((await placeOnScreen(on, 0.5, 0.5)).x - at.x)).toBe(-60);
    await on.keyboard.press('0');
    await expect.poll(width).toBeCloseTo(whole, 0);
  });

  it('zooms by two fingers', async () => {
    const path = await putKept(join(folder, 'touch'), 'touch.png', waterbomb, []);
    const own = await openHere(page.folder, path);
    others.push(own);
    const { page: on, context } = await go(own.address, {
      viewport: { width: 390, height: 844 },
      hasTouch: true,
      isMobile: true,
    });
    await stage(on).waitFor();
    const width = async () => (await on.locator('.stage .kind-edge').boundingBox())!.width;
    const whole = await width();
    const { x, y } = await placeOnScreen(on, 0.5, 0.5);
    const touch = await context.newCDPSession(on);
    const fingers = (apart: number) => [
      { x: x - apart, y },
      { x: x + apart, y },
    ];
    await touch.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: fingers(30) });
    for (const apart of [40, 60, 80]) {
      await touch.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: fingers(apart) });
    }
    await touch.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
    await expect.poll(width).toBeGreaterThan(whole * 2);
    await shows(on, WATERBOMB);
  });

  it('goes from picture to pattern, with the grid or without', async () => {
    const { page: on } = await goToKept(waterbomb, []);
    const opacity = async (what: string) => Number(await on.locator(`.desk .stage ${what}`).getAttribute('opacity'));
    const slider = on.getByRole('slider', { name: 'From picture to pattern' });
    await slider.fill('0');
    await expect.poll(() => opacity('.lines')).toBe(0);
    expect(await opacity('image')).toBe(1);
    await slider.fill('100');
    await expect.poll(() => opacity('image')).toBe(0);
    expect(await opacity('.lines')).toBe(1);
    const lines = on.locator('.stage .grid').last();
    expect(await lines.getAttribute('visibility')).toBe('hidden');
    await on.getByRole('button', { name: 'Grid' }).click();
    await expect.poll(() => lines.getAttribute('visibility')).toBeNull();
    // Nine lines each way on a grid of eight.
    expect((await lines.getAttribute('d'))!.match(/M/g)).toHaveLength(18);
  });

  it('shows the folded sheet from the front, from behind and through', async () => {
    const { page: on } = await goToKept(waterbomb, []);
    await says(on, 'Folds flat');
    const canvas = on.locator('.folded-canvas');
    const picture = () => canvas.screenshot().then((png) => png.toString('base64'));
    const seen = new Set<string>();
    for (const side of ['Front', 'Back', 'See-through']) {
      await on.getByRole('button', { name: side }).click();
      seen.add(await picture());
    }
    expect(await canvas.getAttribute('aria-label')).toContain('seen through');
    expect(seen.size).toBeGreaterThan(1);
  });
});

describe('work', () => {
  it('survives a reload, a killed server and steps taken meanwhile, undo included', async () => {
    const path = await putKept(join(folder, 'killed'), 'killed.png', waterbomb, [
      { crease: mountain },
      { crease: valley },
    ]);
    const first = await startDesk(page.folder, { file: path });
    others.push(first);
    const { page: on } = await go(first.address);
    await stage(on).waitFor();
    await on.locator(`.row`).first().click();
    await on.keyboard.press('g');
    await on.locator('.kept', { hasText: 'Kept in killed.png.desk.json' }).waitFor();
    await expect.poll(async () => JSON.parse(await readFile(`${path}.desk.json`, 'utf8')).work.edits.length).toBe(1);
    await on.reload();
    await stage(on).waitFor();
    await shows(on, expect.objectContaining({ F: 1 }));

    await first.stop('SIGKILL');
    await on.keyboard.press('x');
    await on.locator('.notice', { hasText: 'The desk has been stopped' }).waitFor();
    const gone = await kindsShown(on);
    const again = await startDesk(page.folder, { file: path, port: Number(new URL(first.address).port) });
    others.push(again);
    expect(again.address).toBe(first.address);
    await on.goto(again.address);
    await stage(on).waitFor();
    await shows(on, gone);
    await on.keyboard.press('Control+z');
    await on.keyboard.press('Control+z');
    await shows(on, WATERBOMB);
  });

  it('on a dropped pattern is kept in the browser and found again', async () => {
    const driven = await go();
    const { page: on } = driven;
    await openPattern(driven, spoiled, 'mine.fold');
    await on.locator('.kept', { hasText: 'Kept in this browser' }).waitFor();
    await on.goto(desk.address);
    await on.getByRole('button', { name: /^mine\.fold/ }).click();
    await stage(on).waitFor();
    await shows(on, { B: 6, M: 3, V: 3 });
    await on.getByRole('button', { name: 'Open another' }).click();
    await on.getByRole('button', { name: 'Forget the work on mine.fold' }).click();
    await expect.poll(() => on.getByRole('button', { name: /^mine\.fold/ }).count()).toBe(0);
  });

  it('is saved in every format with what was mended', async () => {
    const { page: on } = await goToKept(waterbomb, [{ crease: mountain }]);
    await on.keyboard.press('v');
    await on.getByRole('button', { name: 'Save as' }).click();
    const mended = { ...WATERBOMB, M: 1, V: 5 };
    const isMended = (text: string) => expect(countKinds(parsePattern(text, 'x').pattern)).toEqual(mended);
    const formats: [string, string, (text: string) => void][] = [
      ['FOLD', 'kept.fold', isMended],
      ['SVG', 'kept.svg', isMended],
      // Marks of the formats: DXF reference (group codes 0 and 2), ISO 32000-1, ISO 15948.
      ['DXF', 'kept.dxf', (text) => expect(text).toMatch(/\n\s*0\r?\nSECTION[\s\S]*EOF\s*$/)],
      ['PDF', 'kept.pdf', (text) => expect(text.slice(0, 5)).toBe('%PDF-')],
      ['PNG', 'kept.png', (text) => expect(text.slice(1, 4)).toBe('PNG')],
      ['Report', 'kept.report.html', (text) => expect(text).toMatch(/\D1 mountain[\s\S]*Does not fold flat as shown/)],
    ];
    for (const [format, file, check] of formats) {
      const [download] = await Promise.all([
        on.waitForEvent('download'),
        on.getByRole('button', { name: new RegExp(`^${format} `) }).click(),
      ]);
      expect(download.suggestedFilename()).toBe(file);
      check(await readFile(await download.path(), 'latin1'));
    }
  });
});

function countKinds({ creases }: Pattern): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const { kind } of creases) counts[kind] = (counts[kind] ?? 0) + 1;
  return counts;
}
