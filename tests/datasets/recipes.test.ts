import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { outlineOf } from '../../datasets/recipes/page.ts';
import { type PictureKind, pictureKinds, type RenderedPicture, renderPicture } from '../../datasets/recipes/recipes.ts';
import type { Crease, Kind, Pattern, PatternPoint } from '../../pipeline/types.ts';

/** A grid of squares with one diagonal each, as rows of vertices; mountain and valley by turns. */
function gridPattern(divisions: number, width = 1, height = 1): Pattern {
  const n = divisions;
  const vertices: PatternPoint[] = [];
  for (let j = 0; j <= n; j++) for (let i = 0; i <= n; i++) vertices.push([(width * i) / n, (height * j) / n]);
  const at = (i: number, j: number): number => j * (n + 1) + i;
  const creases: Crease[] = [];
  const add = (from: number, to: number, kind: Kind): number => creases.push({ from, to, kind });
  for (let j = 0; j <= n; j++) {
    for (let i = 0; i <= n; i++) {
      const inner = (i + j) % 2 === 0 ? 'M' : 'V';
      if (i < n) add(at(i, j), at(i + 1, j), j === 0 || j === n ? 'B' : inner);
      if (j < n) add(at(i, j), at(i, j + 1), i === 0 || i === n ? 'B' : inner);
      if (i < n && j < n) add(at(i, j), at(i + 1, j + 1), inner);
    }
  }
  return { vertices, exact: vertices.map(() => null), creases, lattice: null };
}

const pattern = gridPattern(5);
/** One working and one held-back seed of each kind, with pictures of moderate size. */
const SEEDS: Readonly<Record<PictureKind, readonly [number, number]>> = {
  clean: [3, 1_000_004],
  small: [3, 1_000_004],
  scan: [2, 1_000_007],
  photo: [6, 1_000_005],
  hand: [7, 1_000_001],
  screen: [3, 1_000_006],
};
const made = new Map<string, Promise<RenderedPicture>>();
/** Rendering is slow, so each picture is made once for all the checks on it. */
function picture(kind: PictureKind, seed: number): Promise<RenderedPicture> {
  const key = `${kind} ${seed}`;
  const known = made.get(key);
  if (known) return known;
  const promise = renderPicture(pattern, kind, seed);
  made.set(key, promise);
  return promise;
}

describe.each(pictureKinds)('a %s picture', (kind) => {
  it('is the same bytes for the same seed, and other bytes for another', async () => {
    const [first, other] = await Promise.all([picture(kind, SEEDS[kind][0]), picture(kind, SEEDS[kind][1])]);
    const again = await renderPicture(pattern, kind, SEEDS[kind][0]);
    expect(again.image.equals(first.image)).toBe(true);
    expect(other.image.equals(first.image)).toBe(false);
    expect(again.outlineCorners).toEqual(first.outlineCorners);
  });

  it.each(SEEDS[kind])('shows the whole pattern (seed %i)', async (seed) => {
    const { image, outlineCorners } = await picture(kind, seed);
    const { width, height } = (await sharp(image).metadata()).autoOrient;
    expect(outlineCorners).toHaveLength(4);
    for (const [x, y] of outlineCorners) {
      // Rounding to whole pixels when a page is cut exactly at its border leaves up to half a pixel.
      expect(x).toBeGreaterThanOrEqual(-0.5);
      expect(y).toBeGreaterThanOrEqual(-0.5);
      expect(x).toBeLessThanOrEqual(width + 0.5);
      expect(y).toBeLessThanOrEqual(height + 0.5);
    }
  });

  it.each(SEEDS[kind])('gives its corners counterclockwise from the bottom left (seed %i)', async (seed) => {
    const { outlineCorners } = await picture(kind, seed);
    const [a, b, c, d] = outlineCorners;
    // With y down, counterclockwise on the sheet has a negative shoelace sum.
    const sum = [a, b, c, d].reduce((total, [x, y], i, all) => {
      const [nx, ny] = all[(i + 1) % 4];
      return total + x * ny - nx * y;
    }, 0);
    expect(sum).toBeLessThan(0);
    // Turned by less than half a right angle, the first corner is left of the second and below the fourth.
    expect(a[0]).toBeLessThan(b[0]);
    expect(a[1]).toBeGreaterThan(d[1]);
  });
});

describe('truth', () => {
  it('keeps geometry, and is undecided inside where one ink draws everything', async () => {
    const conventions = new Set<string>();
    for (let seed = 0; seed < 40; seed++) {
      const { truth, convention } = await renderPicture(gridPattern(2), 'small', seed);
      conventions.add(convention.name);
      truth.creases.forEach((crease, i) => {
        const drawn = gridPattern(2).creases[i];
        expect([crease.from, crease.to]).toEqual([drawn.from, drawn.to]);
        const wanted = convention.name === 'one-ink' && drawn.kind !== 'B' ? 'U' : drawn.kind;
        expect(crease.kind).toBe(wanted);
      });
    }
    expect(conventions).toContain('one-ink');
    expect(conventions.size).toBeGreaterThanOrEqual(5);
  });

  it('draws mountain and valley so that they can be told apart', async () => {
    for (let seed = 0; seed < 40; seed++) {
      const { convention } = await renderPicture(gridPattern(2), 'small', seed);
      if (convention.name === 'one-ink') continue;
      const { mountain: m, valley: v } = convention;
      const colours = m.colour.reduce((sum, part, i) => sum + Math.abs(part - v.colour[i]), 0);
      const apart = colours > 60 || m.rhythm !== v.rhythm || Math.max(m.width / v.width, v.width / m.width) >= 2;
      expect(apart, `seed ${seed}, ${convention.name}`).toBe(true);
    }
  });
});

/**
 * Quality of a JPEG read back from its first quantisation entry: ITU-T T.81 (1992), Annex K, table K.1 starts with 16; scaling
 * by 5000/q below 50 and 200-2q above is the Independent JPEG Group's convention. Both from memory.
 */
function firstQuantiser(jpeg: Buffer): number {
  const marker = jpeg.indexOf(Buffer.from([0xff, 0xdb]));
  expect(marker).toBeGreaterThan(0);
  return jpeg[marker + 5];
}

describe('small pictures', () => {
  it.each([1, 2, 3, 4, 5, 6])(
    'are strong JPEG of 480 to 800 px with half colour resolution (seed %i)',
    async (seed) => {
      const { image, format, notes } = await renderPicture(pattern, 'small', seed);
      const { width = 0, height = 0, chromaSubsampling } = await sharp(image).metadata();
      expect(format).toBe('jpeg');
      expect(Math.max(width, height)).toBeGreaterThanOrEqual(480);
      expect(Math.max(width, height)).toBeLessThanOrEqual(800);
      expect(chromaSubsampling).toBe('4:2:0');
      const quality = Number(notes.quality);
      expect(quality).toBeGreaterThanOrEqual(35);
      expect(quality).toBeLessThanOrEqual(60);
      const scale = quality < 50 ? 5000 / quality : 200 - 2 * quality;
      expect(firstQuantiser(image)).toBe(Math.floor((16 * Math.floor(scale) + 50) / 100));
    },
  );
});

describe('outline', () => {
  it('starts bottom left and runs counterclockwise, straight-on vertices left out', () => {
    expect(outlineOf(gridPattern(3, 1, 0.5))).toEqual([
      [0, 0],
      [1, 0],
      [1, 0.5],
      [0, 0.5],
    ]);
  });
});
