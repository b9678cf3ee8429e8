/** Makes the README's pictures from real runs on the sample photo: `npx tsx scripts/readmePictures.ts`; needs a build and Chromium. */
import { existsSync } from 'node:fs';
import { copyFile, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import sharp, { type Sharp } from 'sharp';
import { openDesk } from '../pipeline/desk/desk.ts';
import { foldedFiles } from '../pipeline/fold/fold.ts';
import { toPng } from '../pipeline/formats/png.ts';
import { recover } from '../pipeline/recover.ts';
import { checkFoldability } from '../pipeline/validity/validity.ts';

const samples = fileURLToPath(new URL('../datasets/samples/', import.meta.url));
const photo = join(samples, 'photo.jpg');
/** Height of the rows and space between pictures, px: sharp enough where a page shows 900 px across. */
const ROW_PX = 520;
const GAP_PX = 24;

const { pattern } = await recover(photo);
await row('readme-recovered.png', [sharp(photo).autoOrient(), sharp(await toPng(pattern, { sidePx: 1200 }))]);

const { folded } = checkFoldability(pattern, { countLimitMs: 0 });
if (!folded) throw new Error('the sample photo must fold flat');
const files = await foldedFiles(pattern, folded, { title: 'photo' });
const views = ['front.png', 'back.png', 'through.png'].map((name) => files.find(({ ending }) => ending === name)!);
await row(
  'readme-folded.png',
  views.map(({ content }) => sharp(content as Uint8Array)),
);
await deskPicture('readme-desk.png', join(samples, 'scan.jpg'));

/** Pictures side by side on white, with few colours: a README loads fast. */
async function row(name: string, pictures: readonly Sharp[]): Promise<void> {
  let left = 0;
  const placed = [];
  for (const picture of pictures) {
    const resized = picture.resize({ height: ROW_PX }).flatten({ background: '#ffffff' }).png();
    const { data, info } = await resized.toBuffer({ resolveWithObject: true });
    placed.push({ input: data, left, top: 0 });
    left += info.width + GAP_PX;
  }
  const create = { width: left - GAP_PX, height: ROW_PX, channels: 3, background: '#ffffff' } as const;
  const whole = await sharp({ create }).composite(placed).png().toBuffer();
  await sharp(whole).png({ palette: true, colours: 128, effort: 10 }).toFile(join(samples, name));
}

/** The desk with a picture that leaves something to ask. */
async function deskPicture(name: string, picture: string): Promise<void> {
  const executablePath = [process.env.PLICA_CHROMIUM, '/usr/bin/chromium', '/usr/bin/google-chrome'].find(
    (path) => path && existsSync(path),
  );
  if (!executablePath) throw new Error('the picture of the desk needs Chromium: name its program in PLICA_CHROMIUM');
  const folder = await mkdtemp(join(tmpdir(), 'plica-'));
  const copy = join(folder, basename(picture));
  await copyFile(picture, copy);
  const desk = await openDesk({ file: copy, port: 0 });
  const browser = await chromium.launch({ executablePath, args: ['--no-sandbox'] });
  const page = await browser.newPage({ viewport: { width: 1200, height: 760 }, colorScheme: 'light' });
  await page.goto(desk.address);
  await page.locator('.desk .stage').waitFor({ timeout: 60_000 });
  await page
    .locator('.verdict')
    .filter({ hasText: /folds? flat/i })
    .waitFor({ timeout: 60_000 });
  const screen = await page.screenshot();
  await sharp(screen).png({ palette: true, colours: 128, effort: 10 }).toFile(join(samples, name));
  await browser.close();
  await desk.close();
  await rm(folder, { recursive: true });
}
