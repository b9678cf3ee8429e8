/** Sides without a border: the line on which creases end. */
import { type Curve, chordOf, offsetFrom, robustPolynomial } from './curve.ts';
import type { Marks } from './marks.ts';
import type { Network } from './networks.ts';

/** Two ends fix a line when they are this far apart, as a share of the side. */
const LEAST_SPAN = 0.3;
/** Ends this near to a line are on it: px, and share of the side. */
const ON_LINE_PX = 1.5;
const ON_LINE_SHARE = 0.002;
/** Ends tried in pairs. */
const MOST_ENDS = 60;

/**
 * The straight line near the side on which most creases that come from inside end, the outermost of equals (every pair of ends is tried, after
 * Fischler & Bolles 1981, then least squares); null for fewer than `fewest`.
 */
export function throughEnds(marks: Marks, network: Network, side: Curve, reach: number, fewest: number): Curve | null {
  const ts: number[] = [];
  const offs: number[] = [];
  for (const c of network.chains) {
    const chain = marks.chains[c];
    const a = offsetFrom(side, chain.ax, chain.ay);
    const b = offsetFrom(side, chain.bx, chain.by);
    const [outer, inner] = a.off > b.off ? [a, b] : [b, a];
    if (outer.t < -0.02 || outer.t > 1.02 || Math.abs(outer.off) > reach || inner.off > outer.off - 2 * reach) continue;
    ts.push(outer.t);
    offs.push(outer.off);
  }
  const near = Math.max(ON_LINE_PX, ON_LINE_SHARE * chordOf(side));
  const stride = Math.ceil(ts.length / MOST_ENDS);
  let best: number[] = [];
  let worth = 0;
  for (let i = 0; i < ts.length; i += stride) {
    for (let j = i + stride; j < ts.length; j += stride) {
      if (Math.abs(ts[j] - ts[i]) < LEAST_SPAN) continue;
      const slope = (offs[j] - offs[i]) / (ts[j] - ts[i]);
      const level = offs[i] - slope * ts[i];
      let on = 0;
      for (let k = 0; k < ts.length; k++) if (Math.abs(offs[k] - level - slope * ts[k]) < near) on++;
      // A quarter of an end for the outermost line of the searched band.
      const value = on + (0.25 * (level + slope / 2)) / reach;
      if (value > worth) {
        worth = value;
        best = ts.flatMap((t, k) => (Math.abs(offs[k] - level - slope * t) < near ? [k] : []));
      }
    }
  }
  if (best.length < fewest) return null;
  const bow = robustPolynomial(
    best.map((k) => ts[k]),
    best.map((k) => offs[k]),
    best.map(() => 1),
    1,
  );
  return bow.length > 1 ? { from: side.from, to: side.to, bow } : null;
}
