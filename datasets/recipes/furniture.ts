import type { Convention } from './convention.ts';
import type { Mark, Placement, Rgb } from './drawing.ts';
import { placed } from './drawing.ts';
import type { Random } from './random.ts';

export interface FurnitureOrder {
  readonly width: number;
  readonly height: number;
  readonly at: Placement;
  readonly sides: { readonly width: number; readonly height: number };
  readonly convention: Convention;
  readonly pagePx: number;
  /** Divisions of the pattern's square grid; 0 for none. */
  readonly divisions: number;
}

/** Invented words only. */
const TITLES = [
  'Heron 3',
  'Paper Beetle',
  'crease pattern',
  'Moth, version 2',
  'Study No. 14',
  'CP - fold me',
  'Ridge Walker',
  'Long-eared hare',
  'Box pleat test',
  'Pond Turtle 24',
];
const LINES = [
  '32 x 32 grid',
  'mountain',
  'valley',
  'from one square',
  'page 7',
  'fig. 12',
  'colour side up',
  'scale 1:1',
  '35 cm paper',
];

/** Words, key, arrows and an invented sign in the white space beside the pattern; nothing touches the pattern. */
export function furnitureMarks(random: Random, order: FurnitureOrder): Mark[] {
  const { width, height, at, sides, convention } = order;
  const dark = convention.ground[0] < 128;
  const inkColour: Rgb = dark ? [210, 210, 214] : [40, 40, 44];
  const [left, bottom] = placed(at, 0, 0);
  const [right, top] = placed(at, sides.width, sides.height);
  const marks: Mark[] = [];
  const face = random.pick(['serif', 'sans-serif', 'monospace'] as const);
  const write = (text: string, x: number, y: number, size: number, angleRad = 0): void => {
    marks.push({ mark: 'text', text, x, y, height: size, colour: inkColour, face, angleRad });
  };
  const [above, below, beside] = [top, height - bottom, width - right];
  // Type must stay readable and clear of the outline: between a third and half of the band it stands in.
  const typeIn = (band: number): number => Math.min(0.05 * at.scale, band * random.range(0.25, 0.45));
  const legible = 6 * order.pagePx;
  if (typeIn(above) > legible && random.chance(0.75)) {
    const size = typeIn(above);
    write(random.pick(TITLES), random.pick([left, left + 0.3 * (right - left)]), top - 0.35 * above, size);
  }
  if (typeIn(below) > legible) {
    const size = Math.min(typeIn(below), 0.025 * at.scale);
    if (random.chance(0.6)) write(String(random.int(1, 240)), (left + right) / 2, bottom + 0.7 * below, size);
    if (random.chance(0.5)) write(random.pick(LINES), left, bottom + 0.5 * below, size);
    if (random.chance(0.35))
      marks.push(...keyMarks(random, order, left + 0.55 * (right - left), bottom + 0.5 * below, size));
  }
  if (beside > 0.06 * at.scale) {
    const middle = right + beside / 2;
    if (random.chance(0.4))
      write(random.pick(LINES), middle, bottom - 0.1 * at.scale, Math.min(0.02 * at.scale, 0.3 * beside), -Math.PI / 2);
    if (random.chance(0.5))
      marks.push(...arrowMarks(random, middle, top + random.range(0.2, 0.7) * (bottom - top), 0.3 * beside, inkColour));
  }
  if (order.divisions > 0 && random.chance(0.15)) marks.push(...axisMarks(order, Math.min(left, below), inkColour));
  if (left > 0.08 * at.scale && random.chance(0.4))
    marks.push(...signMarks(random, left / 2, bottom - 0.05 * at.scale, 0.28 * left));
  return marks;
}

/** Numbers of the divisions along the lower and the left side. */
function axisMarks({ at, sides, divisions, pagePx }: FurnitureOrder, band: number, colour: Rgb): Mark[] {
  const every = Math.ceil(divisions / 16);
  const step = sides.width / divisions;
  const size = Math.min(0.4 * band, 0.35 * every * step * at.scale);
  if (size < 6 * pagePx) return [];
  const marks: Mark[] = [];
  for (let i = 0; i * step <= 1 + 1e-9; i += every) {
    const text = String(i);
    const [x, y] = placed(at, i * step, 0);
    if (i * step <= sides.width + 1e-9) {
      marks.push({
        mark: 'text',
        text,
        x: x - 0.3 * size,
        y: y + 1.6 * size,
        height: size,
        colour,
        face: 'sans-serif',
        angleRad: 0,
      });
    }
    const [leftX, leftY] = placed(at, 0, i * step);
    if (i * step <= sides.height + 1e-9) {
      marks.push({
        mark: 'text',
        text,
        x: leftX - 2.1 * size,
        y: leftY + 0.5 * size,
        height: size,
        colour,
        face: 'sans-serif',
        angleRad: 0,
      });
    }
  }
  return marks;
}

/** A short sample of each ink with its word. */
function keyMarks(random: Random, order: FurnitureOrder, x: number, y: number, size: number): Mark[] {
  const marks: Mark[] = [];
  const samples = [
    ['mountain', order.convention.mountain],
    ['valley', order.convention.valley],
  ] as const;
  let at = x;
  for (const [word, ink] of samples) {
    const length = size * random.range(3, 4.5);
    marks.push({
      mark: 'stroke',
      points: [at, y - size / 2, at + length, y - size / 2],
      width: ink.width * order.pagePx,
      colour: ink.colour,
      opacity: 1,
      dash: ink.dash.map((part) => part * order.pagePx),
      dashOffset: 0,
      cap: ink.cap,
    });
    marks.push({
      mark: 'text',
      text: word,
      x: at + 1.15 * length,
      y,
      height: 0.8 * size,
      colour: [70, 70, 74],
      face: 'sans-serif',
      angleRad: 0,
    });
    at += length + 7 * size;
  }
  return marks;
}

/** A curved arrow with a solid head, as diagrams use for "fold over" and "turn over". */
export function arrowMarks(random: Random, x: number, y: number, size: number, colour: Rgb): Mark[] {
  const start = random.range(0, 2 * Math.PI);
  const sweep = random.pick([-1, 1]) * random.range(1.2, 2.6);
  const points: number[] = [];
  for (let i = 0; i <= 16; i++) {
    const angle = start + (sweep * i) / 16;
    points.push(x + size * Math.cos(angle), y + size * Math.sin(angle));
  }
  const end = start + sweep;
  const along = end + (Math.sign(sweep) * Math.PI) / 2;
  const [ex, ey] = [x + size * Math.cos(end), y + size * Math.sin(end)];
  const head = 0.45 * size;
  const corner = (turn: number, length: number): [number, number] => [
    ex + length * Math.cos(along + turn),
    ey + length * Math.sin(along + turn),
  ];
  return [
    {
      mark: 'stroke',
      points,
      width: Math.max(1, 0.09 * size),
      colour,
      opacity: 1,
      dash: [],
      dashOffset: 0,
      cap: 'round',
    },
    {
      mark: 'shape',
      points: [...corner(0, head), ...corner(2.2, 0.6 * head), ...corner(-2.2, 0.6 * head)],
      colour,
      opacity: 1,
    },
  ];
}

/** An invented sign: a polygon with a stroke through it. */
function signMarks(random: Random, x: number, y: number, size: number): Mark[] {
  const colour: Rgb = [random.int(20, 200), random.int(20, 160), random.int(20, 200)];
  const sides = random.int(3, 7);
  const turn = random.range(0, Math.PI);
  const points: number[] = [];
  for (let i = 0; i < sides; i++) {
    const angle = turn + (2 * Math.PI * i) / sides;
    points.push(x + size * Math.cos(angle), y + size * Math.sin(angle));
  }
  const bar = [x - 0.5 * size, y, x + 0.5 * size, y];
  return [
    { mark: 'shape', points, colour, opacity: random.range(0.5, 1) },
    {
      mark: 'stroke',
      points: bar,
      width: 0.18 * size,
      colour: [255, 255, 255],
      opacity: 1,
      dash: [],
      dashOffset: 0,
      cap: 'round',
    },
  ];
}

/** A few letters, numbers or arrows on the pattern, as diagrams point things out: small, and put down without regard to the creases. */
export function labelMarks(random: Random, order: Omit<FurnitureOrder, 'divisions'>): Mark[] {
  const { at, sides, convention, pagePx } = order;
  const dark = convention.ground[0] < 128;
  const colour: Rgb = dark
    ? [220, 220, 224]
    : random.pick([
        [30, 30, 34],
        [120, 120, 124],
        [200, 60, 40],
      ] as const);
  const size = Math.max(7 * pagePx, at.scale * random.range(0.012, 0.03));
  const marks: Mark[] = [];
  for (let i = random.int(1, 6); i > 0; i--) {
    const [x, y] = placed(at, random.range(0.1, 0.9) * sides.width, random.range(0.1, 0.9) * sides.height);
    if (random.chance(0.3)) marks.push(...arrowMarks(random, x, y, size * random.range(1, 2), colour));
    else {
      const text = random.pick(['A', 'B', 'C', '1', '2', '3', '14', 'x', 'head', 'flap']);
      marks.push({ mark: 'text', text, x, y, height: size, colour, face: 'sans-serif', angleRad: 0 });
    }
  }
  return marks;
}
