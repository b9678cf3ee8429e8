import type { StrokeGraph } from '../graph/graph.ts';
import type { Odds } from '../types.ts';

/** Shares of vertices at which a drawing may break the law, all as likely as each other beforehand. */
const LAWLESS = [0.03, 0.1, 0.2, 0.35, 0.6];
/** Fewer creases never make a flat fold, but where a line was cut in two; more are a tangle, not a vertex. */
const LEAST_DEGREE = 4;
const MOST_DEGREE = 24;

/**
 * Natural log of how much likelier the vertices inside the sheet are if the pieces have these kinds than if kinds were
 * strewn by chance in the same numbers: Maekawa's theorem (Hull 1994), mountains less valleys are two either way. It needs
 * no exact places. Kinds that are all open give 0.
 */
export function lawEvidence(graph: StrokeGraph, odds: readonly Odds[]): number {
  const at: number[][] = graph.vertices.map(() => []);
  const isEdge = new Uint8Array(graph.vertices.length);
  const kinds = odds.map(({ mountain, valley, guide }) => {
    const all = mountain + valley + guide || 1;
    return [mountain / all, valley / all, guide / all] as const;
  });
  const mean: [number, number, number] = [0, 0, 0];
  graph.pieces.forEach(({ from, to, border }, i) => {
    for (const v of [from, to]) {
      at[v].push(i);
      if (border) isEdge[v] = 1;
    }
    if (!border) for (let k = 0; k < 3; k++) mean[k] += kinds[i][k];
  });
  const sum = mean[0] + mean[1] + mean[2] || 1;
  const usual = [mean[0] / sum, mean[1] / sum, mean[2] / sum] as const;
  const found = new Float64Array(LAWLESS.length);
  at.forEach((own, v) => {
    if (isEdge[v] || own.length < LEAST_DEGREE || own.length > MOST_DEGREE) return;
    const byChance = chanceOfMaekawa(own.map(() => usual));
    if (byChance < 1e-9) return;
    const gain = chanceOfMaekawa(own.map((i) => kinds[i])) / byChance;
    LAWLESS.forEach((share, k) => {
      found[k] += Math.log((1 - share) * gain + share);
    });
  });
  const most = Math.max(...found);
  return most + Math.log(found.reduce((s, f) => s + Math.exp(f - most), 0) / LAWLESS.length);
}

/** Probability that mountains less valleys are two either way, or that nothing folds; of each crease the chances of mountain, valley and guide. */
export function chanceOfMaekawa(kinds: readonly (readonly [number, number, number])[]): number {
  const n = kinds.length;
  // Probability of each difference, from -n to n, and of no fold at all.
  let ways = new Float64Array(2 * n + 1);
  ways[n] = 1;
  let none = 1;
  for (const [m, v, f] of kinds) {
    const next = new Float64Array(2 * n + 1);
    for (let d = 0; d <= 2 * n; d++) {
      if (ways[d] === 0) continue;
      next[d] += ways[d] * f;
      if (d < 2 * n) next[d + 1] += ways[d] * m;
      if (d > 0) next[d - 1] += ways[d] * v;
    }
    ways = next;
    none *= f;
  }
  return ways[n + 2] + ways[n - 2] + none;
}
