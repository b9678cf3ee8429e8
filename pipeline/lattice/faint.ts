import { sidesOf } from '../geometry/sides.ts';
import type { InkField } from '../ink/ink.ts';
import { keepRidges, type Ridges } from '../strokes/ridges.ts';
import { linkStrokes, type Strokes } from '../strokes/strokes.ts';
import type { Sheet } from '../types.ts';

/** A line with less than this share of the ink that this drawing's lines usually have may be no line of it. */
const FAINT = 0.4;
/** ... provided hardly any line is between faint and not, as a share of all length: uneven pencils and pale inks shade over. */
const BETWEEN = { from: 0.8 * FAINT, to: 1.2 * FAINT, share: 0.025 };
/** ... and the faint ones are few: a pale second ink draws more than this share of the length. */
const FEW = 0.25;
/** A stretch is judged over so many points each way, by ink that is rarely exceeded there: centre lines run through gaps of dashes. */
const REACH = 30;
const HIGH = 0.8;
/** Paper beside a stroke is looked at this far from its edge, px. */
const FLANK_FROM = 1;
const FLANK_TO = 4;

/**
 * The strokes without folds of the sheet itself, print of the other side, shadows: they have far less ink across them
 * than all other lines, and there are few of them. The same strokes where no such group stands apart.
 */
export function withoutFaint(strokes: Strokes, ink: InkField, sheet: Sheet): Strokes {
  const { ridges, segments } = strokes;
  const amount = new Float32Array(ridges.count).fill(-1);
  for (const s of segments) {
    const along = s.points.map((p) => p);
    const raw = Float32Array.from(along, (p) => inkAcross(ridges, p, s.angle, ink));
    for (let i = 0; i < along.length; i++) {
      const window = raw.slice(Math.max(0, i - REACH), i + REACH + 1).sort();
      amount[along[i]] = window[Math.floor(HIGH * (window.length - 1))];
    }
  }
  const inner = insideOf(ridges, sheet, 1.5 * ink.strokeWidthPx + 2);
  const sorted = amount.filter((v, p) => v >= 0 && inner[p]).sort();
  const usual = sorted[sorted.length >> 1] ?? 0;
  const below = (limit: number): number => sorted.findIndex((v) => v >= limit * usual) / sorted.length;
  const share = below(FAINT);
  if (!(share > 0 && share < FEW) || below(BETWEEN.to) - below(BETWEEN.from) > BETWEEN.share) return strokes;
  return linkStrokes(
    keepRidges(ridges, (p) => !inner[p] || amount[p] < 0 || amount[p] >= FAINT * usual),
    ink,
  );
}

/** Ink across a centre line at one of its points, paper beside it taken off: density px, root mean square of the channels. */
function inkAcross(ridges: Ridges, p: number, angle: number, ink: InkField): number {
  const half = Math.ceil(ink.strokeWidthPx / 2) + FLANK_FROM;
  const ux = -Math.sin(angle);
  const uy = Math.cos(angle);
  const sums = [new Float64Array(3), new Float64Array(3), new Float64Array(3)];
  for (let k = -half - FLANK_TO; k <= half + FLANK_TO; k++) {
    const x = Math.min(ink.width - 1, Math.max(0, Math.floor(ridges.x[p] + ux * k)));
    const y = Math.min(ink.height - 1, Math.max(0, Math.floor(ridges.y[p] + uy * k)));
    const sum = sums[k < -half ? 0 : k > half ? 2 : 1];
    for (let c = 0; c < 3; c++) sum[c] += ink.diff[(y * ink.width + x) * 3 + c];
  }
  const norm = (v: Float64Array): number => Math.hypot(v[0], v[1], v[2]);
  // A neighbouring line may lie on one flank: the barer one is paper.
  const paper = norm(sums[0]) < norm(sums[2]) ? sums[0] : sums[2];
  const scale = (2 * half + 1) / FLANK_TO;
  return Math.hypot(...sums[1].map((v, c) => v - scale * paper[c])) / Math.sqrt(3);
}

/** 1 for points farther inside the outline than `marginPx`. */
function insideOf(ridges: Ridges, sheet: Sheet, marginPx: number): Uint8Array {
  const px = 1 / sheet.pxPerUnit;
  const sides = sidesOf(sheet.polygon);
  return Uint8Array.from({ length: ridges.count }, (_, p) => {
    const x = (ridges.x[p] - sheet.originPx[0]) * px;
    const y = (sheet.originPx[1] - ridges.y[p]) * px;
    return sides.every(({ nx, ny, off }) => nx * x + ny * y - off > marginPx * px) ? 1 : 0;
  });
}
