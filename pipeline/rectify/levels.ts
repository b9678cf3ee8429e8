/** Contrasts that part strong lines from pale ones. */
import type { Marks } from './marks.ts';

/** Strong lines have at least this share of the contrast of the strongest ones, which make up STRONGEST_SHARE of all length. */
const STRONG_SHARE = 0.5;
const STRONGEST_SHARE = 0.03;

/**
 * Contrasts above which lines are looked at apart from paler ones: everything; half of the strongest; and the best cut in two classes (Otsu 1979), where those
 * differ. A pattern on squared paper is stronger than the squares.
 */
export function contrastLevels(marks: Marks): number[] {
  const lengths = new Float64Array(256);
  let total = 0;
  for (const c of marks.chains) {
    lengths[Math.min(255, c.contrast | 0)] += c.inkLength;
    total += c.inkLength;
  }
  let strongest = 255;
  for (let sum = lengths[255]; strongest > 0 && sum < STRONGEST_SHARE * total; sum += lengths[strongest]) strongest--;
  const cut = otsu(lengths, total);
  const levels = [0, STRONG_SHARE * strongest];
  if (levels.every((l) => Math.abs(l - cut) > 0.2 * cut)) levels.push(cut);
  return levels;
}

function otsu(weights: Float64Array, total: number): number {
  let all = 0;
  for (let v = 0; v < 256; v++) all += v * weights[v];
  let low = 0;
  let lowSum = 0;
  let best = 0;
  let cut = 0;
  for (let v = 0; v < 255; v++) {
    low += weights[v];
    lowSum += v * weights[v];
    if (low === 0 || low === total) continue;
    const gap = lowSum / low - (all - lowSum) / (total - low);
    const between = low * (total - low) * gap * gap;
    if (between > best) {
      best = between;
      cut = v + 1;
    }
  }
  return cut;
}
