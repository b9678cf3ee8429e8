/** Evidence across a side of the outline, pixel by pixel. */

/** A plane of evidence: a value a pixel, index frame (centre of pixel (i, j) is (i, j)). */
export interface Plane {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array;
  /** ink: a line is where values are high. step: a border is where values fall outward. */
  readonly reads: 'ink' | 'step';
}

/** Offsets are tried at this distance, px. */
export const OFFSET_PX = 0.75;
/** Evidence is averaged over so many px each way along the side. */
const ALONG_PX = 2;
/** A step of light is measured between points this far on each side of it, px. */
const STEP_HALF_PX = 2;

/** The evidence across a side at the place (x, y) of its chord, which runs along (ux, uy): at offsets about `bow`, of which the one numbered `middle` is on it. */
export function lookAcross(
  plane: Plane,
  x: number,
  y: number,
  ux: number,
  uy: number,
  bow: number,
  middle: number,
  into: Float32Array,
): void {
  // Outward normal for a polygon that runs clockwise on the screen (y down).
  const nx = uy;
  const ny = -ux;
  const readsInk = plane.reads === 'ink';
  const spare = readsInk ? 0 : STEP_HALF_PX;
  if (isWithin(plane, x, y, nx, ny, bow - middle * OFFSET_PX - spare, bow + middle * OFFSET_PX + spare)) {
    lookWithin(plane, x, y, ux, uy, bow, middle, into);
    return;
  }
  for (let k = 0; k < into.length; k++) {
    const off = bow + (k - middle) * OFFSET_PX;
    const [px, py] = [x + nx * off, y + ny * off];
    into[k] = readsInk ? alongMean(plane, px, py, ux, uy) : outwardFall(plane, px, py, nx, ny, ux, uy);
  }
}

/** Averaged along the side, so that crossing lines weigh less than lines that run with it. */
function alongMean(plane: Plane, x: number, y: number, ux: number, uy: number): number {
  const before = sample(plane, x - ALONG_PX * ux, y - ALONG_PX * uy);
  return (before + sample(plane, x, y) * 2 + sample(plane, x + ALONG_PX * ux, y + ALONG_PX * uy)) / 4;
}

function outwardFall(plane: Plane, x: number, y: number, nx: number, ny: number, ux: number, uy: number): number {
  const inner = alongMean(plane, x - STEP_HALF_PX * nx, y - STEP_HALF_PX * ny, ux, uy);
  return Math.max(0, inner - alongMean(plane, x + STEP_HALF_PX * nx, y + STEP_HALF_PX * ny, ux, uy));
}

/** True where nothing that is averaged from one offset to the other along the normal lies beyond the plane's pixels. */
function isWithin({ width, height }: Plane, x: number, y: number, nx: number, ny: number, low: number, high: number) {
  const [x0, x1] = [x + nx * low, x + nx * high];
  const [y0, y1] = [y + ny * low, y + ny * high];
  const spare = ALONG_PX + 1;
  return (
    Math.min(x0, x1) > spare &&
    Math.min(y0, y1) > spare &&
    Math.max(x0, x1) < width - 1 - spare &&
    Math.max(y0, y1) < height - 1 - spare
  );
}

/** `alongMean` or `outwardFall` at every offset, where all of it lies within the plane: most of the time that it takes to find an outline goes by here. */
function lookWithin(
  { width, data, reads }: Plane,
  x: number,
  y: number,
  ux: number,
  uy: number,
  bow: number,
  middle: number,
  into: Float32Array,
): void {
  const readsInk = reads === 'ink';
  for (let k = 0; k < into.length; k++) {
    const off = bow + (k - middle) * OFFSET_PX;
    const px = x + uy * off;
    const py = y - ux * off;
    if (readsInk) {
      into[k] = meanWithin(data, width, px, py, ux, uy);
      continue;
    }
    const inner = meanWithin(data, width, px - STEP_HALF_PX * uy, py + STEP_HALF_PX * ux, ux, uy);
    const outer = meanWithin(data, width, px + STEP_HALF_PX * uy, py - STEP_HALF_PX * ux, ux, uy);
    into[k] = Math.max(0, inner - outer);
  }
}

function meanWithin(data: Uint8Array, width: number, x: number, y: number, ux: number, uy: number): number {
  const before = between(data, width, x - ALONG_PX * ux, y - ALONG_PX * uy);
  const here = between(data, width, x, y);
  return (before + here * 2 + between(data, width, x + ALONG_PX * ux, y + ALONG_PX * uy)) / 4;
}

/** Bilinear value, 0 outside. */
function sample(plane: Plane, x: number, y: number): number {
  const { width, height, data } = plane;
  if (!(x >= -0.5 && y >= -0.5 && x <= width - 0.5 && y <= height - 0.5)) return 0;
  const cx = x < 0 ? 0 : Math.min(x, width - 1.001);
  const cy = y < 0 ? 0 : Math.min(y, height - 1.001);
  return between(data, width, cx, cy);
}

/** Bilinear value between four pixels of the plane. */
function between(data: Uint8Array, width: number, x: number, y: number): number {
  const ix = x | 0;
  const iy = y | 0;
  const fx = x - ix;
  const fy = y - iy;
  const i = iy * width + ix;
  const top = data[i] + (data[i + 1] - data[i]) * fx;
  const bottom = data[i + width] + (data[i + width + 1] - data[i + width]) * fx;
  return top + (bottom - top) * fy;
}
