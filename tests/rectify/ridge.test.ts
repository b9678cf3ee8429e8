/** A sheet that was folded once and opened again: two planes seen in perspective, whose inner points are known by construction. */
import { describe, expect, it } from 'vitest';
import { patternToPaper } from '../../pipeline/geometry/frames.ts';
import { robustPolynomial } from '../../pipeline/rectify/curve.ts';
import { rectify } from '../../pipeline/rectify/rectify.ts';
import { ridgeGuesses, seenSide } from '../../pipeline/rectify/ridge.ts';
import { viewOf } from '../../pipeline/rectify/ridged-view.ts';
import { ridgedViews, type SeenSheet } from '../../pipeline/rectify/sheet-view.ts';
import { sheetMap } from '../../pipeline/rectify/warp.ts';
import type { PatternPoint, Picture, PicturePoint } from '../../pipeline/types.ts';
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
    const fitted = ridgedViews(sheet, ridgeGuesses(sheet.sides))[0];
    expect(fitted).toBeDefined();
    const view = viewOf(fitted);
    expect(view.missPx).toBeLessThan(0.1);
    expect(worst(see, view.toPicture)).toBeLessThan(0.0005);
    expect((view.turnRad * 180) / Math.PI).toBeCloseTo(pose.turn, 0);
    for (const end of pose.ends) {
      expect(Math.min(...view.ends.map((p) => Math.hypot(p[0] - end[0], p[1] - end[1])))).toBeLessThan(0.005);
    }
    const [x, y] = view.toSheet(view.toPicture([0.8, 0.3]));
    expect(x).toBeCloseTo(0.8, 5);
    expect(y).toBeCloseTo(0.3, 5);
  });

  it.each([1, 2, 3])('traced with noise (seed %i) it is told as well as it says', (seed) => {
    const see = folded(pose);
    const sheet = traced(see, 0.8, seed);
    const view = viewOf(ridgedViews(sheet, ridgeGuesses(sheet.sides))[0]);
    const off = worst(see, view.toPicture);
    const [a, b] = sheet.corners;
    expect(off).toBeLessThan(0.003);
    expect(off * Math.hypot(b[0] - a[0], b[1] - a[1])).toBeLessThan(3 * view.spreadPx);
  });

  it('is laid flat along its fold', () => {
    const see = folded(pose);
    const map = laidFlat(see);
    expect((map.foldRad! * 180) / Math.PI).toBeCloseTo(pose.turn, 0);
    expect(worst(see, map.toPicture)).toBeLessThan(0.0005);
  });
});

/** The map of a sheet whose sides are traced as smooth curves first, and whose lines are seen with a kink where they cross the ridge. */
function laidFlat(see: See, lines: readonly (readonly [PatternPoint, PatternPoint])[] = [], noisePx = 0) {
  const sheet = traced(see, noisePx);
  const bows = sheet.sides.map((side) =>
    robustPolynomial(
      side!.ts,
      side!.offs,
      side!.ts.map(() => 1),
      3,
    ),
  );
  const points = sheet.sides.map((side, i) => {
    const [p, q] = [sheet.corners[i], sheet.corners[(i + 1) % 4]];
    const chord = Math.hypot(q[0] - p[0], q[1] - p[1]);
    const [ux, uy] = [(q[0] - p[0]) / chord, (q[1] - p[1]) / chord];
    return side!.ts.map(
      (t, k): PicturePoint => [p[0] + t * chord * ux - side!.offs[k] * uy, p[1] + t * chord * uy + side!.offs[k] * ux],
    );
  });
  const seen = lines.map(([a, b]) =>
    Array.from(
      { length: 13 },
      (_, k): PicturePoint => see([a[0] + (k / 12) * (b[0] - a[0]), a[1] + (k / 12) * (b[1] - a[1])]),
    ),
  );
  return sheetMap(SQUARE, sheet.corners, bows, VIEW, seen, points);
}

describe('no ridge', () => {
  const along = (off: (t: number) => number): PicturePoint[] =>
    Array.from({ length: 200 }, (_, k) => [100 + 5 * k, 900 + off((k + 0.5) / 200)]);
  const sideOf = (off: (t: number) => number) => seenSide([100, 900], [1100, 900], along(off));

  it.each([1, 2, 3, 4, 5])('is seen in straight sides however noisy (seed %i)', (seed) => {
    const random = seeded(seed);
    const sides = SQUARE.map(() => sideOf(() => 3 * (random() - 0.5)));
    expect(ridgeGuesses(sides)).toEqual([]);
  });

  it.each([1, 2, 3, 4, 5])('is seen in sides that bend smoothly (seed %i)', (seed) => {
    const random = seeded(seed);
    const sides = SQUARE.map(() => sideOf((t) => 60 * t * (1 - t) * (1 + 0.3 * t) + 2 * (random() - 0.5)));
    expect(ridgeGuesses(sides)).toEqual([]);
  });

  it('is seen in a sheet that is curled', () => {
    const curled: See = ([u, v]) => {
      const [x, rise] = [1.2 * Math.sin((u - 0.5) / 1.2), 1.2 * (1 - Math.cos((u - 0.5) / 1.2))];
      const depth = 2 + 0.5 * (v - 0.5) + 0.87 * rise;
      return [1000 + (2000 * x) / depth, 750 - (2000 * (0.87 * (v - 0.5) - 0.5 * rise)) / depth];
    };
    expect(laidFlat(curled).foldRad).toBeUndefined();
  });

  it('is taken from one kinked side where the other sides are straight and the lines within as well', () => {
    const flat = folded({ ends: UPRIGHT, turn: 0, tilt: 25, azimuth: 0, focal: 2200 });
    const [p, q] = [flat([0, 0]), flat([1, 0])];
    const bent: See = ([u, v]) => {
      const [x, y] = flat([u, v]);
      return v === 0 ? [x, y + 0.01 * (q[0] - p[0]) * (1 - Math.abs(2 * u - 1))] : [x, y];
    };
    const lines = [0.2, 0.4, 0.6, 0.8].map((v): [PatternPoint, PatternPoint] => [
      [0.05, v],
      [0.95, v],
    ]);
    expect(laidFlat(bent, lines).foldRad).toBeUndefined();
  });
});

describe('sides that only planes standing far up would explain', () => {
  it.each([40, 55])('at %i degrees are those of an unsteady hand: no sheet is photographed so', (turn) => {
    const see = folded({ ends: UPRIGHT, turn, tilt: 25, azimuth: 20, focal: 2200 });
    expect(laidFlat(see).foldRad).toBeUndefined();
  });
});

describe('a fold from corner to corner, which no side shows', () => {
  const lines: (readonly [PatternPoint, PatternPoint])[] = [
    [
      [0, 0.23],
      [1, 0.31],
    ],
    [
      [0, 0.62],
      [1, 0.55],
    ],
    [
      [0, 0.8],
      [1, 0.8],
    ],
    [
      [0.2, 0],
      [0.27, 1],
    ],
    [
      [0.8, 0],
      [0.71, 1],
    ],
  ];
  const diagonal = (turn: number): See =>
    folded({
      ends: [
        [0, 0],
        [1, 1],
      ],
      turn,
      tilt: 30,
      azimuth: 150,
      focal: 2000,
    });

  it('is not laid flat, but how far places may be off is told from the lines that have a kink there', () => {
    const see = diagonal(8);
    const map = laidFlat(see, lines, 0.2);
    expect(map.foldRad).toBeUndefined();
    const [p, q] = [see([0, 0]), see([1, 0])];
    const off = worst(see, map.toPicture);
    expect(off).toBeGreaterThan(0.01);
    expect(map.spreadPx! / Math.hypot(q[0] - p[0], q[1] - p[1])).toBeGreaterThan(off / 2);
  });

  it('is not suspected in a flat sheet', () => {
    expect(laidFlat(diagonal(0), lines, 0.2).spreadPx).toBeUndefined();
  });
});

/** The same, seen in a picture of 880 by 720 px. */
const inPicture =
  (see: See): See =>
  (p) => {
    const [x, y] = see(p);
    return [(x - 1000) * 0.64 + 440, (y - 750) * 0.64 + 360];
  };

describe('a picture of a sheet that was folded in halves', () => {
  it('shows the lines on it straight once it is laid flat', () => {
    const see = inPicture(
      folded({
        ends: [
          [0.5, 0],
          [0.54, 1],
        ],
        turn: 9,
        tilt: 28,
        azimuth: 25,
        focal: 1500,
      }),
    );
    const picture = drawn(see);
    const sheet = rectify(picture, { paper: 'square' });
    expect(sheet.outline.assumed.join()).toContain('folded once');
    expect(sheet.placeSpread).toBeLessThan(0.003);
    expect(worst(see, (p) => sheet.toPicture(patternToPaper(sheet, p)))).toBeLessThan(0.002);
  });

  it('is found whole where nothing is drawn along its edge and one half is darker', () => {
    const see = inPicture(folded({ ends: UPRIGHT, turn: -11, tilt: 28, azimuth: 10, focal: 1500 }));
    const picture = drawn(see, { creases: CREASES.slice(4), beyond: 0, light: ([u]) => (u > 0.5 ? 0.8 : 1) });
    const sheet = rectify(picture, { paper: 'square' });
    expect(sheet.outline.how).toBe('sheet-edge');
    expect(sheet.outline.assumed.join()).toContain('folded once');
    expect(worst(see, (p) => sheet.toPicture(patternToPaper(sheet, p)))).toBeLessThan(0.004);
  });

  it('is not taken for folded where it is flat', () => {
    const see = inPicture(folded({ ends: UPRIGHT, turn: 0, tilt: 28, azimuth: 25, focal: 1500 }));
    const sheet = rectify(drawn(see), { paper: 'square' });
    expect(sheet.outline.assumed.join()).not.toContain('folded once');
    expect(sheet.placeSpread).toBeUndefined();
  });
});

const CREASES: readonly (readonly [number, number, number, number])[] = [
  [0, 0, 1, 0],
  [1, 0, 1, 1],
  [1, 1, 0, 1],
  [0, 1, 0, 0],
  [0, 0.3, 1, 0.24],
  [0, 0.52, 1, 0.6],
  [0, 0.8, 1, 0.77],
  [0.22, 0, 0.22, 1],
];

/** A picture of the creases on grey paper that goes on so far beyond the outline, on a dark desk: each pixel is carried to the sheet by Newton's method. */
function drawn(see: See, { creases = CREASES, beyond = 0.08, light = (_: PatternPoint): number => 1 } = {}): Picture {
  const [width, height] = [880, 720];
  const data = new Uint8Array(width * height * 3);
  for (let y = 0; y < height; y++) {
    let [u, v] = [0.5, 0.5];
    for (let x = 0; x < width; x++) {
      for (let step = 0; step < (x === 0 ? 30 : 2); step++) {
        const at = see([u, v]);
        const [right, up] = [see([u + 1e-4, v]), see([u, v + 1e-4])];
        const [a, b, c, d] = [right[0] - at[0], up[0] - at[0], right[1] - at[1], up[1] - at[1]];
        const [ex, ey] = [x + 0.5 - at[0], y + 0.5 - at[1]];
        const area = (a * d - b * c) * 1e4;
        u += (d * ex - b * ey) / area;
        v += (a * ey - c * ex) / area;
      }
      const onPaper = Math.max(Math.abs(u - 0.5), Math.abs(v - 0.5)) < 0.5 + beyond;
      const ink = onPaper ? Math.max(...creases.map((crease) => strength(crease, u, v))) : 0;
      data.fill(onPaper ? light([u, v]) * (225 - 180 * ink) : 60, (y * width + x) * 3, (y * width + x) * 3 + 3);
    }
  }
  return {
    raster: { width, height, channels: 3, data },
    name: 'folded',
    format: 'png',
    fullWidth: width,
    fullHeight: height,
    scale: 1,
  };
}

/** Ink of a line at (u, v): 1 on it, 0 from about two pixels off. */
function strength([ax, ay, bx, by]: readonly [number, number, number, number], u: number, v: number): number {
  const [dx, dy] = [bx - ax, by - ay];
  const t = Math.min(1, Math.max(0, ((u - ax) * dx + (v - ay) * dy) / (dx * dx + dy * dy)));
  return Math.min(1, Math.max(0, 1.6 - 440 * Math.hypot(u - ax - t * dx, v - ay - t * dy)));
}
