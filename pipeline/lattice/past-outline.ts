/** Lines of the picture followed past the outline of the sheet, as far as the paper raster shows what lies there. */
import { sidesOf } from '../geometry/sides.ts';
import type { InkField } from '../ink/ink.ts';
import type { Segment } from '../strokes/segments.ts';
import type { Sheet } from '../types.ts';

/** A line is looked for outside from here on, stroke widths and px more: there the border's own ink ends. */
const OUTSIDE_WIDTHS = 1;
const OUTSIDE_PX = 2;
/** ... up to here, pattern units, where the sheet's raster ends. */
export const OUTSIDE_TO = 0.029;
/** A shorter way outside says nothing, px and stroke widths. */
const LEAST_OUTSIDE_PX = 5;
const LEAST_OUTSIDE_WIDTHS = 2;

/** A line nx x + ny y = off in paper px; positions on it are t = ny x - nx y. */
export interface PaperLine {
  readonly nx: number;
  readonly ny: number;
  readonly off: number;
}

export function lineThrough(ax: number, ay: number, bx: number, by: number): PaperLine {
  const length = Math.hypot(bx - ax, by - ay);
  const [nx, ny] = [-(by - ay) / length, (bx - ax) / length];
  return { nx, ny, off: nx * ax + ny * ay };
}

export const along = ({ nx, ny }: PaperLine, x: number, y: number): number => ny * x - nx * y;

/** Mean density on a line at a position, and beside it; null off the raster. */
function sampleAt({ nx, ny, off }: PaperLine, t: number, ink: InkField): { core: number; flank: number } | null {
  const half = Math.ceil(ink.strokeWidthPx / 2) + 1;
  let [core, flank] = [0, 0];
  for (let k = -half - FLANK_TO; k <= half + FLANK_TO; k++) {
    if (Math.abs(k) > half && Math.abs(k) <= half + FLANK_FROM) continue;
    const x = Math.floor(nx * (off + k) + ny * t);
    const y = Math.floor(ny * (off + k) - nx * t);
    if (x < 0 || y < 0 || x >= ink.width || y >= ink.height) return null;
    const i = 3 * (y * ink.width + x);
    const here = (ink.diff[i] + ink.diff[i + 1] + ink.diff[i + 2]) / 3;
    if (Math.abs(k) <= half) core += here / (2 * half + 1);
    else flank += here / (2 * (FLANK_TO - FLANK_FROM));
  }
  return { core, flank };
}

/** Paper beside a stroke is looked at this far from its edge, px. */
const FLANK_FROM = 1;
const FLANK_TO = 4;

/** Ink across a line, paper beside it taken off, that this share of a stretch does not exceed; NaN off the raster. */
export function inkAlong(line: PaperLine, from: number, to: number, ink: InkField, share = 0.5): number {
  const values: number[] = [];
  for (let t = from; t <= to; t++) {
    const here = sampleAt(line, t, ink);
    if (here) values.push(here.core - here.flank);
  }
  values.sort((a, b) => a - b);
  return values.length > 0 ? values[Math.floor(share * (values.length - 1))] : Number.NaN;
}

export function lineOf({ x, y, angle }: Segment): PaperLine {
  const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
  return { nx: -dy, ny: dx, off: dx * y - dy * x };
}

/** Where a line crosses an outline; null where it misses it. */
export type ChordOf = (line: PaperLine) => [number, number] | null;

/** Where lines cross the outline grown by `outPx`. */
export function chordsOf({ polygon, pxPerUnit, originPx }: Sheet, outPx: number): ChordOf {
  // A side's height above a place of a line, in paper px, is a + b t.
  const sides = sidesOf(polygon).map(({ nx, ny, off }) => ({
    hx: nx,
    hy: -ny,
    base: off * pxPerUnit + nx * originPx[0] - ny * originPx[1] - outPx,
  }));
  return ({ nx, ny, off }) => {
    let [from, to] = [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
    for (const { hx, hy, base } of sides) {
      const a = hx * nx * off + hy * ny * off - base;
      const b = hx * ny - hy * nx;
      if (Math.abs(b) < 1e-9) {
        if (a < 0) return null;
      } else if (b > 0) from = Math.max(from, -a / b);
      else to = Math.min(to, -a / b);
    }
    return to > from ? [from, to] : null;
  };
}

export function borderPx(ink: InkField): number {
  return OUTSIDE_WIDTHS * ink.strokeWidthPx + OUTSIDE_PX;
}

/** The stretches of a line past the outline, before it and after it, as far as there is paper; null where either is short. */
export function outsideOf(line: PaperLine, sheet: Sheet, ink: InkField, edge: number): [number, number][] | null {
  const near = chordsOf(sheet, borderPx(ink))(line);
  const far = chordsOf(sheet, OUTSIDE_TO * sheet.pxPerUnit)(line);
  if (!near || !far) return null;
  const least = Math.max(LEAST_OUTSIDE_PX, LEAST_OUTSIDE_WIDTHS * ink.strokeWidthPx);
  const ends = [-1, 1].map((sense, i): [number, number] => {
    let t = near[i];
    while (sense * (far[i] - t) > 0 && Math.abs(sampleAt(line, t, ink)?.flank ?? Number.POSITIVE_INFINITY) < edge)
      t += sense;
    return sense < 0 ? [t + 1, near[i]] : [near[i], t - 1];
  });
  return ends.every(([from, to]) => to - from >= least) ? ends : null;
}
