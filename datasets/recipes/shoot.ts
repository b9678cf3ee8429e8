import type { Raster } from '../../pipeline/types.ts';
import type { InverseMap } from './camera.ts';
import { toLight } from './light.ts';
import type { Ground } from './paper.ts';

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
}

/** Resample the scene onto the picture. Each pixel averages a square of samples, so the page is filtered as a lens and sensor would. */
export function shoot(scene: Scene, width: number, height: number): Raster<Float32Array> {
  const { page, pageMap, deskMap } = scene;
  const half = Math.max(page.width, page.height) / 2;
  const samples = samplesPerPixel(pageMap, half, width, height);
  const out = new Float32Array(width * height * 3);
  const pageLight = lightNodes(scene, pageMap, true);
  const deskLight = lightNodes(scene, deskMap, false);
  const desk = new Float32Array(3);
  const [midX, midY] = [page.width / 2, page.height / 2];
  const weight = 1 / (samples * samples);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const index = 3 * (y * width + x);
      let [red, green, blue] = [0, 0, 0];
      let onPage = 0;
      for (let s = 0; s < samples * samples; s++) {
        const sx = x + ((s % samples) + 0.5) / samples;
        const sy = y + (((s / samples) | 0) + 0.5) / samples;
        const cell = cellOf(pageMap, sx, sy);
        const px = midX + half * mix(pageMap.nodes, cell, 2, 0) - 0.5;
        const py = midY + half * mix(pageMap.nodes, cell, 2, 1) - 0.5;
        if (px < -0.5 || py < -0.5 || px > page.width - 0.5 || py > page.height - 0.5) continue;
        onPage++;
        const x0 = Math.min(page.width - 1, Math.max(0, Math.floor(px)));
        const y0 = Math.min(page.height - 1, Math.max(0, Math.floor(py)));
        const x1 = Math.min(page.width - 1, x0 + 1);
        const y1 = Math.min(page.height - 1, y0 + 1);
        const fx = Math.max(0, px - x0);
        const fy = Math.max(0, py - y0);
        const [i00, i10, i01, i11] = [
          3 * (y0 * page.width + x0),
          3 * (y0 * page.width + x1),
          3 * (y1 * page.width + x0),
          3 * (y1 * page.width + x1),
        ];
        const [w00, w10, w01, w11] = [(1 - fx) * (1 - fy), fx * (1 - fy), (1 - fx) * fy, fx * fy];
        const d = page.data;
        red += w00 * toLight[d[i00]] + w10 * toLight[d[i10]] + w01 * toLight[d[i01]] + w11 * toLight[d[i11]];
        green +=
          w00 * toLight[d[i00 + 1]] + w10 * toLight[d[i10 + 1]] + w01 * toLight[d[i01 + 1]] + w11 * toLight[d[i11 + 1]];
        blue +=
          w00 * toLight[d[i00 + 2]] + w10 * toLight[d[i10 + 2]] + w01 * toLight[d[i01 + 2]] + w11 * toLight[d[i11 + 2]];
      }
      if (onPage > 0) {
        const gain = weight * mix(pageLight, cellOf(pageMap, x + 0.5, y + 0.5), 1, 0);
        red *= gain;
        green *= gain;
        blue *= gain;
      }
      if (onPage < samples * samples) {
        const cell = cellOf(deskMap, x + 0.5, y + 0.5);
        const u = mix(deskMap.nodes, cell, 2, 0);
        const v = mix(deskMap.nodes, cell, 2, 1);
        scene.ground(u, v, desk);
        const share = 1 - onPage * weight;
        const gain = share * mix(deskLight, cell, 1, 0) * shadowAt(scene, u, v);
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
