/** Outlines that are easily taken for others: each scene's corners are known from the map that carried the page into the picture. */
import { describe, expect, it } from 'vitest';
import { rectify } from '../../pipeline/rectify/rectify.ts';
import type { Sheet } from '../../pipeline/types.ts';
import { drawingOf, PAGE, sceneOf, seenFrom, WIDE } from './plain.ts';
import { type Drawing, type Rendered, renderScene, type Scene } from './scenes.ts';

/** Greatest distance of the outline's corners from the true ones, px; which corner comes first does not matter. */
function farthest(sheet: Sheet, { corners }: Rendered): number {
  const found = sheet.outline.corners;
  expect(found.length).toBe(corners.length);
  const turns = corners.map((_, first) =>
    Math.max(
      ...found.map((p, i) => {
        const q = corners[(first + i) % corners.length];
        return Math.hypot(p[0] - q[0], p[1] - q[1]);
      }),
    ),
  );
  return Math.min(...turns);
}

type Line = readonly [number, number, number, number];

/** A drawing of these creases alone. */
function ofCreases(lines: readonly Line[]): Drawing {
  return { ...drawingOf(), creases: lines.map(([a, b, c, d]) => ({ from: [a, b], to: [c, d], kind: 0 }) as const) };
}

/** The plain drawing and more creases. */
function withCreases(more: readonly Line[]): Drawing {
  return { ...drawingOf(), creases: [...drawingOf().creases, ...ofCreases(more).creases] };
}

const NO_BORDER = { edge: null, mountain: '#d02020', valley: '#2030c8' };
/** The page fills the picture, and the pattern the page. */
const FULL: Partial<Scene> = {
  desk: 'none',
  width: WIDE,
  height: WIDE,
  pageCorners: [
    [0, 0],
    [WIDE, 0],
    [WIDE, WIDE],
    [0, WIDE],
  ],
  originX: 0,
  originY: 0,
  unitPx: PAGE,
};
/** Creases at every eighth across, from side to side. */
const RUNGS = [1, 2, 3, 5, 6, 7].map((k) => [0, k / 8, 1, k / 8] as const);

describe('a pattern that fills the picture', () => {
  it('without a border ends where the picture cuts its creases, not at a pleat that runs along a side', async () => {
    const drawing = withCreases([...RUNGS, [0.025, 0, 0.025, 1], [0.05, 0, 0.05, 1]]);
    const scene = await renderScene(sceneOf({ ...FULL, drawing, ink: NO_BORDER }));
    const sheet = rectify(scene.picture, {});
    expect(farthest(sheet, scene)).toBeLessThan(1.5);
    expect(sheet.outline.how).toBe('picture-edge');
  });
});

/** Creases that end at three sides of the sheet. */
const AT_THREE_SIDES = [
  [0, 0.8, 1, 0.8],
  [0, 0.9, 1, 0.9],
  [0.4, 0.8, 0.4, 1],
  [0.6, 0.8, 0.6, 1],
  [0.4, 0.8, 0, 0.4],
  [0.6, 0.8, 1, 0.4],
  [0.4, 0.8, 1, 0.2],
  [0.6, 0.8, 0, 0.2],
] as const;

describe('a square picture whose creases end at three of its edges', () => {
  it('is the whole sheet, though none ends at the last', async () => {
    const scene = await renderScene(sceneOf({ ...FULL, drawing: ofCreases(AT_THREE_SIDES), ink: NO_BORDER }));
    const sheet = rectify(scene.picture, {});
    expect(farthest(sheet, scene)).toBeLessThan(1.5);
    expect(sheet.outline.how).toBe('picture-edge');
  });
});

describe('a pattern with a narrow margin', () => {
  it('ends at its border, not at a pale shade along the edge of the picture', async () => {
    const shade = `<rect x="0" y="0" width="1.5" height="${PAGE}" fill="#d4d4d4"/>`;
    const scene = sceneOf({ ...FULL, originX: 9, originY: 9, unitPx: PAGE - 18, under: shade });
    const rendered = await renderScene(scene);
    const sheet = rectify(rendered.picture, {});
    expect(farthest(sheet, rendered)).toBeLessThan(1);
    expect(sheet.outline.how).toBe('drawn-border');
  });
});

describe('light lines on a dark page', () => {
  it('have their outline in the middle of the white border, not in the dark seams that sharpening leaves beside it', async () => {
    const seam = [88, 102].map((o) => {
      const side = PAGE - 2 * o;
      return `<rect x="${o}" y="${o}" width="${side}" height="${side}" fill="none" stroke="#000000" stroke-width="4"/>`;
    });
    const scene = sceneOf({
      ...FULL,
      originX: 95,
      originY: 95,
      unitPx: PAGE - 190,
      paper: '#202228',
      ink: { edge: '#ffffff', mountain: '#ff70d0', valley: '#70d0ff' },
      stroke: { edge: 8, crease: 5 },
      under: seam.join(''),
    });
    const rendered = await renderScene(scene);
    expect(farthest(rectify(rendered.picture, {}), rendered)).toBeLessThan(1);
  });
});

/** Rings of two pale colours about a point of the page, as a display's grid and a camera's beat against each other: `step` px from ring to ring. */
function rings(x: number, y: number, step: number, colours: readonly string[]): string {
  const parts: string[] = [];
  for (let k = 1; k * step < 1.5 * PAGE; k++) {
    const stroke = colours[k % colours.length];
    parts.push(`<circle cx="${x}" cy="${y}" r="${k * step}" fill="none" stroke="${stroke}" stroke-width="${step}"/>`);
  }
  return parts.join('');
}

describe('bands of moire over the page', () => {
  const pattern: Partial<Scene> = { drawing: withCreases(RUNGS), pageCorners: seenFrom(3, 0.05, 0.04) };

  it.each<[string, readonly string[]]>([
    ['yellow and blue', ['#ffe890', '#d0dcff']],
    ['of three colours', ['#ffe0e0', '#e0ffe0', '#e0e0ff']],
    ['grey', ['#ffffff', '#e0e0e0']],
  ])('are taken neither for creases nor for the sheet: %s', async (_, colours) => {
    const scene = sceneOf({
      ...pattern,
      under: rings(120, 330, 9, colours),
      stroke: { edge: 3, crease: 2 },
      blur: 0.6,
    });
    const rendered = await renderScene(scene);
    const sheet = rectify(rendered.picture, {});
    expect(farthest(sheet, rendered)).toBeLessThan(2);
    expect(sheet.outline.how).toBe('drawn-border');
  });
});

describe('a sheet on the desk', () => {
  it('keeps its corners though creases cut across them', async () => {
    const drawing = withCreases([
      [0, 0.2, 0.2, 0],
      [0.8, 1, 1, 0.8],
      [0.8, 0, 1, 0.2],
    ]);
    const scene = sceneOf({
      drawing,
      ink: NO_BORDER,
      originX: 0,
      originY: 0,
      unitPx: PAGE,
      pageCorners: seenFrom(9, 0.06, 0.04),
    });
    const rendered = await renderScene(scene);
    const sheet = rectify(rendered.picture, {});
    expect(farthest(sheet, rendered)).toBeLessThan(2.5);
    expect(sheet.outline.how).toBe('sheet-edge');
  });

  it.each<[string, string, Scene['desk']]>([
    ['black on grey', '#101010', 'grey'],
    ['blue on near black', '#2040d0', 'dark'],
    ['black on a light desk', '#101010', 'light'],
  ])('with its border drawn along the very edge ends at the outer flank of the ink: %s', async (_, edge, desk) => {
    const scene = sceneOf({
      ink: { edge, mountain: '#d02020', valley: '#2030c8' },
      stroke: { edge: 18, crease: 7 },
      originX: 0,
      originY: 0,
      unitPx: PAGE,
      desk,
      paper: desk === 'light' ? '#b8c8a0' : '#ffffff',
      pageCorners: seenFrom(5, 0.05, 0.03),
    });
    const rendered = await renderScene(scene);
    expect(farthest(rectify(rendered.picture, {}), rendered)).toBeLessThan(1.6);
  });

  it('with a narrow margin beyond the border has its pattern within the middle of the strokes', async () => {
    const scene = sceneOf({
      stroke: { edge: 12, crease: 5 },
      originX: 18,
      originY: 18,
      unitPx: PAGE - 36,
      desk: 'grey',
      pageCorners: seenFrom(5, 0.05, 0.03),
    });
    const rendered = await renderScene(scene);
    expect(farthest(rectify(rendered.picture, {}), rendered)).toBeLessThan(1.6);
  });

  it('with a border whose strokes overshoot the corners is not taken for the pattern', async () => {
    const scene = sceneOf({
      drawing: withCreases(RUNGS),
      overshootPx: 14,
      originX: 30,
      originY: 40,
      unitPx: PAGE - 80,
      pageCorners: seenFrom(-7, 0.06, 0.05),
    });
    const rendered = await renderScene(scene);
    const sheet = rectify(rendered.picture, {});
    expect(farthest(sheet, rendered)).toBeLessThan(2.5);
    expect(sheet.outline.how).toBe('drawn-border');
  });

  it('that curls is followed to its corners', async () => {
    const rendered = await renderScene(
      sceneOf({ drawing: withCreases(RUNGS), curl: 0.05, pageCorners: seenFrom(3, 0.1, 0) }),
    );
    expect(farthest(rectify(rendered.picture, { paper: 'square' }), rendered)).toBeLessThan(2.5);
  });
});

describe('a border within a frame', () => {
  it('is the outline where a label beside it touches both its line and the frame', async () => {
    const [o, side] = [40, PAGE - 80];
    const frame = `<rect x="2" y="2" width="${PAGE - 4}" height="${PAGE - 4}" fill="none" stroke="#707070" stroke-width="4"/>`;
    const label = `<path d="M4 ${o} h${o}" stroke="#303030" stroke-width="3"/>`;
    const under = frame + label;
    const scene = sceneOf({ ...FULL, originX: o, originY: o, unitPx: side, under, drawing: withCreases(RUNGS) });
    const rendered = await renderScene(scene);
    expect(farthest(rectify(rendered.picture, {}), rendered)).toBeLessThan(1.5);
  });
});

describe('a sheet without a border on a dark desk', () => {
  it('ends at its edges, not at creases that run from side to side close by', async () => {
    const levels = Array.from({ length: 39 }, (_, k) => [0, (k + 1) / 40, 1, (k + 1) / 40] as const);
    const few = [
      [0.05, 0.025, 0.05, 0],
      [0.95, 0.975, 0.95, 1],
    ] as const;
    const drawing = { ...withCreases([...levels, ...few]), creases: withCreases([...levels, ...few]).creases.slice(5) };
    const scene = sceneOf({ drawing, originX: 0, originY: 0, unitPx: PAGE, ink: NO_BORDER });
    const rendered = await renderScene(scene);
    const sheet = rectify(rendered.picture, {});
    expect(farthest(sheet, rendered)).toBeLessThan(2);
    expect(sheet.outline.how).toBe('sheet-edge');
  });
});
