import type { Raster } from '../../pipeline/types.ts';
import type { Cap, Drawing, Mark, Rgb } from './drawing.ts';
import { letterStrokes } from './letters.ts';

/** Second way to pixels, independent of any SVG library: coverage from the distance of each pixel's centre to the stroke. */
export function drawByDistance(drawing: Drawing, blend: 'display' | 'light'): Raster {
  const { width, height, ground } = drawing;
  const data = new Uint8Array(width * height * 3);
  for (let i = 0; i < data.length; i += 3) {
    data[i] = ground[0];
    data[i + 1] = ground[1];
    data[i + 2] = ground[2];
  }
  const canvas: Canvas = { width, height, data, cover: new Float32Array(width * height), blend };
  for (const mark of drawing.marks) paint(canvas, mark);
  return { width, height, channels: 3, data };
}

interface Canvas {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
  /** Scratch: coverage of the mark at hand; zero between marks. */
  readonly cover: Float32Array;
  readonly blend: 'display' | 'light';
}

interface Box {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

function emptyBox(): Box {
  return { left: Number.POSITIVE_INFINITY, top: Number.POSITIVE_INFINITY, right: -1, bottom: -1 };
}

function paint(canvas: Canvas, mark: Mark): void {
  const box = emptyBox();
  switch (mark.mark) {
    case 'stroke':
      for (const run of dashRuns(mark.points, mark.dash, mark.dashOffset)) {
        const last = run.length / 2 - 2;
        for (let i = 0; i <= last; i++) {
          const startCap = i === 0 ? mark.cap : 'round';
          const endCap = i === last ? mark.cap : 'round';
          coverSegment(canvas, box, run, 2 * i, mark.width, mark.width, 1, 1, startCap, endCap);
        }
      }
      blendCover(canvas, box, mark.colour, mark.opacity);
      return;
    case 'hand':
      for (let i = 0; i + 1 < mark.points.length / 2; i++) {
        const { widths, opacities } = mark;
        const [w0, w1, o0, o1] = [widths[i], widths[i + 1], opacities[i], opacities[i + 1]];
        coverSegment(canvas, box, mark.points, 2 * i, w0, w1, o0, o1, 'round', 'round');
      }
      blendCover(canvas, box, mark.colour, 1);
      return;
    case 'shape':
      coverPolygon(canvas, box, mark.points);
      blendCover(canvas, box, mark.colour, mark.opacity);
      return;
    case 'text':
      for (const points of letterStrokes(mark)) {
        const width = mark.height * 0.13;
        for (let i = 0; i + 3 < points.length; i += 2)
          coverSegment(canvas, box, points, i, width, width, 1, 1, 'round', 'round');
      }
      blendCover(canvas, box, mark.colour, 1);
  }
}

/** Cut a polyline into its drawn lengths. */
export function dashRuns(points: readonly number[], dash: readonly number[], offset: number): number[][] {
  if (dash.length === 0) return [points.slice()];
  const period = dash.reduce((sum, part) => sum + part, 0);
  let at = ((offset % period) + period) % period;
  let index = 0;
  while (at >= dash[index]) {
    at -= dash[index];
    index = (index + 1) % dash.length;
  }
  let left = dash[index] - at;
  let drawn = index % 2 === 0;
  const runs: number[][] = [];
  let run: number[] = drawn ? [points[0], points[1]] : [];
  for (let i = 0; i + 3 < points.length; i += 2) {
    const [x0, y0, x1, y1] = [points[i], points[i + 1], points[i + 2], points[i + 3]];
    const length = Math.hypot(x1 - x0, y1 - y0);
    let done = 0;
    while (length - done > left) {
      done += left;
      const x = x0 + ((x1 - x0) * done) / length;
      const y = y0 + ((y1 - y0) * done) / length;
      if (drawn) {
        run.push(x, y);
        runs.push(run);
      }
      index = (index + 1) % dash.length;
      drawn = index % 2 === 0;
      run = drawn ? [x, y] : [];
      left = dash[index];
    }
    left -= length - done;
    if (drawn) run.push(x1, y1);
  }
  if (drawn && run.length >= 4) runs.push(run);
  return runs;
}

/** Coverage of one piece, tapering from w0 to w1; the larger coverage wins where pieces of one mark meet. */
function coverSegment(
  canvas: Canvas,
  box: Box,
  points: readonly number[],
  at: number,
  w0: number,
  w1: number,
  o0: number,
  o1: number,
  startCap: Cap,
  endCap: Cap,
): void {
  const { width, height, cover } = canvas;
  const [x0, y0, x1, y1] = [points[at], points[at + 1], points[at + 2], points[at + 3]];
  const dx = x1 - x0;
  const dy = y1 - y0;
  const length = Math.hypot(dx, dy);
  const ux = length > 0 ? dx / length : 1;
  const uy = length > 0 ? dy / length : 0;
  const half = Math.max(w0, w1) / 2;
  const reach = half + 1;
  const top = Math.max(0, Math.floor(Math.min(y0, y1) - reach));
  const bottom = Math.min(height - 1, Math.ceil(Math.max(y0, y1) + reach));
  const startOut = startCap === 'square' ? half : 0;
  const endOut = endCap === 'square' ? half : 0;
  // Thin lines: coverage is bounded by the width itself.
  for (let y = top; y <= bottom; y++) {
    const py = y + 0.5 - y0;
    let left = Math.min(x0, x1) - reach;
    let right = Math.max(x0, x1) + reach;
    if (Math.abs(uy) > 1e-6) {
      // On this row only a slanted band is near the line: |px * uy - py * ux| < reach.
      const middle = x0 + (py * ux) / uy;
      const spread = reach / Math.abs(uy);
      left = Math.max(left, middle - spread);
      right = Math.min(right, middle + spread);
    }
    const from = Math.max(0, Math.floor(left - 0.5));
    const to = Math.min(width - 1, Math.ceil(right));
    for (let x = from; x <= to; x++) {
      const px = x + 0.5 - x0;
      const along = px * ux + py * uy;
      const across = Math.abs(px * uy - py * ux);
      const t = length > 0 ? Math.min(1, Math.max(0, along / length)) : 0;
      const w = w0 + (w1 - w0) * t;
      let amount: number;
      const beyond = along < 0 ? -along : along - length;
      const cap = along < 0 ? startCap : endCap;
      if (beyond > 0 && cap === 'round') amount = stripCover(Math.hypot(across, beyond), w);
      else {
        amount = stripCover(across, w);
        const fromStart = along + startOut + 0.5;
        const fromEnd = length - along + endOut + 0.5;
        if (startCap !== 'round') amount *= Math.min(1, Math.max(0, fromStart));
        if (endCap !== 'round') amount *= Math.min(1, Math.max(0, fromEnd));
      }
      amount *= o0 + (o1 - o0) * t;
      const index = y * width + x;
      if (amount > cover[index]) {
        cover[index] = amount;
        if (x < box.left) box.left = x;
        if (x > box.right) box.right = x;
        if (y < box.top) box.top = y;
        if (y > box.bottom) box.bottom = y;
      }
    }
  }
}

/** Share of a pixel at this distance from the middle of a strip of this width. */
function stripCover(distance: number, width: number): number {
  const low = Math.max(distance - 0.5, -width / 2);
  const high = Math.min(distance + 0.5, width / 2);
  return high > low ? high - low : 0;
}

/** Sub-rows of a pixel row on which a polygon's spans are measured. */
const SUB_ROWS = 4;

/** Filled polygon (odd-even): exact span ends on a few sub-rows of every pixel row. */
function coverPolygon(canvas: Canvas, box: Box, points: readonly number[]): void {
  const { width, height, cover } = canvas;
  const xs = points.filter((_, i) => i % 2 === 0);
  const ys = points.filter((_, i) => i % 2 === 1);
  box.left = Math.max(0, Math.floor(Math.min(...xs)));
  box.right = Math.min(width - 1, Math.ceil(Math.max(...xs)));
  box.top = Math.max(0, Math.floor(Math.min(...ys)));
  box.bottom = Math.min(height - 1, Math.ceil(Math.max(...ys)));
  for (let row = box.top * SUB_ROWS; row < (box.bottom + 1) * SUB_ROWS; row++) {
    const y = (row + 0.5) / SUB_ROWS;
    const crossings: number[] = [];
    for (let i = 0, j = xs.length - 1; i < xs.length; j = i++) {
      if (ys[i] > y !== ys[j] > y) crossings.push(((xs[j] - xs[i]) * (y - ys[i])) / (ys[j] - ys[i]) + xs[i]);
    }
    crossings.sort((a, b) => a - b);
    const start = Math.floor(row / SUB_ROWS) * width;
    for (let k = 0; k + 1 < crossings.length; k += 2) {
      const from = Math.max(0, crossings[k]);
      const to = Math.min(width, crossings[k + 1]);
      for (let x = Math.floor(from); x < to; x++) {
        cover[start + x] += (Math.min(to, x + 1) - Math.max(from, x)) / SUB_ROWS;
      }
    }
  }
}

/** Lay the mark's colour over the page and clear the scratch. */
function blendCover(canvas: Canvas, box: Box, colour: Rgb, opacity: number): void {
  const { width, data, cover, blend } = canvas;
  for (let y = box.top; y <= box.bottom; y++) {
    for (let x = box.left; x <= box.right; x++) {
      const index = y * width + x;
      const share = Math.min(1, cover[index]) * opacity;
      if (share === 0) continue;
      cover[index] = 0;
      for (let c = 0; c < 3; c++) {
        const below = data[3 * index + c];
        const over = colour[c];
        data[3 * index + c] =
          blend === 'display'
            ? Math.round(below + (over - below) * share)
            : // Square law in place of the sRGB curve: near enough for mixing, and cheap.
              Math.round(Math.sqrt(below * below + (over * over - below * below) * share));
      }
    }
  }
}
