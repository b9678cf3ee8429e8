import { sidesOf } from '../geometry/sides.ts';
import type { Sheet } from '../types.ts';
import type { Carrier } from './carriers.ts';
import { shareSeen } from './runs.ts';

/**
 * The sides of the sheet as carriers of their own. Carriers that run along a side within about a stroke width are
 * taken to be that side's drawn border and go into it; free ones farther inside, where the side itself is not seen, too.
 */
export function borderCarriers(
  carriers: readonly Carrier[],
  sheet: Sheet,
  strokeWidth: number,
): { inner: Carrier[]; border: Carrier[] } {
  const px = 1 / sheet.pxPerUnit;
  const near = Math.max(2.5 * px, 1.5 * strokeWidth);
  const used = new Set<Carrier>();
  const border = sidesOf(sheet.polygon).map(({ from: corner, length, nx, ny, off, dx, dy }) => {
    const from = dx * corner[0] + dy * corner[1];
    const seen = new Uint8Array(Math.ceil(length / px) + 1);
    let residual = 0;
    for (const c of carriers) {
      const along = Math.abs(c.dx * dx + c.dy * dy);
      if (along < Math.cos(WAVER_TURN)) continue;
      const middle = (c.from + c.to) / 2;
      const mx = c.nx * c.off + c.dx * middle;
      const my = c.ny * c.off + c.dy * middle;
      const runsAlong = along >= Math.cos(2 * SIDE_TURN) && Math.abs(nx * mx + ny * my - off) <= near;
      if (!runsAlong && (c.grid || farthest(c, { nx, ny, off }, px) > near)) continue;
      used.add(c);
      residual = Math.max(residual, c.residual);
      for (let b = 0; b < c.seen.length; b++) {
        if (!c.seen[b]) continue;
        const t = c.from + b * px;
        const s = Math.round((dx * (c.nx * c.off + c.dx * t) + dy * (c.ny * c.off + c.dy * t) - from) / px);
        if (s >= 0 && s < seen.length) seen[s] = 1;
      }
    }
    const beside = new Float32Array(seen.length);
    return { nx, ny, off, dx, dy, grid: null, from, to: from + length, seen, beside, residual };
  });
  return { inner: carriers.filter((c) => !used.has(c) && !border.some((side) => fillsHole(c, side, px))), border };
}

/** A hand's border strays into the sheet by up to this, pattern units, at up to this turn, radians, ... */
const BORDER_STRAY = 0.012;
const BORDER_TURN = (5 * Math.PI) / 180;
/** ... and it is the border that strays, not a crease beside it, where at most this share of the side was seen, but most of it elsewhere. */
const UNSEEN = 0.2;
const DRAWN = 0.5;

/** Whether a free line lies where a drawn side has a hole: it is the side, drawn beside its place. */
function fillsHole(c: Carrier, side: Carrier, px: number): boolean {
  if (c.grid || Math.abs(c.dx * side.nx + c.dy * side.ny) > Math.sin(BORDER_TURN)) return false;
  if (farthest(c, side, px) > BORDER_STRAY) return false;
  let [from, to] = [Infinity, -Infinity];
  c.seen.forEach((seen, b) => {
    if (!seen) return;
    const t = c.from + b * px;
    const [x, y] = [c.nx * c.off + c.dx * t, c.ny * c.off + c.dy * t];
    const along = (side.dx * x + side.dy * y - side.from) / px;
    from = Math.min(from, along);
    to = Math.max(to, along);
  });
  return shareSeen(side.seen, from, to) <= UNSEEN && shareSeen(side.seen, 0, side.seen.length) >= DRAWN;
}

/** How far from a side the centre line of a carrier was seen at most, pattern units. */
function farthest(c: Carrier, { nx, ny, off }: Pick<Carrier, 'nx' | 'ny' | 'off'>, px: number): number {
  let most = 0;
  c.seen.forEach((seen, b) => {
    if (!seen) return;
    const t = c.from + b * px;
    most = Math.max(most, Math.abs(nx * (c.nx * c.off + c.dx * t) + ny * (c.ny * c.off + c.dy * t) - off));
  });
  return most;
}

/** A line along a side keeps within this of its direction, radians; a piece of its stroke that never leaves it may waver more. */
const SIDE_TURN = 0.02;
const WAVER_TURN = (10 * Math.PI) / 180;
