import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { makePattern, patternFamilies, traditionalBases } from '../../datasets/patterns/patterns.ts';
import { drawFolded } from '../../pipeline/fold/drawing.ts';
import { FOLDED_ENDINGS, foldedFiles } from '../../pipeline/fold/fold.ts';
import { toFoldedFold } from '../../pipeline/fold/folded-fold.ts';
import { areaOf, visibleParts } from '../../pipeline/fold/visible-parts.ts';
import type { Pattern } from '../../pipeline/types.ts';
import { checkFoldability, type FoldedSheet } from '../../pipeline/validity/validity.ts';
import { checkLayers } from './layer-checker.ts';
import { mapOf, mapPattern } from './patterns.ts';

type Frame = Parameters<typeof checkLayers>[0];

const folded = (pattern: Pattern): FoldedSheet => {
  const sheet = checkFoldability(pattern, { countLimitMs: 0 }).folded;
  if (sheet === null) throw new Error('this pattern should fold');
  return sheet;
};
const base = (name: string): Pattern => traditionalBases().find((b) => b.name === name)!.pattern;
const frameOf = (pattern: Pattern): Frame => {
  const file = toFoldedFold(pattern, folded(pattern), 'test');
  return (file.file_frames as Frame[])[0];
};

describe('layers of the FOLD file', () => {
  const small = patternFamilies.flatMap((family) =>
    [1, 2, 3, 5]
      .map((seed) => makePattern(family, seed))
      .filter(({ lawful, pattern }) => lawful !== 'local' && pattern.creases.length < 130),
  );

  it('are looked at for many patterns', () => {
    expect(small.length).toBeGreaterThan(12);
  });

  it.each(small.map((named) => [named.name, named.pattern] as const))(
    '%s: sound wherever a point is looked at',
    (_, pattern) => {
      expect(checkLayers(frameOf(pattern), 150)).toEqual([]);
    },
  );

  it.each(['preliminary', 'fish', 'windmill'])(
    '%s has one state: with any order reversed the checker objects',
    (name) => {
      const frame = frameOf(base(name));
      expect(checkLayers(frame, 400)).toEqual([]);
      expect(frame.faceOrders.length).toBeGreaterThan(5);
      frame.faceOrders.forEach(([f, g, s], i) => {
        const turned = { ...frame, faceOrders: frame.faceOrders.with(i, [f, g, -s]) };
        expect(checkLayers(turned, 400)).not.toEqual([]);
      });
    },
  );

  it('have the signs of FOLD 1.2: +1 where f lies on the side that the normal of g points to', () => {
    // FOLD 1.2, faceOrders. A book closed by a valley: both fronts inside, so each is on the other's front side.
    const book = frameOf(mapOf(2, 1, 'V'));
    expect(book.faceOrders).toHaveLength(1);
    expect(book.faceOrders[0][2]).toBe(1);
    expect(frameOf(mapOf(2, 1, 'M')).faceOrders[0][2]).toBe(-1);
  });

  it('the folded form keeps the length of every edge', () => {
    for (const { pattern } of small) {
      const { vertices_coords: at, faces_vertices: rings } = frameOf(pattern);
      const sheet = pattern.creases.map(({ from, to }) => length(pattern.vertices[from], pattern.vertices[to]));
      const lengths = rings.flatMap((ring) => ring.map((v, i) => length(at[v], at[ring[(i + 1) % ring.length]])));
      for (const l of lengths) expect(sheet.some((s) => Math.abs(s - l) < 1e-9)).toBe(true);
    }
  });
});

describe('pictures', () => {
  // Areas of the folded outlines, from plane geometry: see tests/outside/bases-folded.test.ts for the corners.
  it.each([
    ['preliminary', 0.25],
    ['waterbomb', 0.25],
    ['blintz', 0.5],
    ['windmill', 0.375],
    ['bird', (Math.SQRT2 - 1) / 2],
  ])('%s: what is seen covers the outline once, from either side', (name, area) => {
    const sheet = folded(base(name));
    for (const fromAbove of [true, false]) {
      const seen = visibleParts(sheet, fromAbove).reduce((sum, { polygon }) => sum + areaOf(polygon), 0);
      expect(seen).toBeCloseTo(area, 9);
    }
  });

  it('an accordion shows one face from either side, its first and its last', () => {
    const strip = mapPattern(7, 1, (_, i) => (i % 2 ? 'M' : 'V'));
    const sheet = folded(strip);
    const [front, back] = [true, false].map((above) =>
      visibleParts(sheet, above).map(({ piece }) => sheet.problem.pieces.face[piece]),
    );
    expect(front).toHaveLength(1);
    expect(back).toHaveLength(1);
    expect(new Set([...front, ...back])).toEqual(new Set([0, 6]));
  });

  it('a blintz shows its back tone on one side and the flaps on the other', () => {
    const sheet = folded(base('blintz'));
    // All valleys: the front is inside, so both sides show the back.
    for (const view of ['front', 'back'] as const) {
      const svg = drawFolded(base('blintz'), sheet, view, 'blintz');
      expect(svg).toContain('#f6f1e4');
      expect(svg).not.toContain('fill="#8fb8d4"');
    }
    const turned = {
      ...base('blintz'),
      creases: base('blintz').creases.map((c) => (c.kind === 'V' ? { ...c, kind: 'M' as const } : c)),
    };
    expect(drawFolded(turned, folded(turned), 'front', 'x')).toContain('fill="#8fb8d4"');
  });

  it('are SVG and PNG of the same view, and the see-through one keeps dashes for valleys', async () => {
    const pattern = base('windmill');
    const files = await foldedFiles(pattern, folded(pattern), { title: 'a <windmill>' });
    expect(files.map(({ ending }) => ending).sort()).toEqual([...FOLDED_ENDINGS].sort());
    for (const { ending, content } of files) {
      if (ending.endsWith('.png')) {
        const { width, height } = await sharp(content as Uint8Array).metadata();
        expect(Math.max(width, height)).toBe(1600);
      }
      if (ending.endsWith('.svg')) expect(content).toContain('a &lt;windmill&gt;');
      if (ending === 'through.svg') expect(content).toMatch(/class="valley"[^>]*stroke-dasharray/);
    }
  });
});

function length(a: readonly [number, number], b: readonly [number, number]): number {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}
