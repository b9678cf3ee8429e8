import type { Carrier } from './carriers.ts';
import type { MeantLine } from './meant-lines.ts';

/** Strokes of one line that follow each other within this, pattern units, are one stroke that a hand's waver broke. */
const BROKEN = 0.03;
/** Lines are one within the rounding of their derivation. */
const ROUNDING = 1e-5;

export interface Fused {
  readonly carriers: readonly Carrier[];
  readonly meant: readonly (MeantLine | null)[];
}

/**
 * Carriers that a hand meant as one line and that overlap, or follow each other closely, made one: it bowed, turned, or was drawn
 * twice. `px` is one paper px in pattern units.
 */
export function fuseMeant(carriers: readonly Carrier[], meant: readonly (MeantLine | null)[], px: number): Fused {
  const inOrder = carriers.map((c, i) => ({ c, line: meant[i], stretch: seenStretch(c, px) }));
  const done: { c: Carrier; line: MeantLine | null; stretch: Stretch | null }[] = [];
  for (const next of inOrder) {
    let own = next;
    for (let k = done.length - 1; k >= 0; k--) {
      const other = done[k];
      if (!own.line || !other.line || own.c.grid || other.c.grid || !isSame(own.line, other.line)) continue;
      if (!own.stretch || !other.stretch || !areNear(own.c, own.stretch, other.c, other.stretch)) continue;
      const c = fuse(own.c, other.c, px);
      own = { c, line: own.line, stretch: seenStretch(c, px) };
      done.splice(k, 1);
    }
    done.push(own);
  }
  return { carriers: done.map(({ c }) => c), meant: done.map(({ line }) => line) };
}

type Stretch = readonly [from: number, to: number];

function isSame(a: MeantLine, b: MeantLine): boolean {
  const sense = Math.sign(a.nx * b.nx + a.ny * b.ny);
  return Math.abs(a.nx * b.ny - a.ny * b.nx) < ROUNDING && Math.abs(a.off - sense * b.off) < ROUNDING;
}

function seenStretch({ seen, from }: Carrier, px: number): Stretch | null {
  const first = seen.indexOf(1);
  return first < 0 ? null : [from + first * px, from + seen.lastIndexOf(1) * px];
}

function areNear(a: Carrier, [a0, a1]: Stretch, b: Carrier, [b0, b1]: Stretch): boolean {
  const sense = Math.sign(a.dx * b.dx + a.dy * b.dy);
  const [low, high] = sense > 0 ? [b0, b1] : [-b1, -b0];
  return low < a1 + BROKEN && high > a0 - BROKEN;
}

/** One carrier through the centre line of both. */
function fuse(a: Carrier, b: Carrier, px: number): Carrier {
  const points = [...pointsOf(a, px), ...pointsOf(b, px)];
  const n = points.length;
  const [mx, my] = [0, 1].map((axis) => points.reduce((sum, p) => sum + p[axis], 0) / n);
  let [xx, xy, yy] = [0, 0, 0];
  for (const [x, y] of points) {
    xx += (x - mx) ** 2;
    xy += (x - mx) * (y - my);
    yy += (y - my) ** 2;
  }
  const angle = 0.5 * Math.atan2(2 * xy, xx - yy);
  const sense = Math.sign(Math.cos(angle) * a.dx + Math.sin(angle) * a.dy) || 1;
  const [dx, dy] = [sense * Math.cos(angle), sense * Math.sin(angle)];
  const [nx, ny] = [-dy, dx];
  const off = nx * mx + ny * my;
  const ends = [a, b].flatMap((c) =>
    [c.from, c.to].map((t) => dx * (c.nx * c.off + c.dx * t) + dy * (c.ny * c.off + c.dy * t)),
  );
  const [from, to] = [Math.min(...ends), Math.max(...ends)];
  const seen = new Uint8Array(Math.ceil((to - from) / px) + 1);
  const beside = new Float32Array(seen.length);
  let [sum, counted] = [0, 0];
  for (const [x, y] of points) {
    const miss = nx * x + ny * y - off;
    const bin = Math.round((dx * x + dy * y - from) / px);
    sum += miss * miss;
    counted++;
    for (let k = Math.max(0, bin - 1); k <= Math.min(seen.length - 1, bin + 1); k++) {
      if (seen[k] && Math.abs(beside[k]) <= Math.abs(miss)) continue;
      seen[k] = 1;
      beside[k] = miss;
    }
  }
  const residual = Math.sqrt(sum / Math.max(1, counted));
  return { nx, ny, off, dx, dy, grid: null, from, to, seen, beside, residual };
}

function pointsOf({ nx, ny, dx, dy, off, from, seen, beside }: Carrier, px: number): [number, number][] {
  const points: [number, number][] = [];
  seen.forEach((is, bin) => {
    if (!is) return;
    const t = from + bin * px;
    const across = off + beside[bin];
    points.push([nx * across + dx * t, ny * across + dy * t]);
  });
  return points;
}
