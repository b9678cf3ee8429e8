/** Ink along single pieces, as measured, without a picture behind it. */
import type { PieceInk } from '../../pipeline/kinds/measure.ts';

const FINE = 20;

/** Ink and gaps by turns, px, from `start` on, as area coverage gives it, blurred by a Gaussian. */
export function inkOf(lengths: readonly number[], start: number, size: number, blur: number): Float32Array {
  const period = lengths.reduce((sum, l) => sum + l, 0);
  const isInk = (at: number): boolean => {
    let rest = (((at + start) % period) + period) % period;
    for (let i = 0; i < lengths.length; i++) {
      if (rest < lengths[i]) return i % 2 === 0;
      rest -= lengths[i];
    }
    return false;
  };
  const reach = Math.ceil(4 * blur);
  const fine = Float64Array.from({ length: (size + 2 * reach) * FINE }, (_, k) => (isInk(k / FINE - reach) ? 1 : 0));
  return Float32Array.from({ length: size }, (_, s) => {
    let [sum, weight] = [0, 0];
    for (let k = s * FINE; k < (s + 2 * reach + 1) * FINE; k++) {
      const z = (k / FINE - reach - s - 0.5) / blur;
      const w = Math.exp((-z * z) / 2);
      sum += w * fine[k];
      weight += w;
    }
    return sum / weight;
  });
}

/** A piece with that ink along it, the number `at` of a drawing. */
export function pieceOf(ink: Float32Array, at: number): PieceInk {
  return {
    colour: [1, 1, 1],
    colourError: 0.01,
    strength: 2,
    crest: 0.8,
    beat: Uint8Array.from(ink, (v) => (v > 0.5 ? 1 : 0)),
    core: ink,
    ridge: null,
    net: null,
    ends: 0,
    middle: [(at * 0.618) % 1, (at * 0.371) % 1],
    samples: ink.length,
    change: null,
  };
}
