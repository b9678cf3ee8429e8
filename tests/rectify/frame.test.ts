/** Frames close around a border, and borders in other ink than the creases: each scene's corners are known from the map that carried the page into the picture. */
import { describe, expect, it } from 'vitest';
import { traditionalBases } from '../../datasets/patterns/patterns.ts';
import { rectify } from '../../pipeline/rectify/rectify.ts';
import { drawingOf, sceneOf } from './plain.ts';
import { type Drawing, renderScene, type Scene } from './scenes.ts';

async function mostOff(over: Partial<Scene>): Promise<number> {
  const scene = await renderScene(sceneOf(over));
  const { corners } = rectify(scene.picture, {}).outline;
  return Math.max(...scene.corners.map(([x, y]) => Math.min(...corners.map(([u, v]) => Math.hypot(u - x, v - y)))));
}

const [PAGE, TALL, ORIGIN, UNIT] = [1200, 1290, 60, 1080];

/** A rectangle around the sheet, so many px outside of it on the page, and a title below. */
function frame(gap: number, widthPx: number): string {
  const at = ORIGIN - gap;
  const size = UNIT + 2 * gap;
  const title = `<text x="${PAGE / 2}" y="1240" font-family="DejaVu Sans" font-size="26" text-anchor="middle">plate 7 of 12</text>`;
  return `<rect x="${at}" y="${at}" width="${size}" height="${size}" fill="none" stroke="#000" stroke-width="${widthPx}"/>${title}`;
}

/** The kite base (traditional): creases end at two of its sides only. */
function kite(): Drawing {
  const base = traditionalBases().find(({ name }) => name.startsWith('kite'))!.pattern;
  const at = (v: number): [number, number] => [base.vertices[v][0], 1 - base.vertices[v][1]];
  const creases = base.creases
    .filter(({ kind }) => kind !== 'B')
    .map(({ from, to, kind }) => ({ from: at(from), to: at(to), kind: kind === 'M' ? 0 : 1 }) as const);
  return { ...drawingOf(), creases };
}

describe('a frame close around the border', () => {
  it.each([
    [2, 2],
    [7, 2],
  ])('of %i px, the frame %i px wide, is no side of the sheet', async (edge, framePx) => {
    const off = await mostOff({
      drawing: kite(),
      unitPx: UNIT,
      pageWidth: PAGE,
      pageHeight: TALL,
      originX: ORIGIN,
      originY: ORIGIN,
      stroke: { edge, crease: 2 },
      over: frame(18, framePx),
      desk: 'none',
      pageCorners: [
        [0, 0],
        [PAGE, 0],
        [PAGE, TALL],
        [0, TALL],
      ],
      width: PAGE,
      height: TALL,
    });
    expect(off).toBeLessThan(2);
  });
});

describe('a dark border around light creases', () => {
  it.each(['#4a9a5a', '#7a8aa8'])('on %s is the outline', async (paper) => {
    const ink = { edge: '#101010', mountain: '#ffff40', valley: '#ffffff' };
    expect(await mostOff({ paper, ink, desk: 'none' })).toBeLessThan(2);
  });
});

/** Squares of a cyan print over the whole picture, so many px apart, under the drawing. */
function squares(step: number, from: number): string {
  const lines = Array.from({ length: Math.ceil(PAGE / step) + 1 }, (_, k) => from + k * step).flatMap((at) => [
    `M${at} 0V${PAGE}`,
    `M0 ${at}H${PAGE}`,
  ]);
  return `<path d="${lines.join('')}" stroke="#8fc6d6" stroke-width="2.5"/>`;
}

describe('a drawing on squared paper that fills the picture', () => {
  it('is not the whole picture', async () => {
    const off = await mostOff({
      drawing: kite(),
      unitPx: 800,
      pageWidth: PAGE,
      pageHeight: PAGE,
      originX: 200,
      originY: 200,
      ink: { edge: '#444444', mountain: '#444444', valley: '#444444' },
      stroke: { edge: 3, crease: 3 },
      under: squares(50, 20),
      desk: 'none',
      pageCorners: [
        [0, 0],
        [PAGE, 0],
        [PAGE, PAGE],
        [0, PAGE],
      ],
      width: PAGE,
      height: PAGE,
    });
    expect(off).toBeLessThan(2);
  });
});
