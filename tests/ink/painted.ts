/** Strokes painted on paper by exact area coverage, as an ink field and as pixels. Paper px, y down, pixel centres at .5. */

import type { InkField } from '../../pipeline/ink/ink.ts';
import type { Raster } from '../../pipeline/types.ts';

export type Point = readonly [number, number];
export type Colour = readonly [number, number, number];
/** A convex area of one colour. */
export interface Patch {
  readonly corners: readonly Point[];
  readonly colour: Colour;
}

export const BLACK: Colour = [0, 0, 0];
export const WHITE: Colour = [255, 255, 255];

/** A straight stroke with square ends exactly at `from` and `to`. */
export function bar(from: Point, to: Point, widthPx: number, colour: Colour = BLACK): Patch {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const [hx, hy] = [((to[1] - from[1]) / length) * (widthPx / 2), (-(to[0] - from[0]) / length) * (widthPx / 2)];
  const corners: Point[] = [
    [from[0] + hx, from[1] + hy],
    [to[0] + hx, to[1] + hy],
    [to[0] - hx, to[1] - hy],
    [from[0] - hx, from[1] - hy],
  ];
  return { corners, colour };
}

/** The inked parts of an interrupted stroke: ink, gap, ink, gap ... px, repeated. `startPx` is where in the rhythm it begins. */
export function dashes(from: Point, to: Point, rhythmPx: readonly number[], startPx = 0): [Point, Point][] {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const at = (t: number): Point => [
    from[0] + ((to[0] - from[0]) * t) / length,
    from[1] + ((to[1] - from[1]) * t) / length,
  ];
  const parts: [Point, Point][] = [];
  let t = -startPx;
  for (let k = 0; t < length; t += rhythmPx[k++ % rhythmPx.length]) {
    const end = Math.min(length, t + rhythmPx[k % rhythmPx.length]);
    if (k % 2 === 0 && end > Math.max(0, t)) parts.push([at(Math.max(0, t)), at(end)]);
  }
  return parts;
}

/** A disc as a polygon of so many sides that its rim is right to a hundredth of a px. */
export function disc(centre: Point, radiusPx: number, colour: Colour = BLACK): Patch {
  const corners = Array.from({ length: 180 }, (_, i): Point => {
    const angle = (2 * Math.PI * i) / 180;
    return [centre[0] + radiusPx * Math.cos(angle), centre[1] + radiusPx * Math.sin(angle)];
  });
  return { corners, colour };
}

/** sRGB values of the painted paper, three channels a pixel, unrounded: each patch covers what lies under it by its share of the pixel. */
export function paint(width: number, height: number, patches: readonly Patch[], paper: Colour = WHITE): Float32Array {
  const light = new Float32Array(width * height * 3);
  for (let i = 0; i < light.length; i++) light[i] = paper[i % 3];
  for (const { corners, colour } of patches) {
    const xs = corners.map((p) => p[0]);
    const ys = corners.map((p) => p[1]);
    const [left, right] = [Math.max(0, Math.floor(Math.min(...xs))), Math.min(width, Math.ceil(Math.max(...xs)))];
    const [top, bottom] = [Math.max(0, Math.floor(Math.min(...ys))), Math.min(height, Math.ceil(Math.max(...ys)))];
    for (let y = top; y < bottom; y++) {
      const row = between(between(corners, 1, y, 1), 1, y + 1, -1);
      if (row.length < 3) continue;
      for (let x = left; x < right; x++) {
        const share = areaOf(between(between(row, 0, x, 1), 0, x + 1, -1));
        if (share === 0) continue;
        for (let c = 0, i = (y * width + x) * 3; c < 3; c++, i++) light[i] += share * (colour[c] - light[i]);
      }
    }
  }
  return light;
}

/** The part of a polygon on one side of a line parallel to an axis (Sutherland & Hodgman 1974). */
function between(corners: readonly Point[], axis: 0 | 1, at: number, sense: 1 | -1): Point[] {
  const out: Point[] = [];
  for (let i = 0; i < corners.length; i++) {
    const [a, b] = [corners[i], corners[(i + 1) % corners.length]];
    const [da, db] = [sense * (a[axis] - at), sense * (b[axis] - at)];
    if (da >= 0) out.push(a);
    if (da >= 0 === db >= 0) continue;
    const t = da / (da - db);
    out.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
  }
  return out;
}

function areaOf(corners: readonly Point[]): number {
  let twice = 0;
  for (let i = 0; i < corners.length; i++) {
    const [a, b] = [corners[i], corners[(i + 1) % corners.length]];
    twice += a[0] * b[1] - b[0] * a[1];
  }
  return Math.abs(twice) / 2;
}

/** Painted paper as pixels; `grain` is added to all three channels of each pixel. */
export function pixels(width: number, light: Float32Array, grain: () => number = () => 0): Raster<Uint8Array> {
  const data = new Uint8Array(light.length);
  for (let i = 0; i < light.length; i += 3) {
    const g = grain();
    for (let c = 0; c < 3; c++) data[i + c] = Math.min(255, Math.max(0, Math.round(light[i + c] + g)));
  }
  return { width, height: light.length / 3 / width, channels: 3, data };
}

/** The ink field that the painting is, by definition: paper minus ink as a share of the paper's light. `noise` in density. */
export function fieldOf(
  width: number,
  light: Float32Array,
  widthPx: number,
  options: { readonly paper?: Colour; readonly noise?: number; readonly grain?: () => number } = {},
): InkField {
  const { paper = WHITE, noise = 0.004, grain = () => 0 } = options;
  const diff = new Float32Array(light.length);
  const density = new Float32Array(light.length / 3);
  for (let i = 0; i < density.length; i++) {
    let sum = 0;
    const g = grain();
    for (let c = 0; c < 3; c++) {
      const d = (paper[c] - light[i * 3 + c]) / paper[c] + g;
      diff[i * 3 + c] = d;
      if (d > 0) sum += d * d;
    }
    density[i] = Math.sqrt(sum / 3);
  }
  const crest = Math.min(1, widthPx);
  return {
    width,
    height: density.length / width,
    density,
    diff,
    line: density,
    ridge: { widthPx, crest, noise, palest: 0.06 },
    strokeWidthPx: widthPx,
    crest,
    noise,
    coloured: false,
    plain: false,
    paperColour: paper,
    lightOnDark: false,
  };
}
