/**
 * The folded sheet as pixels. Folding moves every face without stretching it, so layers times area stay the area of the
 * sheet; and what lies on top is read off the published form of the traditional bases.
 */
import { describe, expect, it } from 'vitest';
import { makePattern, traditionalBases } from '../../datasets/patterns/patterns.ts';
import { countLayers, placeFolded, seenPieces } from '../../pipeline/desk/work/fold-raster.ts';
import { judge } from '../../pipeline/desk/work/judge.ts';
import type { Pattern } from '../../pipeline/types.ts';

const base = (name: string): Pattern => traditionalBases().find((one) => one.name === name)!.pattern;
const SIDE = 400;

/** Of a picture of this size, pixels on edges may fall to either side. */
const EDGE_SHARE = 0.02;

describe.each([
  // A quarter of the sheet in four layers; half of a half (both from memory, every beginner's book).
  ['preliminary', 4, 1 / 4],
  ['waterbomb', 4, 1 / 4],
  ['diagonal', 2, 1 / 2],
  ['book', 2, 1 / 2],
])('the %s base', (name, most, area) => {
  const { verdict, drawing } = judge(base(name));
  const placing = placeFolded(drawing!, SIDE, SIDE, false);
  const layers = countLayers(drawing!, placing);

  it('folds flat, to its known size and number of layers', () => {
    expect(verdict).toBe('folds');
    expect(layers.reduce((a, b) => Math.max(a, b), 0)).toBe(most);
    const covered = layers.filter((n) => n > 0).length / placing.scale ** 2;
    expect(Math.abs(covered - area)).toBeLessThan(EDGE_SHARE * area);
  });

  it('keeps the area of the sheet', () => {
    const paper = layers.reduce((sum, n) => sum + n, 0) / placing.scale ** 2;
    expect(Math.abs(paper - 1)).toBeLessThan(EDGE_SHARE);
  });

  it('shows a piece wherever there is paper, from either side', () => {
    for (const mirrored of [false, true]) {
      const turned = placeFolded(drawing!, SIDE, SIDE, mirrored);
      const seen = seenPieces(drawing!, turned);
      const paper = countLayers(drawing!, turned);
      expect([...seen].every((piece, pixel) => piece >= 0 === paper[pixel] > 0)).toBe(true);
    }
  });
});

it('what is seen from the front lies above everything else at that place', () => {
  const { drawing } = judge(makePattern('pleat', 4).pattern);
  const { above, start } = drawing!;
  expect(above).not.toBeNull();
  const placing = placeFolded(drawing!, 200, 200, false);
  const seen = seenPieces(drawing!, placing);
  const isAbove = (lower: number, upper: number) =>
    (above!.data[lower * above!.words + (upper >>> 5)] >>> (upper & 31)) & 1;
  // Each piece painted alone: where it has a pixel, it does not lie above the one seen there.
  let below = 0;
  let hidden = 0;
  for (let piece = 0; piece + 1 < start.length; piece++) {
    const alone = {
      ...drawing!,
      start: Int32Array.of(0, start[piece + 1] - start[piece]),
      x: drawing!.x.slice(start[piece], start[piece + 1]),
      y: drawing!.y.slice(start[piece], start[piece + 1]),
    };
    countLayers(alone, placing).forEach((n, pixel) => {
      if (n === 0 || seen[pixel] === piece) return;
      hidden += isAbove(seen[pixel], piece);
      below += isAbove(piece, seen[pixel]);
    });
  }
  expect(hidden).toBe(0);
  expect(below).toBeGreaterThan(1000);
});

it('a sheet that does not fold is shown without an order, and can be sent to another thread', () => {
  const sound = base('waterbomb');
  const wrong = sound.creases.findIndex(({ kind }) => kind === 'M');
  const judgement = judge({ ...sound, creases: sound.creases.map((c, i) => (i === wrong ? { ...c, kind: 'V' } : c)) });
  expect(judgement.verdict).toBe('does-not');
  expect(judgement.drawing?.above).toBeNull();
  expect(judgement.repairs.length).toBeGreaterThan(0);
  expect(structuredClone(judgement)).toEqual(judgement);
});
