/** Where in their period the strokes of one rhythm begin: many programs begin anew at every vertex. */
import { lengthOf, type Period, phasesOf, stretched, stretchesOf, type Wave, waveOf } from './periods.ts';

/** Ink along a piece, one entry a px, and the px left out at either end. */
export interface Stroke {
  readonly ink: Float32Array;
  readonly ends: number;
}

export interface Begins {
  /** Natural log of how likely a stretch is in this rhythm; of a whole piece, if it is one. */
  readonly likelihood: (stretch: Float32Array, whole: Stroke | null) => number;
}

/**
 * Programs that end each line on a whole dash or round its parts to whole px, and hands, stretch the period from line to line: a line of n periods by up to half of
 * one in n, at most so far, in steps that leave a stretch in step.
 */
const MOST_STRETCH = 1.2;
const STRETCH_STEPS = 24;
/** Stretches of ink with up to so many periods are tried in these steps, up to that many; with more, in single ones. */
const TRIED = [
  { periods: 4.5, step: 8, most: 24 },
  { periods: 9, step: 4, most: 12 },
  { periods: 18, step: 2, most: 12 },
  { periods: Infinity, step: 1, most: 12 },
] as const;

/** Steps by which the period is stretched on so many px, the likeliest first. */
function stepsOn(px: number, period: Period): number[] {
  const count = px / lengthOf(period);
  const { step, most } = TRIED.find(({ periods }) => count <= periods) as (typeof TRIED)[number];
  return Array.from({ length: (2 * most) / step + 1 }, (_, k) => (step * (k % 2 === 0 ? k : -k - 1)) / 2);
}

/** Parts of a period that are told apart, and pieces that begin anywhere before any are seen. */
const PARTS = 16;
const ANYWHERE = 12;

/** Learns where in the period pieces of one rhythm begin, at either end: a drawn stroke has one beginning. */
export function beginsOf(strokes: readonly Stroke[], period: Period, stretchLength: number, spread: number): Begins {
  const wave = waveOf(period);
  const stretchedBy = new Map<number, { own: Period; wave: Wave }>();
  const stretchedTo = (steps: number): { own: Period; wave: Wave } => {
    let known = stretchedBy.get(steps);
    if (!known) {
      const own = stretched(period, MOST_STRETCH ** (steps / STRETCH_STEPS));
      known = { own, wave: waveOf(own) };
      stretchedBy.set(steps, known);
    }
    return known;
  };
  const seen = new Float64Array(PARTS).fill(ANYWHERE / PARTS);
  for (const stroke of strokes) {
    const stretches = stretchesOf(stroke.ink, stretchLength);
    const [first, last] = [stretches[0], stretches[stretches.length - 1]];
    if (!first) continue;
    note(seen, phasesOf(first, wave, spread).weights, (p) => partBefore(period, wave, stroke.ends, p));
    note(seen, phasesOf(last, wave, spread).weights, (p) => partAfter(period, wave, last.length, stroke.ends, p));
  }
  const all = seen.reduce((sum, s) => sum + s, 0);
  const usual = seen.map((s) => (s * PARTS) / all);
  return {
    likelihood: (stretch, whole) => {
      const tried = stepsOn(stretch.length, period).map(stretchedTo);
      let best = -Infinity;
      const logs = tried.map(({ own, wave }) => {
        const { weights, scale } = phasesOf(stretch, wave, spread, best);
        best = Math.max(best, scale);
        let sum = 0;
        weights.forEach((w, p) => {
          const begins = whole
            ? (usual[partBefore(own, wave, whole.ends, p)] +
                usual[partAfter(own, wave, stretch.length, whole.ends, p)]) /
              2
            : 1;
          sum += w * begins;
        });
        return Math.log(sum / weights.length) + scale;
      });
      const most = Math.max(...logs);
      return most + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - most), 0) / logs.length);
    },
  };
}

function note(seen: Float64Array, weights: Float64Array, partAt: (p: number) => number): void {
  const sum = weights.reduce((s, w) => s + w, 0);
  weights.forEach((w, p) => {
    seen[partAt(p)] += w / sum;
  });
}

/** Part of the period in which the vertex before a stretch lies that begins at the wave's sample p. */
function partBefore(period: Period, { samples }: Wave, ends: number, p: number): number {
  const length = lengthOf(period);
  return partOf(((p + 0.5) * length) / samples - 0.5 - ends, length);
}

/** The same of the vertex after it, going backwards: a period looks alike from both ends of its dash. */
function partAfter(period: Period, { samples }: Wave, size: number, ends: number, p: number): number {
  const length = lengthOf(period);
  return partOf(period.dash - (((p + 0.5) * length) / samples - 0.5 + size + ends), length);
}

function partOf(at: number, length: number): number {
  const share = at / length - Math.floor(at / length);
  return Math.min(PARTS - 1, Math.floor(share * PARTS));
}
