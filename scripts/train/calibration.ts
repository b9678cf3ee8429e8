/**
 * How far to believe the shipped network's `line`, on whole pictures of datasets/recipes, whose renderer it was not trained on:
 * `tsx scripts/train/calibration.ts [FIRST_SEED] [COUNT]`. Kinds that lie flat only: elsewhere the place of a true line is not known to a px.
 * Prints a table of what was said and what was true, and recall and precision of the line at a chance of one half.
 */
import { readFile } from 'node:fs/promises';
import { patternToPaper } from '../../pipeline/geometry/frames.ts';
import { findInk } from '../../pipeline/ink/ink.ts';
import { releaseInkNetwork, runInkNetwork } from '../../pipeline/ink/learned.ts';
import { stretchPale } from '../../pipeline/ink/stretch.ts';
import { readPicture } from '../../pipeline/intake/intake.ts';
import { rectify } from '../../pipeline/rectify/rectify.ts';
import type { Pattern, Sheet } from '../../pipeline/types.ts';
import { pictureFolder, storedPicture } from '../bench/pictures.ts';

const KINDS = ['clean', 'small', 'scan'] as const;
const BINS = 15;
/** The true ridge falls to nothing within this, px. */
const REACH_PX = 4;
/** Corners are known to about half a px: a line counts as found, or true, within this. */
const NEAR_PX = 2.5;

const [first = '9300', count = '8'] = process.argv.slice(2);
const folder = await pictureFolder();
for (const kind of KINDS) {
  const [said, was, pixels] = [0, 1, 2].map(() => new Float64Array(BINS));
  let [seen, drawn, right, read] = [0, 0, 0, 0];
  for (let seed = Number(first); seed < Number(first) + Number(count); seed++) {
    const picture = await storedPicture(folder, kind, seed);
    const raster = await readPicture(await readFile(picture.file));
    const paper = picture.square ? 'square' : 'auto';
    const sheet = rectify(raster, { corners: picture.outlineCorners, paper });
    const ink = findInk(sheet);
    const { line } = await runInkNetwork(stretchPale(sheet, ink), undefined, ink.strokeWidthPx, 'line');
    const near = distances(picture.truth, sheet);
    const { width, height } = sheet.raster;
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const p = y * width + x;
        const bin = Math.min(BINS - 1, Math.floor(line[p] * BINS));
        said[bin] += line[p];
        was[bin] += Math.exp(-0.5 * near[p] ** 2);
        pixels[bin]++;
        if (near[p] < 0.5) {
          drawn++;
          if (mostWithin(line, width, height, x, y) > 0.5) seen++;
        }
        if (line[p] > 0.5) {
          read++;
          if (near[p] <= NEAR_PX) right++;
        }
      }
    }
  }
  const all = pixels.reduce((sum, n) => sum + n, 0);
  const error = pixels.reduce((sum, _, b) => sum + Math.abs(said[b] - was[b]) / all, 0);
  console.log(
    `\n${kind}: recall ${share(seen, drawn)}, precision ${share(right, read)}, calibration error ${error.toFixed(4)}`,
  );
  for (let b = 0; b < BINS; b++) {
    if (pixels[b] > 0)
      console.log(
        `| ${share(b, BINS)}-${share(b + 1, BINS)} | ${((100 * pixels[b]) / all).toFixed(2)} % | ${share(said[b], pixels[b])} / ${share(was[b], pixels[b])} |`,
      );
  }
}
await releaseInkNetwork();

function share(part: number, whole: number): string {
  return (part / Math.max(1, whole)).toFixed(3);
}

function mostWithin(line: Float32Array, width: number, height: number, x: number, y: number): number {
  const reach = Math.floor(NEAR_PX);
  let most = 0;
  for (let v = Math.max(0, y - reach); v <= Math.min(height - 1, y + reach); v++) {
    for (let u = Math.max(0, x - reach); u <= Math.min(width - 1, x + reach); u++)
      most = Math.max(most, line[v * width + u]);
  }
  return most;
}

/** Distance of every pixel's centre to the nearest true crease, px, up to REACH_PX. */
function distances({ vertices, creases }: Pattern, sheet: Sheet): Float32Array {
  const { width, height } = sheet.raster;
  const out = new Float32Array(width * height).fill(REACH_PX);
  for (const { from, to } of creases) {
    const [a, b] = [patternToPaper(sheet, vertices[from]), patternToPaper(sheet, vertices[to])];
    const length = Math.max(1e-6, Math.hypot(b[0] - a[0], b[1] - a[1]));
    const [dx, dy] = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
    for (let t = 0; t <= length; t += 0.5) {
      const [cx, cy] = [Math.floor(a[0] + t * dx), Math.floor(a[1] + t * dy)];
      for (let y = Math.max(0, cy - REACH_PX); y <= Math.min(height - 1, cy + REACH_PX); y++) {
        for (let x = Math.max(0, cx - REACH_PX); x <= Math.min(width - 1, cx + REACH_PX); x++) {
          const along = Math.min(length, Math.max(0, (x + 0.5 - a[0]) * dx + (y + 0.5 - a[1]) * dy));
          const off = Math.hypot(x + 0.5 - a[0] - along * dx, y + 0.5 - a[1] - along * dy);
          const p = y * width + x;
          if (off < out[p]) out[p] = off;
        }
      }
    }
  }
  return out;
}
