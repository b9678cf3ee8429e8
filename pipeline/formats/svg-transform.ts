import { numbersOf } from './svg-path.ts';

/** x' = a x + c y + e, y' = b x + d y + f, as SVG's matrix(a b c d e f). */
export type Affine = readonly [a: number, b: number, c: number, d: number, e: number, f: number];

export const IDENTITY: Affine = [1, 0, 0, 1, 0, 0];

/** First `inner`, then `outer`. */
export function compose(outer: Affine, inner: Affine): Affine {
  const [a, b, c, d, e, f] = outer;
  const [p, q, r, s, t, u] = inner;
  return [a * p + c * q, b * p + d * q, a * r + c * s, b * r + d * s, a * t + c * u + e, b * t + d * u + f];
}

/** Side of a unit square's image of equal area: what stroke widths grow by. */
export function scaleOf([a, b, c, d]: Affine): number {
  return Math.sqrt(Math.abs(a * d - b * c));
}

/** A transform attribute (SVG 1.1, 7.6). Unknown parts count as no transform. */
export function parseTransform(text: string): Affine {
  let whole = IDENTITY;
  for (const [, name, values] of text.matchAll(/(\w+)\s*\(([^)]*)\)/g)) {
    whole = compose(whole, single(name, numbersOf(values)));
  }
  return whole;
}

function single(name: string, v: readonly number[]): Affine {
  const rad = ((v[0] ?? 0) * Math.PI) / 180;
  const [cos, sin, tan] = [Math.cos(rad), Math.sin(rad), Math.tan(rad)];
  switch (name) {
    case 'matrix':
      return v.length === 6 ? [v[0], v[1], v[2], v[3], v[4], v[5]] : IDENTITY;
    case 'translate':
      return [1, 0, 0, 1, v[0] ?? 0, v[1] ?? 0];
    case 'scale':
      return [v[0] ?? 1, 0, 0, v[1] ?? v[0] ?? 1, 0, 0];
    case 'rotate': {
      const [x, y] = [v[1] ?? 0, v[2] ?? 0];
      return [cos, sin, -sin, cos, x - x * cos + y * sin, y - x * sin - y * cos];
    }
    case 'skewX':
      return [1, 0, tan, 1, 0, 0];
    case 'skewY':
      return [1, tan, 0, 1, 0, 0];
    default:
      return IDENTITY;
  }
}
