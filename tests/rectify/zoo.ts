/** A seeded zoo of scenes for the rectify tests and measurements: many drawings, pages, cameras. */
import { type Drawing, type Point, type Random, type Scene, seeded } from './scenes.ts';

export const SCENE_KINDS = [
  'clean',
  'crop',
  'cut',
  'scan',
  'rotated',
  'photo',
  'desk-margin',
  'desk-sheet',
  'dark',
  'hand',
  'noborder',
  'framed',
  'busy',
  'curl',
  'squared',
  'dashed',
] as const;
export type SceneKind = (typeof SCENE_KINDS)[number];

const SQUARE: readonly Point[] = [
  [0, 1],
  [1, 1],
  [1, 0],
  [0, 0],
];

type Crease = Drawing['creases'][number];

/** Creases of one of several families on a w by h rectangle. */
export function randomDrawing(random: Random, w = 1, h = 1): Drawing {
  const creases: Crease[] = [];
  const add = (x0: number, y0: number, x1: number, y1: number): void => {
    creases.push({ from: [x0 * w, y0 * h], to: [x1 * w, y1 * h], kind: random() < 0.5 ? 0 : 1 });
  };
  const family = Math.floor(random() * 8);
  if (family === 0) {
    const n = 8 + 4 * Math.floor(random() * 12);
    for (let i = 1; i < n; i++) {
      if (random() < 0.6) add(i / n, 0, i / n, 1);
      if (random() < 0.6) add(0, i / n, 1, i / n);
      if (random() < 0.4) add(i / n, 0, 0, i / n);
      if (random() < 0.4) add(i / n, 0, 1, 1 - i / n);
    }
  } else if (family === 1) {
    // Bird base: 22.5-degree lines from the corners.
    const t = Math.tan(Math.PI / 8);
    add(0, 0, 1, 1);
    add(1, 0, 0, 1);
    add(0.5, 0, 0.5, 1);
    add(0, 0.5, 1, 0.5);
    for (const [x, y] of SQUARE) {
      add(x, y, x === 0 ? 0.5 : 0.5, y === 0 ? t * 0.5 : 1 - t * 0.5);
      add(x, y, x === 0 ? t * 0.5 : 1 - t * 0.5, 0.5);
    }
  } else if (family === 2) {
    // Kite base: two creases from one corner and a diagonal.
    const t = Math.tan(Math.PI / 8);
    add(0, 1, 1, 1 - t);
    add(0, 1, t, 0);
    if (random() < 0.5) add(0, 1, 1, 0);
  } else if (family === 3) {
    add(0, 0, 1, 1);
    add(1, 0, 0, 1);
    add(0, 0.5, 1, 0.5);
    if (random() < 0.5) add(0.5, 0, 0.5, 1);
  } else if (family === 4) {
    // Box pleats of short pieces that stop inside the sheet.
    const n = 16 + 8 * Math.floor(random() * 4);
    for (let k = 0; k < n * 5; k++) {
      const i = Math.floor(random() * (n + 1));
      const j = Math.floor(random() * (n + 1));
      const length = 1 + Math.floor(random() * 8);
      const d = Math.floor(random() * 4);
      const dx = [1, 0, 1, -1][d];
      const dy = [0, 1, 1, 1][d];
      const steps = Math.min(length, dx > 0 ? n - i : dx < 0 ? i : n, dy > 0 ? n - j : n);
      if (steps > 0 && !(dx === 0 && (i === 0 || i === n)) && !(dy === 0 && (j === 0 || j === n)))
        add(i / n, j / n, (i + dx * steps) / n, (j + dy * steps) / n);
    }
  } else if (family === 5) {
    // Zigzag rows.
    const n = 4 + Math.floor(random() * 6);
    const m = 2 * (2 + Math.floor(random() * 4));
    const slant = 0.35 / n;
    for (let i = 1; i < n; i++) {
      for (let j = 0; j < m; j++) {
        const a = i / n + (j % 2 ? slant : 0);
        const b = i / n + (j % 2 ? 0 : slant);
        add(a, j / m, b, (j + 1) / m);
      }
    }
    for (let j = 1; j < m; j++) add(0, j / m, 1, j / m);
  } else if (family === 6) {
    // Grid of square twists.
    const n = 2 + Math.floor(random() * 3);
    const s = 1 / n;
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        const x = i * s;
        const y = j * s;
        const p: Point[] = [
          [x + s * 0.25, y + s * 0.5],
          [x + s * 0.5, y + s * 0.25],
          [x + s * 0.75, y + s * 0.5],
          [x + s * 0.5, y + s * 0.75],
        ];
        for (let k = 0; k < 4; k++) add(p[k][0], p[k][1], p[(k + 1) % 4][0], p[(k + 1) % 4][1]);
        add(x, y + s * 0.5, p[0][0], p[0][1]);
        add(p[2][0], p[2][1], x + s, y + s * 0.5);
        add(x + s * 0.5, y, p[1][0], p[1][1]);
        add(p[3][0], p[3][1], x + s * 0.5, y + s);
        add(x + s * 0.25, y, p[0][0], p[0][1]);
        add(p[2][0], p[2][1], x + s * 0.75, y + s);
      }
    }
  } else {
    // Random folds of the whole sheet: any direction.
    const n = 5 + Math.floor(random() * 14);
    for (let k = 0; k < n; k++) {
      const side = Math.floor(random() * 2);
      const a = random();
      const b = random();
      if (side === 0) add(a, 0, b, 1);
      else add(0, a, 1, b);
    }
  }
  return { outline: SQUARE.map((p): Point => [p[0] * w, p[1] * h]), creases };
}

const PALETTES = [
  { edge: '#000000', mountain: '#d02020', valley: '#2030c8' },
  { edge: '#111111', mountain: '#1f5fd0', valley: '#d03030' },
  { edge: '#000000', mountain: '#108030', valley: '#c02080' },
  { edge: '#303030', mountain: '#000000', valley: '#9a9a9a' },
  { edge: '#101010', mountain: '#101010', valley: '#101010' },
  { edge: '#2060a0', mountain: '#e05050', valley: '#50a0e0' },
  { edge: '#000000', mountain: '#e08080', valley: '#8aa0ff' },
  { edge: '#a03020', mountain: '#704010', valley: '#206060' },
];
const DARK_PALETTES = [
  { edge: '#ffffff', mountain: '#ff6060', valley: '#60a0ff' },
  { edge: '#d0d0d0', mountain: '#ffd040', valley: '#40ffd0' },
  { edge: '#9a9aa0', mountain: '#e04848', valley: '#4a7bff' },
];

const pick = <T>(random: Random, list: readonly T[]): T => list[Math.floor(random() * list.length)];
const between = (random: Random, low: number, high: number): number => low + (high - low) * random();

function words(random: Random, x: number, y: number, size: number, colour: string): string {
  const text = pick(random, [
    'Fig. 12',
    'page 47',
    'Grid 32 x 32',
    'square sheet, 35 cm',
    'folded: 2019-03-14',
    'Turn over',
  ]);
  return `<text x="${x}" y="${y}" font-size="${size}" font-family="sans-serif" fill="${colour}">${text}</text>`;
}

/** A scene of the kind; the same seed gives the same scene. */
export function randomScene(kind: SceneKind, seed: number): Scene {
  const random = seeded(seed * 31 + SCENE_KINDS.indexOf(kind) * 1009);
  const drawing = randomDrawing(random);
  const unitPx = Math.round(between(random, 900, 1700));
  const photo = ['photo', 'desk-margin', 'desk-sheet', 'curl'].includes(kind);
  let margin = between(random, 0.06, 0.35);
  if (kind === 'crop') margin = between(random, 0, 0.006);
  if (kind === 'cut') margin = between(random, -0.0012, 0);
  if (kind === 'desk-sheet') margin = 0;
  const originX = Math.round(
    unitPx * margin * (kind === 'crop' || kind === 'cut' || kind === 'desk-sheet' ? 1 : between(random, 0.5, 1.5)),
  );
  const originY = Math.round(
    unitPx * margin * (kind === 'crop' || kind === 'cut' || kind === 'desk-sheet' ? 1 : between(random, 0.5, 1.5)),
  );
  const pageWidth = Math.round(originX + unitPx * (1 + margin));
  const pageHeight = Math.round(originY + unitPx * (1 + margin));
  let ink: Scene['ink'] = pick(random, kind === 'dark' ? DARK_PALETTES : PALETTES);
  const paper =
    kind === 'dark'
      ? pick(random, ['#101014', '#1e1e2a', '#000000', '#2b2b2b'])
      : kind === 'scan' || photo || kind === 'hand'
        ? pick(random, ['#fbfaf4', '#f3ead2', '#ffffff', '#e8e6e0', '#dfe8ee'])
        : '#ffffff';
  if (kind === 'desk-sheet' || kind === 'noborder') ink = { ...ink, edge: null };
  const crease = between(random, 1.2, kind === 'hand' ? 5 : 7) * (unitPx / 1300);
  const edge = crease * between(random, 0.8, 2);
  const dashes = kind === 'dashed' || random() < 0.25;
  const d = between(random, 5, 16) * (unitPx / 1300);
  let under = '';
  let over = '';
  const fg = kind === 'dark' ? '#e0e0e0' : '#111111';
  if (kind === 'busy' || (random() < 0.4 && margin > 0.05)) {
    for (let k = 0; k < 4; k++) {
      const size = between(random, 0.015, 0.05) * unitPx;
      const top = random() < 0.5;
      const y = top
        ? originY * between(random, 0.3, 0.8)
        : originY + unitPx + (pageHeight - originY - unitPx) * between(random, 0.4, 0.95);
      over += words(random, between(random, 0, pageWidth * 0.8), y, Math.min(size, originY * 0.4), fg);
    }
    const ax = originX * 0.5;
    over += `<path d="M${ax} ${originY}V${originY + unitPx * 0.4}l-8 -14m8 14l8 -14" fill="none" stroke="${fg}" stroke-width="${crease}"/>`;
    over += `<circle cx="${originX + unitPx + (pageWidth - originX - unitPx) / 2}" cy="${originY + unitPx * 0.8}" r="${unitPx * margin * 0.2}" fill="#c04040"/>`;
  }
  if (kind === 'framed') {
    const f = originX * 0.25;
    over += `<rect x="${f}" y="${f}" width="${pageWidth - 2 * f}" height="${pageHeight - 2 * f}" fill="none" stroke="${fg}" stroke-width="${edge * between(random, 0.6, 1.8)}"/>`;
  }
  if (kind === 'squared') {
    const step = unitPx / pick(random, [16, 20, 24, 32]);
    const aligned = random() < 0.5;
    const ox = aligned ? originX % step : random() * step;
    const oy = aligned ? originY % step : random() * step;
    const colour = pick(random, ['#dfe4ea', '#cfe0f0', '#d8d8d8', '#e6d8d8']);
    for (let x = ox; x < pageWidth; x += step)
      under += `<path d="M${x} 0V${pageHeight}" stroke="${colour}" stroke-width="1.5"/>`;
    for (let y = oy; y < pageHeight; y += step)
      under += `<path d="M0 ${y}H${pageWidth}" stroke="${colour}" stroke-width="1.5"/>`;
  }
  // Camera: the page's corners on the picture.
  const long = Math.round(pick(random, [480, 640, 800, 1100, 1500, 2000, 2600]) * (photo ? 1.15 : 1));
  const aspect = pageWidth / pageHeight;
  let width = Math.round(Math.min(long, long * aspect));
  let height = Math.round(Math.min(long, long / aspect));
  let corners: Point[] = [
    [0, 0],
    [width, 0],
    [width, height],
    [0, height],
  ];
  const rotate =
    kind === 'rotated'
      ? between(random, -44, 44)
      : kind === 'scan' || kind === 'hand' || kind === 'framed'
        ? between(random, -3, 3)
        : photo
          ? between(random, -15, 15)
          : 0;
  const tilt = photo ? between(random, 0.02, kind === 'photo' ? 0.22 : 0.12) : 0;
  if (photo || kind === 'rotated') {
    width = long;
    height = Math.round(long * pick(random, [0.75, 1, 0.67]));
  }
  if (rotate !== 0 || photo) {
    const pageSize = Math.max(pageWidth, pageHeight);
    const a = (rotate * Math.PI) / 180;
    const fill = photo ? between(random, 0.62, 0.86) : kind === 'rotated' ? 0.7 : 1;
    const s =
      (Math.min(width, height) * fill) /
      (pageSize * (photo || kind === 'rotated' ? Math.abs(Math.cos(a)) + Math.abs(Math.sin(a)) : 1));
    const tx = between(random, -1, 1) * tilt;
    const ty = between(random, -1, 1) * tilt;
    corners = (
      [
        [-1, -1],
        [1, -1],
        [1, 1],
        [-1, 1],
      ] as const
    ).map(([u, v]): Point => {
      const x = (u * pageWidth * s) / 2;
      const y = (v * pageHeight * s) / 2;
      const w = 1 + tx * u + ty * v;
      const rx = (x * Math.cos(a) - y * Math.sin(a)) / w;
      const ry = (x * Math.sin(a) + y * Math.cos(a)) / w;
      return [width / 2 + rx, height / 2 + ry];
    });
  }
  return {
    drawing,
    width,
    height,
    unitPx,
    pageWidth,
    pageHeight,
    originX,
    originY,
    paper,
    ink,
    stroke: { edge, crease },
    dash: dashes
      ? { mountain: `${d * 1.6} ${d * 0.5} ${d * 0.25} ${d * 0.5}`, valley: `${d} ${d * 0.7}` }
      : { mountain: '', valley: '' },
    wobblePx: kind === 'hand' ? between(random, 0.5, 5) * (unitPx / 1300) : 0,
    overshootPx: kind === 'hand' ? between(random, 2, 22) * (unitPx / 1300) : 0,
    under,
    over,
    pageCorners: corners,
    curl: kind === 'curl' ? between(random, -0.03, 0.03) : 0,
    lens: photo ? between(random, -0.06, 0.06) : 0,
    desk: photo ? pick(random, ['dark', 'wood', 'light', 'grey', 'cloth'] as const) : 'none',
    shadow: photo ? between(random, 0, 0.35) : 0,
    lightSlope: photo || kind === 'scan' ? between(random, 0, 0.5) : 0,
    noise: kind === 'scan' || photo || kind === 'hand' ? between(random, 0.5, 7) : 0,
    blur: photo ? between(random, 0.3, 1.1) * (long / 1500) : 0,
    jpeg: random() < 0.6 ? Math.round(between(random, 38, 92)) : 0,
    seed,
  };
}
