import type { Feature } from './features.ts';
import { type Hue, planeGap } from './hues.ts';
import type { Level } from './levels.ts';
import type { PieceInk } from './measure.ts';
import { type Beat, nameRhythm, poolBeats, type Rhythm } from './rhythm.ts';

/** One way of drawing creases that this picture uses. */
export interface Ink {
  /** Mean hue: paper minus ink, unit vector over the three channels. */
  readonly direction: readonly [number, number, number];
  /** Typical darkness times width, density px. */
  readonly strength: number;
  readonly crest: number;
  readonly rhythm: Rhythm;
  /** Probability that its rhythm has the right name, as its period tells; null where its holes and dots were counted only. */
  readonly named: number | null;
  /** Share of its creases' length that holds ink. */
  readonly filled: number;
  /** Share of the inner creases' length. */
  readonly share: number;
}

/** Pieces of one hue and strength. */
export interface Group {
  readonly hue: Hue;
  readonly level: Level;
  readonly levels: readonly Level[];
}

const BROAD = 0.02;
/** A colour of no ink is the nearest one's rather than the commonest one's, by the square of the distances from here on (Cauchy's tail). */
const FAR_HUE = 0.1;
/** Spread of the natural log of strength that a single px along a stroke has. */
const SAMPLE_SPREAD = 0.5;

/** Probability of each group of hue and strength; a broad share of doubt keeps far-off pieces honest. */
export function groupOdds(f: Feature, groups: readonly Group[]): Float64Array {
  const out = new Float64Array(groups.length);
  let sum = 0;
  groups.forEach((g, i) => {
    const s2 = g.hue.spread ** 2 + f.error ** 2;
    const d2 = planeGap(g.hue, f) ** 2;
    let v = g.level.share * g.hue.share * (Math.exp(-d2 / (2 * s2)) / s2 + BROAD / (1 + d2 / FAR_HUE ** 2));
    if (g.levels.length > 1) {
      const spread = Math.hypot(1.5 * g.level.spread, SAMPLE_SPREAD / Math.sqrt(Math.max(1, f.weight)));
      const z = (Math.log(Math.max(1e-3, f.strength)) - g.level.middle) / spread;
      v *= Math.exp((-z * z) / 2) / spread + BROAD;
    }
    out[i] = v;
    sum += v;
  });
  for (let i = 0; i < out.length; i++) out[i] = sum > 0 ? out[i] / sum : 1 / out.length;
  return out;
}

/** Inks `count` from the pieces `own` that are each likelier of them than not. */
export function describe(
  count: number,
  odds: readonly Float64Array[],
  own: readonly number[],
  pieces: readonly PieceInk[],
  features: readonly Feature[],
): Ink[] {
  const total = own.reduce((s, i) => s + features[i].weight, 0);
  return Array.from({ length: count }, (_, k) => {
    const sum = [0, 0, 0];
    let strength = 0;
    let crest = 0;
    let weight = 0;
    const beats: Beat[] = [];
    for (const i of own) {
      const w = odds[i][k] * features[i].weight;
      if (odds[i][k] < 0.5) continue;
      for (let c = 0; c < 3; c++) sum[c] += w * pieces[i].colour[c];
      strength += w * pieces[i].strength;
      crest += w * pieces[i].crest;
      weight += w;
      beats.push(features[i].beat);
    }
    const size = Math.hypot(sum[0], sum[1], sum[2]) || 1;
    const pool = poolBeats(beats);
    return {
      direction: [sum[0] / size, sum[1] / size, sum[2] / size],
      strength: strength / Math.max(weight, 1e-9),
      crest: crest / Math.max(weight, 1e-9),
      rhythm: nameRhythm(pool),
      named: null,
      filled: pool.filled,
      share: weight / Math.max(total, 1e-9),
    };
  });
}
