import type { Raster } from '../../pipeline/types.ts';
import type { InverseMap } from './camera.ts';
import { toLight } from './light.ts';
import type { Ground } from './paper.ts';
import { scramble } from './random.ts';

/** What the lens sees, before the sensor: linear light, RGB. */
export interface Scene {
  /** sRGB page, page px. */
  readonly page: Raster;
  /** Picture -> page units (origin mid page, longest half side 1, y down), on the page's own surface. */
  readonly pageMap: InverseMap;
  /** Picture -> desk units, on the flat desk. */
  readonly deskMap: InverseMap;
  readonly ground: Ground;
  /** Gain at a picture px for the page (bend included) and for the desk; evaluated at map nodes only. */
  readonly lightAt: (x: number, y: number, onPage: boolean, u: number, v: number) => number;
  /** Shadow that the page throws on the desk: offset and softness in desk units, depth 0..1. */
  readonly shadow: { readonly x: number; readonly y: number; readonly soft: number; readonly depth: number };
  /** The page is a display: its pixels have dark gaps, and each is three stripes of red, green, blue or one lit square. `lensPx` is how far the lens spreads a point, picture px, above 1. */
  readonly pixelGrid?: {
    readonly stripes: boolean;
    readonly fillX: number;
    readonly fillY: number;
    readonly lensPx: number;
  };
}

/**
 * Resample the scene onto the picture. Each pixel averages a square of samples, so the page is filtered as a lens and sensor
 * would; within a pixel the map is taken as linear.
 */
export function shoot(scene: Scene, width: number, height: number): Raster<Float32Array> {
  const { page, pageMap, deskMap, pixelGrid } = scene;
  const half = Math.max(page.width, page.height) / 2;
  const side = pixelGrid ? SCREEN_SAMPLES : samplesPerPixel(pageMap, half, width, height);
  const offsets = sampleOffsets(side, pixelGrid?.lensPx ?? 1);
  const count = side * side;
  const out = new Float32Array(width * height * 3);
  const pageLight = lightNodes(scene, pageMap, true);
  const deskLight = lightNodes(scene, deskMap, false);
  const desk = new Float32Array(3);
  const sum = new Float32Array(3);
  const local = new Float64Array(6);
  const [midX, midY] = [page.width / 2, page.height / 2];
  const [limitX, limitY] = [page.width - 0.5, page.height - 0.5];
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const index = 3 * (y * width + x);
      linearMap(pageMap, x + 0.5, y + 0.5, local);
      // Stripes beat against a regular set of samples as well as against the pixels: moving the set about keeps the true beat only.
      const stir = pixelGrid ? scramble(index) : 0;
      const stirX = pixelGrid ? ((stir & 0xffff) / 65536 - 0.5) / side : 0;
      const stirY = pixelGrid ? ((stir >>> 16) / 65536 - 0.5) / side : 0;
      sum[0] = 0;
      sum[1] = 0;
      sum[2] = 0;
      let onPage = 0;
      for (let i = 0; i < side; i++) {
        const dy = offsets[i] + stirY;
        for (let j = 0; j < side; j++) {
          const dx = offsets[j] + stirX;
          const px = midX + half * (local[0] + local[1] * dx + local[2] * dy) - 0.5;
          const py = midY + half * (local[3] + local[4] * dx + local[5] * dy) - 0.5;
          if (px < -0.5 || py < -0.5 || px > limitX || py > limitY) continue;
          onPage++;
          if (pixelGrid) litPixel(page, pixelGrid, px + 0.5, py + 0.5, sum);
          else betweenPixels(page, px, py, sum);
        }
      }
      let red = sum[0];
      let green = sum[1];
      let blue = sum[2];
      if (onPage > 0) {
        const gain = mix(pageLight, cellOf(pageMap, x + 0.5, y + 0.5), 1, 0) / count;
        red *= gain;
        green *= gain;
        blue *= gain;
      }
      if (onPage < count) {
        const cell = cellOf(deskMap, x + 0.5, y + 0.5);
        const u = mix(deskMap.nodes, cell, 2, 0);
        const v = mix(deskMap.nodes, cell, 2, 1);
        scene.ground(u, v, desk);
        const gain = (1 - onPage / count) * mix(deskLight, cell, 1, 0) * shadowAt(scene, u, v);
        red += gain * toLight[clampByte(desk[0])];
        green += gain * toLight[clampByte(desk[1])];
        blue += gain * toLight[clampByte(desk[2])];
      }
      out[index] = red;
      out[index + 1] = green;
      out[index + 2] = blue;
    }
  }
  return { width, height, channels: 3, data: out };
}

/** Samples a side where a display's stripes must be resolved. */
const SCREEN_SAMPLES = 4;

/** Where samples fall along one axis, px from the pixel's centre: even over one pixel, or spread like a triangle by the lens. */
function sampleOffsets(side: number, lensPx: number): number[] {
  return Array.from({ length: side }, (_, i) => {
    const at = (i + 0.5) / side;
    if (lensPx === 1) return at - 0.5;
    const tail = Math.sqrt(2 * Math.min(at, 1 - at));
    return lensPx * (at < 0.5 ? tail - 1 : 1 - tail);
  });
}

/** The map around a picture px: u and its derivatives by x and y, then v and its, into `out`. */
function linearMap(map: InverseMap, x: number, y: number, out: Float64Array): void {
  const { node, columns, fx, fy } = cellOf(map, x, y);
  const { nodes, step } = map;
  for (let k = 0; k < 2; k++) {
    const a = nodes[2 * node + k];
    const b = nodes[2 * node + 2 + k];
    const c = nodes[2 * (node + columns) + k];
    const d = nodes[2 * (node + columns) + 2 + k];
    const upper = a + (b - a) * fx;
    const lower = c + (d - c) * fx;
    out[3 * k] = upper + (lower - upper) * fy;
    out[3 * k + 1] = ((b - a) * (1 - fy) + (d - c) * fy) / step;
    out[3 * k + 2] = (lower - upper) / step;
  }
}

/** Add the light of the page at (px, py), pixel centres at whole numbers, bilinear. */
function betweenPixels(page: Raster, px: number, py: number, sum: Float32Array): void {
  const { width, height, data } = page;
  const x0 = Math.min(width - 1, Math.max(0, Math.floor(px)));
  const y0 = Math.min(height - 1, Math.max(0, Math.floor(py)));
  const right = x0 + 1 < width ? 3 : 0;
  const down = y0 + 1 < height ? 3 * width : 0;
  const fx = Math.max(0, px - x0);
  const fy = Math.max(0, py - y0);
  const i = 3 * (y0 * width + x0);
  for (let c = 0; c < 3; c++) {
    const upper = toLight[data[i + c]] * (1 - fx) + toLight[data[i + right + c]] * fx;
    const lower = toLight[data[i + down + c]] * (1 - fx) + toLight[data[i + down + right + c]] * fx;
    sum[c] += upper * (1 - fy) + lower * fy;
  }
}

/** Light that leaks from a display's black. */
const BLACK_LEVEL = 0.004;

/** Add the light of a display at (px, py), pixels between whole numbers: nothing from the gaps, each colour from its own stripe. */
function litPixel(
  page: Raster,
  grid: NonNullable<Scene['pixelGrid']>,
  px: number,
  py: number,
  sum: Float32Array,
): void {
  const x = Math.min(page.width - 1, Math.max(0, Math.floor(px)));
  const y = Math.min(page.height - 1, Math.max(0, Math.floor(py)));
  const i = 3 * (y * page.width + x);
  const fx = px - x;
  const fy = py - y;
  if (Math.abs(fy - 0.5) > grid.fillY / 2) return;
  for (let c = 0; c < 3; c++) {
    const width = grid.stripes ? 1 / 3 : 1;
    const middle = grid.stripes ? (c + 0.5) / 3 : 0.5;
    if (Math.abs(fx - middle) > (width * grid.fillX) / 2) continue;
    // What the gaps take is given back, so that white stays white.
    sum[c] += (BLACK_LEVEL + toLight[page.data[i + c]]) / (width * grid.fillX * grid.fillY);
  }
}

function shadowAt({ page, shadow }: Scene, u: number, v: number): number {
  const half = Math.max(page.width, page.height) / 2;
  const away = Math.max(
    Math.abs(u - shadow.x) - page.width / 2 / half,
    Math.abs(v - shadow.y) - page.height / 2 / half,
  );
  return 1 - shadow.depth * Math.exp(-Math.max(0, away) / shadow.soft);
}

/** Page px under one picture px, near the middle, decides how many samples a side are needed. */
function samplesPerPixel(map: InverseMap, half: number, width: number, height: number): number {
  const a = { ...cellOf(map, width / 2, height / 2) };
  const b = cellOf(map, width / 2 + 1, height / 2);
  const du = mix(map.nodes, b, 2, 0) - mix(map.nodes, a, 2, 0);
  const dv = mix(map.nodes, b, 2, 1) - mix(map.nodes, a, 2, 1);
  return Math.min(5, Math.max(2, Math.round(1.2 * half * Math.hypot(du, dv))));
}

function lightNodes(scene: Scene, map: InverseMap, onPage: boolean): Float32Array {
  const light = new Float32Array(map.columns * map.rows);
  for (let i = 0; i < light.length; i++) {
    const [x, y] = [(i % map.columns) * map.step, Math.floor(i / map.columns) * map.step];
    light[i] = scene.lightAt(x, y, onPage, map.nodes[2 * i], map.nodes[2 * i + 1]);
  }
  return light;
}

interface Cell {
  /** Index of the upper left node. */
  node: number;
  columns: number;
  fx: number;
  fy: number;
}

/** One cell, written over: this runs for every sample of every pixel. */
const shared: Cell = { node: 0, columns: 0, fx: 0, fy: 0 };

function cellOf(map: InverseMap, x: number, y: number): Cell {
  const gx = x / map.step;
  const gy = y / map.step;
  const column = Math.min(map.columns - 2, Math.floor(gx));
  const row = Math.min(map.rows - 2, Math.floor(gy));
  shared.node = row * map.columns + column;
  shared.columns = map.columns;
  shared.fx = gx - column;
  shared.fy = gy - row;
  return shared;
}

function mix(values: Float32Array, cell: Cell, stride: number, offset: number): number {
  const { node, columns, fx, fy } = cell;
  const a = values[stride * node + offset];
  const b = values[stride * (node + 1) + offset];
  const c = values[stride * (node + columns) + offset];
  const d = values[stride * (node + columns + 1) + offset];
  const upper = a + (b - a) * fx;
  return upper + (c + (d - c) * fx - upper) * fy;
}

function clampByte(value: number): number {
  return value < 0 ? 0 : value > 255 ? 255 : Math.round(value);
}
