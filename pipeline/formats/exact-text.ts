import { exact } from '../geometry/exact.ts';
import type { Exact } from '../types.ts';

const FRACTION = /^(-?\d+)(?:\/(\d+))?$/;
const WITH_ROOT = /^(?:(-?\d+)([+-]))?(-?)(\d*)√([23])$/;

/** Reads what `exactText` writes: 3/8, -1+√2, √2/2, (2-√2)/2. Null for anything else. */
export function parseExact(text: string): Exact | null {
  const fraction = FRACTION.exec(text);
  if (fraction) return build(Number(fraction[1]), Number(fraction[2] ?? 1), 0, 2);
  const [top, below, ...rest] = text.split('/');
  if (rest.length > 0) return null;
  const q = below === undefined ? 1 : /^\d+$/.test(below) ? Number(below) : Number.NaN;
  const bare = top.startsWith('(') && top.endsWith(')') ? top.slice(1, -1) : top;
  const parts = WITH_ROOT.exec(bare);
  if (!parts) return null;
  const [, whole = '0', join = '+', minus, times, root] = parts;
  const sign = (join === '-') !== (minus === '-') ? -1 : 1;
  return build(Number(whole), q, sign * Number(times || 1), root === '3' ? 3 : 2);
}

function build(p: number, q: number, r: number, root: 2 | 3): Exact | null {
  return [p, q, r].every(Number.isSafeInteger) && q > 0 ? exact(p, q, r, root) : null;
}
