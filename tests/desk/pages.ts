import type { Browser, BrowserContext, BrowserContextOptions, Page } from 'playwright-core';
import { expect } from 'vitest';

/** A page of the desk, and what went wrong on it. */
export interface Driven {
  readonly page: Page;
  readonly context: BrowserContext;
  /** Errors, and lines on the console: breaches of the content security policy are among them. */
  readonly wrong: string[];
  /** Requests that went anywhere but to the desk. */
  readonly outside: string[];
}

/** For anything but the reading of a picture, on a machine that is busy. */
const ENOUGH_MS = 10_000;

export async function drive(browser: Browser, address: string, options: BrowserContextOptions = {}): Promise<Driven> {
  const context = await browser.newContext({
    viewport: { width: 1280, height: 800 },
    acceptDownloads: true,
    ...options,
  });
  context.setDefaultTimeout(ENOUGH_MS);
  const page = await context.newPage();
  const wrong: string[] = [];
  const outside: string[] = [];
  page.on('pageerror', (error) => wrong.push(String(error)));
  page.on('console', (line) => {
    if (line.type() === 'error' || line.type() === 'warning') wrong.push(line.text());
  });
  page.on('request', (request) => {
    const url = request.url();
    if (!url.startsWith(address) && !url.startsWith('blob:') && !url.startsWith('data:')) outside.push(url);
  });
  await page.goto(address);
  return { page, context, wrong, outside };
}

export const stage = (page: Page) => page.locator('.desk .stage');
export const verdict = (page: Page) => page.locator('.verdict');
export const cardTitle = (page: Page) => page.locator('#card-title');

/**
 * Presses Tab until the button of that name has the focus, six times at most. A browser may drop keys pressed before a
 * page's first frame, so that frame is waited for.
 */
export async function reachByTab(page: Page, name: string): Promise<void> {
  const button = page.getByRole('button', { name, exact: true });
  await button.waitFor();
  await page.evaluate('new Promise((painted) => requestAnimationFrame(() => requestAnimationFrame(painted)))');
  const hasFocus = () => button.evaluate((one) => one.matches(':focus'));
  for (let i = 0; i < 6 && !(await hasFocus()); i++) await page.keyboard.press('Tab');
  expect(await hasFocus()).toBe(true);
}

/** Waits until the page shows so many creases of each kind. */
export async function shows(page: Page, kinds: Record<string, unknown>): Promise<void> {
  await expect.poll(() => kindsShown(page)).toEqual(kinds);
}

/** Creases on the page by their letters, such as { B: 4, M: 2 }. */
export async function kindsShown(page: Page): Promise<Record<string, number>> {
  const kinds = await page
    .locator('.desk .stage path[data-crease]')
    .evaluateAll((paths) => paths.map((path) => (path as unknown as { dataset: { kind: string } }).dataset.kind));
  const counts: Record<string, number> = {};
  for (const kind of kinds) counts[kind] = (counts[kind] ?? 0) + 1;
  return counts;
}

/** Drops a file onto the page as a hand would from a folder. */
export async function drop(page: Page, name: string, type: string, content: Uint8Array): Promise<void> {
  const base64 = Buffer.from(content).toString('base64');
  const data = await page.evaluateHandle(
    `(() => {
      const data = new DataTransfer();
      const bytes = Uint8Array.from(atob(${JSON.stringify(base64)}), (c) => c.charCodeAt(0));
      data.items.add(new File([bytes], ${JSON.stringify(name)}, { type: ${JSON.stringify(type)} }));
      return data;
    })()`,
  );
  for (const event of ['dragenter', 'dragover', 'drop'])
    await page.dispatchEvent('#app', event, { dataTransfer: data });
}

/** Where a place of the sheet is on the screen, from the creases that are drawn. */
export async function placeOnScreen(page: Page, x: number, y: number): Promise<{ x: number; y: number }> {
  const box = (await page.locator('.desk .stage .kind-edge').boundingBox())!;
  // The edges' box is wider than the sheet by the half of a stroke on each side.
  return { x: box.x + box.width * x, y: box.y + box.height * (1 - y) };
}
