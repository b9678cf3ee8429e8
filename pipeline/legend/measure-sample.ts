import type { InkField } from '../ink/ink.ts';
import type { Picture, Raster, Sheet } from '../types.ts';
import { type Box, flat } from './beside.ts';

/** What is known of the sheet's ink and paper. */
export type Ground = Pick<InkField, 'strokeWidthPx' | 'paperColour' | 'lightOnDark'>;

/** Ink along a sample, as it is measured along creases. */
export interface SampleInk {
  /** Paper minus ink as a share of the paper's light, three channels, summed across the stroke. */
  readonly colour: readonly [number, number, number];
  /** Upper quartile of the ink across the stroke: darkness times width, density px. */
  readonly strength: number;
  /** 1 where ink was met, one entry a px. */
  readonly beat: Uint8Array;
}

/** Beside the stroke so many px show the paper. */
const PAPER_PX = 4;
/** A blurred stroke goes on beyond what is seen of it by so many px. */
const BLUR_PX = 2;
/** A px holds ink if it has this share of the strong ones'. */
const INK_SHARE = 0.4;

/** @param sample paper px */
export function measureSample(picture: Picture, sheet: Sheet, sample: Box, ground: Ground): SampleInk {
  const { left, right, top, bottom } = sample;
  const reach = Math.ceil(Math.max(ground.strokeWidthPx, bottom - top) / 2) + BLUR_PX;
  const beyond = reach + PAPER_PX + 1;
  const middle = (top + bottom) / 2;
  const box = { left, right, top: middle - beyond, bottom: middle + beyond };
  const raster = flat({ raster: picture.raster, scale: 1 }, sheet, box, 1, ground.paperColour);
  const n = raster.width;
  const rows = new Float64Array(3 * n);
  const amount = new Float64Array(n);
  for (let s = 0; s < n; s++) {
    for (let c = 0; c < 3; c++) rows[3 * s + c] = inkAcross(raster, s, c, reach, ground.lightOnDark);
    amount[s] = Math.hypot(rows[3 * s], rows[3 * s + 1], rows[3 * s + 2]) / Math.sqrt(3);
  }
  const strength = [...amount].sort((a, b) => a - b)[Math.floor(0.75 * n)];
  const beat = Uint8Array.from(amount, (a) => (a > INK_SHARE * strength ? 1 : 0));
  const colour: [number, number, number] = [0, 0, 0];
  const inked = Math.max(
    1,
    beat.reduce((sum, b) => sum + b, 0),
  );
  for (let s = 0; s < n; s++) if (beat[s]) for (let c = 0; c < 3; c++) colour[c] += rows[3 * s + c] / inked;
  return { colour, strength, beat };
}

function inkAcross(
  { width, height, data }: Raster<Uint8Array>,
  x: number,
  c: number,
  reach: number,
  lightOnDark: boolean,
): number {
  const y = (height - 1) >> 1;
  const at = (row: number) => data[(row * width + x) * 3 + c];
  const beside: number[] = [];
  for (let k = 1; k <= PAPER_PX; k++) beside.push(at(y - reach - k), at(y + reach + k));
  const paper = beside.sort((a, b) => a - b)[PAPER_PX];
  let sum = 0;
  for (let row = y - reach; row <= y + reach; row++) {
    sum += lightOnDark ? (at(row) - paper) / Math.max(1, 255 - paper) : (paper - at(row)) / Math.max(1, paper);
  }
  return Math.max(0, sum);
}
