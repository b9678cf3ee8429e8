/** A plain scene to change one thing at a time in: a square of five creases on a white page before a dark desk. */

import type { Drawing, Point, Scene } from './scenes.ts';

export const PAGE = 700;
const UNIT = 514;
export const WIDE = 684;
export const HIGH = 622;

/** Two diagonals, two middles and a quarter line: nothing that looks like another outline. */
export function drawingOf(w = 1, h = 1): Drawing {
  const crease = (x0: number, y0: number, x1: number, y1: number, kind: 0 | 1): Drawing['creases'][number] => ({
    from: [x0 * w, y0 * h],
    to: [x1 * w, y1 * h],
    kind,
  });
  return {
    outline: [
      [0, h],
      [w, h],
      [w, 0],
      [0, 0],
    ],
    creases: [
      crease(0, 0, 1, 1, 0),
      crease(0, 1, 1, 0, 1),
      crease(0.5, 0, 0.5, 1, 0),
      crease(0, 0.5, 1, 0.5, 1),
      crease(0.25, 0, 0.25, 1, 1),
    ],
  };
}

/** The page seen straight on, in the middle of the picture. */
const STRAIGHT: readonly Point[] = [
  [47, 16],
  [637, 16],
  [637, 606],
  [47, 606],
];

export function sceneOf(over: Partial<Scene> = {}): Scene {
  return {
    drawing: drawingOf(),
    width: WIDE,
    height: HIGH,
    unitPx: UNIT,
    pageWidth: PAGE,
    pageHeight: PAGE,
    originX: 93,
    originY: 93,
    paper: '#ffffff',
    ink: { edge: '#000000', mountain: '#d02020', valley: '#2030c8' },
    stroke: { edge: 4, crease: 3 },
    dash: { mountain: '', valley: '' },
    wobblePx: 0,
    overshootPx: 0,
    under: '',
    over: '',
    pageCorners: STRAIGHT,
    curl: 0,
    lens: 0,
    desk: 'dark',
    shadow: 0,
    lightSlope: 0,
    noise: 0,
    blur: 0,
    jpeg: 0,
    seed: 1,
    ...over,
  };
}

/** The page turned about its middle and leaned back: a pinhole camera in front of it. */
export function seenFrom(turnDegrees: number, lean: number, sideways: number): Point[] {
  const [c, s] = [Math.cos((turnDegrees * Math.PI) / 180), Math.sin((turnDegrees * Math.PI) / 180)];
  return [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ].map(([u, v]): Point => {
    const depth = 1 + lean * v + sideways * u;
    const [x, y] = [(226 * u) / depth, (226 * v) / depth];
    return [WIDE / 2 + x * c - y * s, HIGH / 2 + x * s + y * c];
  });
}
