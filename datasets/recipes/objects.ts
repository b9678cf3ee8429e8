import type { PicturePoint, Raster } from '../../pipeline/types.ts';
import { toLight } from './light.ts';
import type { Random } from './random.ts';

/** Things that get into a photograph. Each is a bar from the picture's border inwards, round or flat, of one to three colours along it. */
interface Thing {
  readonly name: string;
  /** Width in shares of the picture's longest side. */
  readonly width: readonly [number, number];
  /** Square ends and no rounding; `ticks` puts a scale on it. */
  readonly flat?: 'plain' | 'ticks';
  readonly colours: readonly (readonly [number, number, number])[];
}

const THINGS: readonly Thing[] = [
  {
    name: 'pencil',
    width: [0.012, 0.02],
    colours: [
      [225, 170, 40],
      [225, 170, 40],
      [210, 180, 140],
    ],
  },
  {
    name: 'pen',
    width: [0.013, 0.022],
    colours: [
      [30, 40, 90],
      [30, 40, 90],
      [190, 190, 195],
    ],
  },
  { name: 'ruler', flat: 'ticks', width: [0.04, 0.07], colours: [[205, 200, 180]] },
  {
    name: 'finger',
    width: [0.06, 0.09],
    colours: [
      [205, 150, 120],
      [215, 160, 130],
      [225, 175, 150],
    ],
  },
  {
    name: 'dark finger',
    width: [0.06, 0.09],
    colours: [
      [95, 62, 46],
      [105, 70, 52],
      [135, 100, 84],
    ],
  },
  { name: 'phone', flat: 'plain', width: [0.12, 0.2], colours: [[22, 22, 25]] },
];

/** Lay up to three things at the border of the picture, none nearer to the pattern than its own width. Returns their names. */
export function strewObjects(random: Random, light: Raster<Float32Array>, outline: readonly PicturePoint[]): string {
  const { width, height } = light;
  const size = Math.max(width, height);
  const names: string[] = [];
  const count = random.weigh([
    [0, 6],
    [1, 3],
    [2, 1.5],
    [3, 0.5],
  ]);
  for (let i = 0; i < count; i++) {
    const thing = random.pick(THINGS);
    const thick = size * random.range(...thing.width);
    const border: PicturePoint = random.chance(0.5)
      ? [random.range(0, width), random.pick([0, height])]
      : [random.pick([0, width]), random.range(0, height)];
    const way = Math.atan2(height / 2 - border[1], width / 2 - border[0]) + random.range(-0.9, 0.9);
    const room = clearance(border, way, outline, 0.75 * thick, size);
    if (room < thick) continue;
    const tip: PicturePoint = [border[0] + room * Math.cos(way), border[1] + room * Math.sin(way)];
    const tail: PicturePoint = [border[0] - size * 0.2 * Math.cos(way), border[1] - size * 0.2 * Math.sin(way)];
    layBar(light, tail, tip, thick, thing, random.range(0.5, 1), thick * random.range(0.15, 0.5));
    names.push(thing.name);
  }
  return names.join(', ') || 'none';
}

/** How far one may go from the border before coming within `gap` of the outline or into it. */
function clearance(
  from: PicturePoint,
  way: number,
  outline: readonly PicturePoint[],
  gap: number,
  size: number,
): number {
  const step = size / 200;
  for (let s = 0; s < 0.45 * size; s += step) {
    const [x, y] = [from[0] + s * Math.cos(way), from[1] + s * Math.sin(way)];
    if (
      within(x, y, outline) ||
      outline.some(([ox, oy], i) => distance(x, y, [ox, oy], outline[(i + 1) % outline.length]) < gap + step)
    )
      return s - step;
  }
  return 0.45 * size;
}

function within(x: number, y: number, outline: readonly PicturePoint[]): boolean {
  let inside = false;
  outline.forEach(([ax, ay], i) => {
    const [bx, by] = outline[(i + 1) % outline.length];
    if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
  });
  return inside;
}

function distance(x: number, y: number, a: PicturePoint, b: PicturePoint): number {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const t = Math.min(1, Math.max(0, ((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy || 1)));
  return Math.hypot(x - a[0] - t * dx, y - a[1] - t * dy);
}

/** A bar, lit along its middle if it is round, and the shadow it throws. The shadow stays within the gap kept to the pattern. */
function layBar(
  light: Raster<Float32Array>,
  a: PicturePoint,
  b: PicturePoint,
  thick: number,
  { colours, flat }: Thing,
  shine: number,
  shadow: number,
): void {
  const { width, height, data } = light;
  const reach = thick / 2 + shadow;
  const [left, right] = [
    Math.max(0, Math.floor(Math.min(a[0], b[0]) - reach)),
    Math.min(width - 1, Math.ceil(Math.max(a[0], b[0]) + reach)),
  ];
  const [top, bottom] = [
    Math.max(0, Math.floor(Math.min(a[1], b[1]) - reach)),
    Math.min(height - 1, Math.ceil(Math.max(a[1], b[1]) + reach)),
  ];
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  for (let y = top; y <= bottom; y++) {
    for (let x = left; x <= right; x++) {
      const along = ((x + 0.5 - a[0]) * (b[0] - a[0]) + (y + 0.5 - a[1]) * (b[1] - a[1])) / length;
      const across = ((y + 0.5 - a[1]) * (b[0] - a[0]) - (x + 0.5 - a[0]) * (b[1] - a[1])) / length;
      const away = flat
        ? Math.max(Math.abs(across) - thick / 2, along - length)
        : distance(x + 0.5, y + 0.5, a, b) - thick / 2;
      if (away > shadow) continue;
      const i = 3 * (y * width + x);
      const cover = Math.min(1, Math.max(0, 0.5 - away));
      const shade = away > 0 ? 1 - 0.5 * (1 - away / shadow) : 0.5;
      // The tip is the last tenth.
      const part =
        along > 0.95 * length ? colours.length - 1 : along > 0.9 * length ? Math.min(1, colours.length - 1) : 0;
      const round = flat ? 0.5 : 1 - 0.6 * Math.min(1, Math.max(0, 1 + (2 * away) / thick)) ** 2;
      const tick = flat === 'ticks' && across > 0.3 * thick && (along / thick) % 0.1 < 0.02 ? 0.25 : 1;
      for (let c = 0; c < 3; c++) {
        const own = toLight[colours[part][c]] * (0.4 + shine * round) * tick;
        data[i + c] = cover * own + (1 - cover) * data[i + c] * shade;
      }
    }
  }
}
