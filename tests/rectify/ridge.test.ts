/** A sheet that was folded once and opened again: two planes seen in perspective, whose inner points are known by construction. */
import { describe, expect, it } from 'vitest';
import { ridgeGuesses, seenSide } from '../../pipeline/rectify/ridge.ts';
import { ridgedView, type SeenSheet, viewOf } from '../../pipeline/rectify/sheet-view.ts';
import type { PatternPoint, PicturePoint } from '../../pipeline/types.ts';
import { SQUARE } from '../unit-sheet.ts';
import { seeded } from './scenes.ts';

const VIEW = { width: 2000, height: 1500 };

type See = (p: PatternPoint) => PicturePoint;

interface Pose {
  readonly ends: readonly [PatternPoint, PatternPoint];
  /** Angle by which the planes are turned to each other, degrees; positive towards the camera. */
  readonly turn: number;
  /** Camera: tilt and azimuth, degrees; focal length, px. */
  readonly tilt: number;
  readonly azimuth: number;
  readonly focal: number;
}

const radians = (degrees: number): number => (degrees * Math.PI) / 180;

/** Pinhole view of the two planes: the first lies flat, the second is turned about the ridge (rotation about an axis after Rodrigues 1840). */
function folded({ ends: [a, b], turn, tilt, azimuth, focal }: Pose): See {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const [tx, ty] = [(b[0] - a[0]) / length, (b[1] - a[1]) / length];
  const [ct, st] = [Math.cos(radians(tilt)), Math.sin(radians(tilt))];
  const [ca, sa] = [Math.cos(radians(azimuth)), Math.sin(radians(azimuth))];
  return ([u, v]) => {
    const along = (u - a[0]) * tx + (v - a[1]) * ty;
    const beside = -(u - a[0]) * ty + (v - a[1]) * tx;
    const lifted = beside > 0 ? radians(turn) : 0;
    const x = a[0] + along * tx - beside * Math.cos(lifted) * ty - 0.5;
    const y = a[1] + along * ty + beside * Math.cos(lifted) * tx - 0.5;
    const height = -beside * Math.sin(lifted);
    const [rx, ry] = [ca * x - sa * y, sa * x + ca * y];
    const depth = 2 + st * ry - ct * height;
    return [1000 + (focal * (rx + 0.03)) / depth, 750 - (focal * (ct * ry + st * height)) / depth];
  };
}

/** The sheet as a tracer would see it: points of each side off by normal noise of that spread, px. */
function traced(see: See, noisePx: number, seed = 1): SeenSheet {
  const random = seeded(seed);
  const noise = (): number => noisePx * Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random());
  const corners = SQUARE.map((p) => see(p));
  const sides = SQUARE.map((a, i) => {
    const b = SQUARE[(i + 1) % 4];
    const points = Array.from({ length: 200 }, (_, k): PicturePoint => {
      const t = (k + 0.5) / 200;
      const [x, y] = see([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
      return [x + noise(), y + noise()];
    });
    return seenSide(corners[i], corners[(i + 1) % 4], points);
  });
  return { polygon: SQUARE, corners, sides, view: VIEW };
}

/** Largest distance of inner points from where they are seen, as a share of the first side. */
function worst(see: See, found: See): number {
  let most = 0;
  for (let x = 0.1; x < 1; x += 0.1) {
    for (let y = 0.1; y < 1; y += 0.1) {
      const [p, q] = [see([x, y]), found([x, y])];
      most = Math.max(most, Math.hypot(p[0] - q[0], p[1] - q[1]));
    }
  }
  const [a, b] = [see([0, 0]), see([1, 0])];
  return most / Math.hypot(b[0] - a[0], b[1] - a[1]);
}

const UPRIGHT: Pose['ends'] = [
  [0.5, 0],
  [0.5, 1],
];

const POSES: readonly (readonly [string, Pose])[] = [
  ['in halves', { ends: UPRIGHT, turn: 8, tilt: 25, azimuth: 20, focal: 2200 }],
  ['in halves, a valley', { ends: UPRIGHT, turn: -6, tilt: 30, azimuth: -35, focal: 1900 }],
  [
    'in thirds',
    {
      ends: [
        [1, 1 / 3],
        [0, 1 / 3],
      ],
      turn: 10,
      tilt: 30,
      azimuth: 50,
      focal: 2400,
    },
  ],
  [
    'at a slant',
    {
      ends: [
        [0.4, 0],
        [0.62, 1],
      ],
      turn: 5,
      tilt: 20,
      azimuth: 10,
      focal: 2100,
    },
  ],
  [
    'across a corner',
    {
      ends: [
        [0.65, 0],
        [0, 0.6],
      ],
      turn: 10,
      tilt: 28,
      azimuth: 70,
      focal: 2000,
    },
  ],
];

describe.each(POSES)('a sheet folded once and opened again, %s', (_, pose) => {
  it('is seen as two planes from its sides alone: inner points, ridge and angle', () => {
    const see = folded(pose);
    const sheet = traced(see, 0);
    const fitted = ridgedView(sheet, ridgeGuesses(sheet.sides));
    expect(fitted).not.toBeNull();
    const view = viewOf(fitted!);
    expect(view.missPx).toBeLessThan(0.2);
    expect(worst(see, view.toPicture)).toBeLessThan(0.0015);
    const [x, y] = view.toSheet(view.toPicture([0.8, 0.3]));
    expect(x).toBeCloseTo(0.8, 5);
    expect(y).toBeCloseTo(0.3, 5);
  });
});
