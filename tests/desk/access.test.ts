/** Everyone can use it: axe-core's rules (WCAG 2.2 A and AA among them), wide and narrow, light and dark. */
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { traditionalBases } from '../../datasets/patterns/patterns.ts';
import { STYLES } from '../../pipeline/report/style.ts';
import { buildPage, openChromium, openHere, type RunningDesk, startDesk } from './desks.ts';
import { putKept } from './kept.ts';
import { drive, stage, verdict } from './pages.ts';

const waterbomb = traditionalBases().find(({ name }) => name === 'waterbomb')!.pattern;
const [mountain] = waterbomb.creases.flatMap(({ kind }, c) => (kind === 'M' ? [c] : []));
const spoiled = {
  ...waterbomb,
  creases: waterbomb.creases.map((c, i) => (i === mountain ? ({ ...c, kind: 'V' } as const) : c)),
};

let folder: string;
let browser: Browser;
let page: Awaited<ReturnType<typeof buildPage>>;
let desk: RunningDesk;
let empty: RunningDesk;
let axe: string;

beforeAll(async () => {
  browser = await openChromium();
  axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
  folder = await mkdtemp(join(tmpdir(), 'plica-desk-access-'));
  page = await buildPage();
  const other = waterbomb.creases.findIndex(({ kind }, c) => kind === 'V' && c !== mountain);
  const path = await putKept(folder, 'kept.png', spoiled, [
    { crease: other },
    { what: 'outline-assumed', probability: 0.8, instead: null },
    { what: 'mountain-valley-swap', probability: 0.5, instead: null },
  ]);
  desk = await openHere(page.folder, path);
  empty = await startDesk(page.folder);
});
afterAll(async () => {
  await browser?.close();
  await desk?.stop();
  await empty?.stop();
  await page?.remove();
  await rm(folder, { recursive: true, force: true });
});

interface Violation {
  readonly id: string;
  readonly nodes: readonly { readonly html: string }[];
}

async function violations(on: Page): Promise<string[]> {
  await on.evaluate(axe);
  const { violations: found, passes } = (await on.evaluate('axe.run(document)')) as {
    violations: Violation[];
    passes: unknown[];
  };
  // Rules were run at all.
  expect(passes.length).toBeGreaterThan(10);
  return found.flatMap(({ id, nodes }) => nodes.map(({ html }) => `${id}: ${html}`));
}

describe.each([
  ['wide', 1280, 800],
  ['narrow', 375, 740],
] as const)('%s', (_, width, height) => {
  describe.each(['light', 'dark'] as const)('%s', (colorScheme) => {
    const options = { viewport: { width, height }, colorScheme, isMobile: width < 500, hasTouch: width < 500 };

    it('the start breaks no rule', async () => {
      const { page: on, context } = await drive(browser, empty.address, options);
      await on.getByRole('button', { name: 'Choose a file' }).waitFor();
      expect(await violations(on)).toEqual([]);
      await context.close();
    });

    it('the desk and its windows break no rule, and nothing is wider than the screen', async () => {
      const { page: on, context, wrong } = await drive(browser, desk.address, options);
      await stage(on).waitFor();
      await verdict(on).filter({ hasText: 'not fold flat' }).waitFor();
      expect(await violations(on)).toEqual([]);
      expect(await on.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(width);
      for (const name of ['Reading', 'Save as', 'Keys']) {
        await on.getByRole('button', { name, exact: true }).click();
        await on.locator('dialog[open]').waitFor();
        expect(await violations(on)).toEqual([]);
        await on.getByRole('button', { name: 'Close' }).click();
      }
      await on.getByRole('button', { name: 'Draw', exact: true }).click();
      expect(await violations(on)).toEqual([]);
      // A law that is broken, and the folded sheet.
      for (let i = 0; i < 3; i++) await on.keyboard.press('n');
      expect(await violations(on)).toEqual([]);
      if (width < 500) await on.getByRole('button', { name: 'Folded' }).click();
      await on.getByRole('button', { name: 'See-through' }).waitFor();
      expect(await violations(on)).toEqual([]);
      await on.getByRole('button', { name: 'Reading', exact: true }).click();
      await on.getByRole('button', { name: 'Set its corners…' }).click();
      await on.getByRole('button', { name: 'Corner 1, bottom left' }).waitFor();
      expect(await violations(on)).toEqual([]);
      expect(wrong).toEqual([]);
      await context.close();
    });
  });
});

describe('for every hand and eye', () => {
  it('everything to be pressed is at least 24 px each way (WCAG 2.2, 2.5.8)', async () => {
    const { page: on, context } = await drive(browser, desk.address, { viewport: { width: 375, height: 740 } });
    await stage(on).waitFor();
    const boxes = await Promise.all((await on.locator('button:visible').all()).map((button) => button.boundingBox()));
    expect(boxes.length).toBeGreaterThan(15);
    for (const box of boxes) expect(Math.min(box!.width, box!.height)).toBeGreaterThanOrEqual(24);
    await context.close();
  });

  it('what has the focus is always seen, and every button is reached by Tab', async () => {
    const { page: on, context } = await drive(browser, desk.address);
    await stage(on).waitFor();
    const buttons = await on.locator('button:visible:enabled').count();
    const reached = new Set<string>();
    for (let i = 0; i < buttons + 6; i++) {
      await on.keyboard.press('Tab');
      const [name, ring] = (await on.evaluate(
        `(() => {
          const e = document.activeElement;
          const all = [...document.querySelectorAll('button, input, .stage')];
          return [String(all.indexOf(e)), getComputedStyle(e).outlineStyle];
        })()`,
      )) as [string, string];
      if (name === '-1') continue;
      reached.add(name);
      expect(ring).not.toBe('none');
    }
    expect(reached.size).toBeGreaterThanOrEqual(buttons);
    await context.close();
  });

  it('kinds are told by their lines without any colour', async () => {
    const { page: on, context } = await drive(browser, desk.address);
    await stage(on).waitFor();
    const dashes = async (kind: string) =>
      (await on.locator(`.stage path[data-kind=${kind}]`).first().getAttribute('stroke-dasharray'))?.split(' ')
        .length ?? 0;
    // Yoshizawa and Randlett's notation: valley dashed, mountain dash and dot, edge solid.
    expect([await dashes('V'), await dashes('M'), await dashes('B')]).toEqual([2, 4, 0]);
    expect(STYLES.B.weight).toBeGreaterThan(STYLES.M.weight);
    await context.close();
  });

  it('a broken vertex is a triangle and a doubt is a ring: shape as well as colour', async () => {
    const { page: on, context } = await drive(browser, desk.address);
    await stage(on).waitFor();
    expect(await on.locator('.stage .broken path').first().getAttribute('d')).toMatch(/Z$/);
    expect(await on.locator('.stage circle.doubt').count()).toBeGreaterThan(0);
    await context.close();
  });
});
