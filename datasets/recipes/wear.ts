import type { Raster } from '../../pipeline/types.ts';
import type { Drawing, Mark } from './drawing.ts';
import { asSharp } from './file.ts';
import { valueNoise } from './light.ts';
import { drawByDistance } from './paintRoute.ts';
import type { Random } from './random.ts';

/** Specks and hairs on the glass. */
export function dustMarks(random: Random, width: number, height: number, pagePx: number): Mark[] {
  const marks: Mark[] = [];
  const count = random.chance(0.5) ? random.int(3, 40) : 0;
  for (let i = 0; i < count; i++) {
    const [x, y] = [random.range(0, width), random.range(0, height)];
    const level = random.range(90, 190);
    const hair = random.chance(0.12);
    const points = [x, y];
    let way = random.range(0, 2 * Math.PI);
    const steps = hair ? 8 : 1;
    const stride = (hair ? random.range(2, 5) : 0.4) * pagePx;
    for (let s = 0; s < steps; s++) {
      way += random.normal() * 0.4;
      points.push(points[2 * s] + stride * Math.cos(way), points[2 * s + 1] + stride * Math.sin(way));
    }
    marks.push({
      mark: 'stroke',
      points,
      width: (hair ? 0.8 : random.range(0.8, 2.5)) * pagePx,
      colour: [level, level, level],
      opacity: random.range(0.3, 0.9),
      dash: [],
      dashOffset: 0,
      cap: 'round',
    });
  }
  return marks;
}

/** The marks of earlier folds in a sheet that was opened out again: a bright and a dark line side by side, hardly there. */
export function foldMarks(random: Random, width: number, height: number, pagePx: number): Mark[] {
  const lines: number[][] = [];
  const parts = random.pick([2, 2, 4, 3]);
  for (let i = 1; i < parts; i++) {
    if (random.chance(0.8)) lines.push([(width * i) / parts, 0, (width * i) / parts, height]);
    if (random.chance(0.8)) lines.push([0, (height * i) / parts, width, (height * i) / parts]);
  }
  if (random.chance(0.4)) lines.push([0, 0, width, height]);
  if (random.chance(0.4)) lines.push([0, height, width, 0]);
  const depth = random.range(0.06, 0.2);
  const thick = random.range(1.2, 3.5) * pagePx;
  return lines.flatMap(([x0, y0, x1, y1]) => {
    const length = Math.hypot(x1 - x0, y1 - y0);
    const [nx, ny] = [(-(y1 - y0) / length) * thick, ((x1 - x0) / length) * thick];
    const line = (side: number, level: number, opacity: number): Mark => ({
      mark: 'stroke',
      points: [x0 + side * nx, y0 + side * ny, x1 + side * nx, y1 + side * ny],
      width: thick,
      colour: [level, level, level],
      opacity,
      dash: [],
      dashOffset: 0,
      cap: 'butt',
    });
    return [line(-0.5, 110, depth), line(0.5, 255, Math.min(1, 3 * depth))];
  });
}

/** What is printed on the back, seen faintly through the sheet: lines of words or another grid, mirrored and soft. In place. */
export async function addShowThrough(random: Random, raster: Raster): Promise<void> {
  const [width, height] = [Math.ceil(raster.width / 4), Math.ceil(raster.height / 4)];
  const marks: Mark[] = [];
  if (random.chance(0.6)) {
    const line = height / random.range(30, 55);
    for (let y = 0.08 * height; y < 0.92 * height; y += line) {
      for (let x = 0.08 * width; x < 0.9 * width; ) {
        const length = line * random.range(0.6, 3.5);
        marks.push(bar(x, y, x + length, y, 0.35 * line));
        x += length + 0.4 * line;
      }
    }
  } else {
    const step = width / random.range(8, 24);
    for (let x = 0.1 * width; x < 0.9 * width; x += step) marks.push(bar(x, 0.1 * height, x, 0.9 * height, 1.2));
    for (let y = 0.1 * height; y < 0.9 * height; y += step) marks.push(bar(0.1 * width, y, 0.9 * width, y, 1.2));
  }
  const drawing: Drawing = { width, height, ground: [255, 255, 255], marks };
  const { data } = await asSharp(drawByDistance(drawing, 'display'))
    .flop()
    .blur(random.range(0.6, 1.5))
    .resize(raster.width, raster.height, { fit: 'fill' })
    .raw()
    .toBuffer({ resolveWithObject: true });
  const share = random.range(0.03, 0.1);
  for (let i = 0; i < data.length; i++) raster.data[i] = Math.round(raster.data[i] * (1 - share * (1 - data[i] / 255)));
}

function bar(x0: number, y0: number, x1: number, y1: number, width: number): Mark {
  return {
    mark: 'stroke',
    points: [x0, y0, x1, y1],
    width,
    colour: [60, 60, 60],
    opacity: 1,
    dash: [],
    dashOffset: 0,
    cap: 'butt',
  };
}

/** Keep ink out of the paper's hollows, as pencils do. `share` of the ink is lost where the tooth is deepest. In place. */
export function grainInk(
  raster: Raster,
  ground: readonly [number, number, number],
  share: number,
  pagePx: number,
  seed: number,
): void {
  const { width, height, data } = raster;
  const fine = 0.75 / pagePx;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const i = 3 * (y * width + x);
      if (data[i] === ground[0] && data[i + 1] === ground[1] && data[i + 2] === ground[2]) continue;
      const tooth =
        0.5 + 0.5 * valueNoise(x * fine, y * fine, seed) + 0.35 * valueNoise(x * fine * 0.3, y * fine * 0.3, seed + 1);
      const kept = 1 - share * Math.min(1, Math.max(0, tooth));
      for (let c = 0; c < 3; c++) data[i + c] = Math.round(ground[c] + (data[i + c] - ground[c]) * kept);
    }
  }
}
