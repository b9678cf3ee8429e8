/** Stretches of the sheet's border that the network took for another mark, and the strokes that meet them there. */
import { patternToPaper } from '../geometry/frames.ts';
import type { Sheet } from '../types.ts';
import type { InkField } from './ink.ts';

/** A stroke has this share of the usual strokes' ink, so that it is no rim of one; ... */
const INKED = 0.4;
/** ... the network sees a line from this height of its ridge on, and overlooks one below the other. */
const SEEN = 0.6;
const OVERLOOKED = 0.4;
/** A side is drawn where ink runs along this share of it, and the network sees this share of that. */
const DRAWN_SHARE = 0.8;
const SEEN_SHARE = 0.5;
/** The border lies this near to the outline, px. */
const NEAR_PX = 3;
/** Strokes are followed so far from the stretch, pattern units. */
const REACH = 0.15;

/**
 * The field with the lines that the network lost around the border. A crease that cuts off a narrow corner makes a barb with it, which may pass for an arrow's
 * head; but the outline says where the border is, and on paper without grain its ink is no accident. Where it was overlooked, the ink is the line, and so
 * is that of the strokes that meet it there, up to where the network sees them again.
 *
 * @param sheet the field's own, with straight sides
 */
export function regainBorder(ink: InkField, sheet: Sheet): InkField {
  if (!ink.plain) return ink;
  const lost = sheet.polygon.flatMap((from, k) =>
    lostAlong(ink, patternToPaper(sheet, from), patternToPaper(sheet, sheet.polygon[(k + 1) % sheet.polygon.length])),
  );
  if (lost.length === 0) return ink;
  const line = Float32Array.from(ink.line);
  for (const i of strokesFrom(lost, ink, REACH * sheet.pxPerUnit)) {
    line[i] = Math.max(line[i], ink.ridge.crest * Math.min(1, smoothed(ink, i) / ink.crest));
  }
  return { ...ink, line };
}

/** Inked pixels along the side where the network sees no line; none unless the side is drawn and the network sees most of it. */
function lostAlong(ink: InkField, from: readonly [number, number], to: readonly [number, number]): number[] {
  const { width, height, density, line } = ink;
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const [ux, uy] = [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
  const lost: number[] = [];
  let [drawn, seen] = [0, 0];
  for (let t = 0; t <= length; t++) {
    let [darkest, ridge] = [-1, 0];
    for (let off = -NEAR_PX; off <= NEAR_PX; off++) {
      const x = Math.floor(from[0] + t * ux - off * uy);
      const y = Math.floor(from[1] + t * uy + off * ux);
      if (x < 0 || y < 0 || x >= width || y >= height) continue;
      const i = y * width + x;
      ridge = Math.max(ridge, line[i] / ink.ridge.crest);
      if (darkest < 0 || density[i] > density[darkest]) darkest = i;
    }
    if (darkest < 0 || density[darkest] < INKED * ink.crest) continue;
    drawn++;
    if (ridge > SEEN) seen++;
    else if (ridge < OVERLOOKED) lost.push(darkest);
  }
  return drawn > DRAWN_SHARE * length && seen > SEEN_SHARE * drawn ? lost : [];
}

/** The inked pixels that hang together with those given, as far as the network sees no line in them and no farther than `reach` from where they set out, px. */
function strokesFrom(lost: readonly number[], ink: InkField, reach: number): number[] {
  const { width, height, density, line } = ink;
  // Where each pixel was reached from.
  const start = new Map(lost.map((i) => [i, i]));
  const queue = [...start.keys()];
  for (let k = 0; k < queue.length; k++) {
    const i = queue[k];
    const from = start.get(i)!;
    const [x, y] = [i % width, Math.floor(i / width)];
    if (line[i] > SEEN * ink.ridge.crest || Math.hypot(x - (from % width), y - Math.floor(from / width)) > reach)
      continue;
    for (let v = Math.max(0, y - 1); v <= Math.min(height - 1, y + 1); v++) {
      for (let u = Math.max(0, x - 1); u <= Math.min(width - 1, x + 1); u++) {
        const j = v * width + u;
        if (start.has(j) || density[j] < INKED * ink.crest) continue;
        start.set(j, from);
        queue.push(j);
      }
    }
  }
  return queue;
}

/** Mean density around the pixel over a stroke's width each way: greatest on its centre line. */
function smoothed({ width, height, density, strokeWidthPx }: InkField, i: number): number {
  const reach = Math.max(1, Math.round((strokeWidthPx - 1) / 2));
  const [x, y] = [i % width, Math.floor(i / width)];
  let [sum, count] = [0, 0];
  for (let v = Math.max(0, y - reach); v <= Math.min(height - 1, y + reach); v++) {
    for (let u = Math.max(0, x - reach); u <= Math.min(width - 1, x + reach); u++) {
      sum += density[v * width + u];
      count++;
    }
  }
  return sum / count;
}
