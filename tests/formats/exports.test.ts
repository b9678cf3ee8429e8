import { PDFiumLibrary } from '@hyzyla/pdfium';
import sharp from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import { toDxf } from '../../pipeline/formats/dxf.ts';
import { exportPattern } from '../../pipeline/formats/export-pattern.ts';
import { toPdf } from '../../pipeline/formats/pdf.ts';
import { toPng } from '../../pipeline/formats/png.ts';
import { toSvg } from '../../pipeline/formats/svg.ts';
import { layOutPages } from '../../pipeline/formats/tiles.ts';
import { dashesFor, STYLES } from '../../pipeline/report/style.ts';
import type { Kind } from '../../pipeline/types.ts';
import { gridPattern, patternOf, SQUARE } from './patterns.ts';

describe('line styles', () => {
  // WCAG 2.2, 1.4.11: graphics need 3 : 1 against their ground; formula of relative luminance from the same text.
  it.each(Object.entries(STYLES))('%s stands out from white by 3 : 1', (_, { colour }) => {
    const light = [1, 3, 5].map((at) => {
      const s = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
      return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
    });
    const luminance = 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2];
    expect(1.05 / (luminance + 0.05)).toBeGreaterThan(3);
  });

  // Yoshizawa-Randlett notation: valley dashed, mountain dash-dot (dash-dot-dot in some books).
  it.each([0.01, 0.3, 3, 20, 500])(
    'on a crease of %f widths valley shows dashes, mountain dashes with dots',
    (length) => {
      for (const [kind, parts] of [
        ['V', 2],
        ['M', 4],
      ] as const) {
        const dashes = dashesFor(kind, length, 1);
        expect(dashes).toHaveLength(parts);
        const period = dashes.reduce((a, b) => a + b, 0);
        const periods = (length - dashes[0]) / period;
        // A whole number of periods and a closing dash: both ends of the crease are drawn.
        expect(periods).toBeGreaterThan(0.999);
        expect(Math.abs(periods - Math.round(periods))).toBeLessThan(1e-6);
      }
      for (const kind of ['B', 'F', 'U', 'C'] as Kind[]) expect(dashesFor(kind, length, 1)).toEqual([]);
    },
  );

  it('no two kinds share line style and width, whatever the colours', () => {
    const looks = (['B', 'M', 'V', 'F', 'U', 'C'] as Kind[]).map((k) => `${STYLES[k].rhythm} ${STYLES[k].weight}`);
    expect(new Set(looks).size).toBe(6);
  });
});

describe('SVG', () => {
  it('is as large as asked for, in millimetres', () => {
    const text = toSvg(gridPattern(4, 2), { sizeMm: 200, marginMm: 5 });
    expect(text).toContain('width="210mm" height="110mm" viewBox="0 0 210 110"');
  });

  it('escapes titles', () => {
    expect(toSvg(SQUARE, { title: '<b>&"\u0000' })).toContain('<title>&lt;b&gt;&amp;&quot;</title>');
  });
});

describe('DXF', () => {
  /** Group codes and values alternate, one a line (DXF reference, ASCII files). */
  function tagsOf(text: string): [number, string][] {
    const lines = text.split('\r\n');
    expect(lines.pop()).toBe('');
    expect(lines.length % 2).toBe(0);
    return Array.from({ length: lines.length / 2 }, (_, i) => [Number(lines[2 * i]), lines[2 * i + 1]]);
  }

  it('is release 12: sections in order, tables that count right, every layer and line type defined', () => {
    const tags = tagsOf(toDxf(SQUARE));
    expect(tags.every(([code]) => Number.isInteger(code))).toBe(true);
    const sections = tags.flatMap(([code, value], i) => (code === 0 && value === 'SECTION' ? [tags[i + 1][1]] : []));
    expect(sections).toEqual(['HEADER', 'TABLES', 'ENTITIES']);
    expect(tags.filter(([, value]) => value === 'SECTION')).toHaveLength(
      tags.filter(([, value]) => value === 'ENDSEC').length,
    );
    expect(tags[tags.findIndex(([, value]) => value === '$ACADVER') + 1]).toEqual([1, 'AC1009']);
    expect(tags.at(-1)).toEqual([0, 'EOF']);
    for (const table of ['LTYPE', 'LAYER']) {
      const at = tags.findIndex(([code, value], i) => code === 2 && value === table && tags[i - 1][1] === 'TABLE');
      expect(tags.filter(([code, value]) => code === 0 && value === table)).toHaveLength(Number(tags[at + 1][1]));
    }
    const defined = (table: string) =>
      new Set(tags.flatMap(([c, v], i) => (c === 0 && v === table ? [tags[i + 1][1]] : [])));
    for (const [code, value] of tags) {
      if (code === 8) expect(defined('LAYER')).toContain(value);
      if (code === 6) expect(defined('LTYPE')).toContain(value);
    }
  });

  it('holds each crease once, in mm, y up, on the layer of its kind', () => {
    const tags = tagsOf(toDxf(SQUARE, { sizeMm: 300 }));
    const lines = tags.flatMap(([code, value], i) =>
      code === 0 && value === 'LINE' ? [tags.slice(i + 1, i + 8)] : [],
    );
    expect(lines).toHaveLength(SQUARE.creases.length);
    const ends = lines.map((line) => `${line[0][1]} ${[1, 2, 4, 5].map((k) => Number(line[k][1])).join(' ')}`);
    expect(ends).toContain('GUIDE 150 150 150 0');
    expect(ends).toContain('EDGE 300 300 0 300');
    expect(ends).toContain('UNDECIDED 300 300 150 150');
  });

  it('opens with the unit and the cautions', () => {
    const comments = tagsOf(toDxf(SQUARE))
      .filter(([code]) => code === 999)
      .map(([, value]) => value);
    expect(comments[0]).toContain('millimetre');
    expect(comments.join(' ')).toMatch(/maker's instructions.*local rules/);
    for (const comment of comments) expect(comment.length).toBeLessThanOrEqual(255);
  });
});

describe('PDF', () => {
  let library: PDFiumLibrary;
  beforeAll(async () => {
    library = await PDFiumLibrary.init();
  });

  /** Pages drawn at 10 px to the millimetre. PDF's unit is 1/72 inch (ISO 32000-1, 8.3.2.3). */
  const PX_PER_MM = 10;
  async function pagesOf(bytes: Uint8Array) {
    const document = await library.loadDocument(bytes);
    const pages = [];
    for (const page of document.pages()) {
      // Sizes are given outright: asked for a scale, the renderer first rounds the page to whole points.
      const { originalWidth, originalHeight } = page.getOriginalSize();
      const [width, height] = [originalWidth, originalHeight].map((pt) => Math.round((pt * 25.4 * PX_PER_MM) / 72));
      pages.push(await page.render({ width, height, render: 'bitmap' }));
    }
    document.destroy();
    return pages;
  }
  type Page = Awaited<ReturnType<typeof pagesOf>>[number];
  const dark = ({ data, width }: Page, x: number, y: number) => data[(y * width + x) * 4] < 100;
  /** First and last dark px of a row or column. */
  function extent(page: Page, axis: 'row' | 'column', at: number): [number, number] {
    const found: number[] = [];
    const length = axis === 'row' ? page.width : page.height;
    for (let i = 0; i < length; i++) if (axis === 'row' ? dark(page, i, at) : dark(page, at, i)) found.push(i);
    return [found[0], found.at(-1)!];
  }

  const frame = patternOf(
    [
      [0, 0],
      [1, 0],
      [1, 0.5],
      [0, 0.5],
    ],
    [
      [0, 1, 'B'],
      [1, 2, 'B'],
      [2, 3, 'B'],
      [3, 0, 'B'],
    ],
  );

  it.each(['a4', 'letter'] as const)('on %s a sheet of 150 mm measures 150 mm', async (paper) => {
    const [page, ...more] = await pagesOf(await toPdf(frame, { sizeMm: 150, paper }));
    expect(more).toHaveLength(0);
    const [left, right] = extent(page, 'row', Math.round(page.height * 0.45));
    // Lines are 0.7 mm thick: outer to outer is 150.7 mm. A px is 0.1 mm.
    expect(Math.abs((right - left + 1) / PX_PER_MM - 150.7)).toBeLessThan(0.25);
  });

  it('the check ruler measures 100 mm', async () => {
    const [page] = await pagesOf(await toPdf(frame, { sizeMm: 150 }));
    const rows = Array.from({ length: page.height }, (_, y) => page.height - 1 - y);
    const ruler = rows.map((y) => extent(page, 'row', y)).find(([left, right]) => right - left > 90 * PX_PER_MM)!;
    expect(Math.abs((ruler[1] - ruler[0]) / PX_PER_MM - 100)).toBeLessThan(0.3);
  });

  it('tiles join to the whole: each point of the sheet appears where the layout says, at scale', async () => {
    const sizeMm = 500;
    const grid = gridPattern(10, 10);
    const layout = layOutPages(sizeMm, sizeMm, 'a4');
    const pages = await pagesOf(await toPdf(grid, { sizeMm, paper: 'a4' }));
    expect(pages).toHaveLength(layout.tiles.length);
    let corners = 0;
    for (const [i, tile] of layout.tiles.entries()) {
      for (const [x, y] of [
        [0, 0],
        [500, 0],
        [0, 500],
        [500, 500],
        [250, 0],
        [0, 250],
      ]) {
        const px = Math.round((layout.windowXMm + x - tile.fromXMm) * PX_PER_MM);
        const py = Math.round((layout.pageHeightMm - (layout.windowYMm + y - tile.fromYMm)) * PX_PER_MM);
        const inside =
          x - tile.fromXMm > 1 &&
          x - tile.fromXMm < layout.windowWidthMm - 1 &&
          y - tile.fromYMm > 1 &&
          y - tile.fromYMm < layout.windowHeightMm - 1;
        if (!inside) continue;
        expect(dark(pages[i], px, py), `page ${i} point ${x},${y}`).toBe(true);
        corners++;
      }
    }
    expect(corners).toBeGreaterThanOrEqual(6);
  });

  it.each([
    [50, 50],
    [400, 300],
    [1000, 20],
    [190, 261],
    [190.1, 240],
    [600, 600],
  ])('pages cover all of %f x %f mm and overlap', (width, height) => {
    for (const paper of ['a4', 'letter'] as const) {
      const { tiles, windowWidthMm, windowHeightMm, rows, columns, overlapMm } = layOutPages(width, height, paper);
      expect(tiles).toHaveLength(rows * columns);
      const xs = [...new Set(tiles.map((t) => t.fromXMm))].sort((a, b) => a - b);
      const ys = [...new Set(tiles.map((t) => t.fromYMm))].sort((a, b) => a - b);
      expect(xs[0]).toBeLessThanOrEqual(0);
      expect(ys[0]).toBeLessThanOrEqual(0);
      expect(xs.at(-1)! + windowWidthMm).toBeGreaterThanOrEqual(width);
      expect(ys.at(-1)! + windowHeightMm).toBeGreaterThanOrEqual(height);
      for (let i = 1; i < xs.length; i++) expect(xs[i - 1] + windowWidthMm - xs[i]).toBeCloseTo(overlapMm, 9);
      for (let i = 1; i < ys.length; i++) expect(ys[i - 1] + windowHeightMm - ys[i]).toBeCloseTo(overlapMm, 9);
    }
  });

  it('refuses a wall of pages', () => {
    expect(() => layOutPages(9000, 9000, 'a4')).toThrow('choose a smaller one');
  });

  it('the same pattern gives the same file', async () => {
    expect(await toPdf(SQUARE)).toEqual(await toPdf(SQUARE));
  });
});

describe('PNG', () => {
  it('has the asked size, white ground, black edges', async () => {
    const png = await toPng(gridPattern(4, 2), { sidePx: 800 });
    const { data, info } = await sharp(png).raw().toBuffer({ resolveWithObject: true });
    expect(info.width).toBe(800);
    expect(Math.abs(info.height - 400)).toBeLessThan(30);
    expect(info.channels).toBe(3);
    expect([...data.subarray(0, 3)]).toEqual([255, 255, 255]);
    // The lower left corner of the sheet: 5 mm of 160 mm from the left and from the bottom.
    const [x, y] = [Math.round((5 / 160) * 800), info.height - Math.round((5 / 160) * 800)];
    expect(data[(y * info.width + x) * 3]).toBeLessThan(60);
  });
});

it('every format gives a file that begins with its mark', async () => {
  const start = async (format: Parameters<typeof exportPattern>[1]) => {
    const content = await exportPattern(SQUARE, format);
    return typeof content === 'string' ? content.slice(0, 4) : Buffer.from(content.subarray(0, 4)).toString('latin1');
  };
  expect(await start('fold')).toBe('{\n  ');
  expect(await start('svg')).toBe('<svg');
  expect(await start('dxf')).toBe('999\r');
  expect(await start('pdf')).toBe('%PDF');
  expect(await start('png')).toBe('\x89PNG');
});
