/** Ghosts: centre line that is only the blot of strokes known already. */
import type { FreeSegment } from '../lattice/free-lines.ts';
import type { StraightPoints } from '../lattice/straight-points.ts';

/** A ghost runs along its stroke, up to this turn (sine): a stroke that runs across another is one of its own. */
const GHOST_TURN = Math.sin((40 * Math.PI) / 180);

/** A carrier, pattern frame, or a side of the outline. */
export interface SeenLine {
  readonly nx: number;
  readonly ny: number;
  readonly off: number;
  readonly dx: number;
  readonly dy: number;
  readonly from: number;
  /** One bin a paper px, from `from`; null for what counts as seen all along. */
  readonly seen: Uint8Array | null;
}

/** Nothing but what is asked for point by point, so that all of them are alike. */
export function seenLine({ nx, ny, off, dx, dy, from, seen }: SeenLine): SeenLine {
  return { nx, ny, off, dx, dy, from, seen };
}

/** Share of the segments' points that lie on the seen stretches of the given lines, within `blot`. */
export function explainedShare(
  members: readonly FreeSegment[],
  points: StraightPoints,
  lines: readonly SeenLine[],
  blot: number,
  px: number,
): number {
  let all = 0;
  let explained = 0;
  for (const m of members) {
    const [ux, uy] = [Math.cos(m.angle), Math.sin(m.angle)];
    const alike = lines.filter((c) => Math.abs(ux * c.nx + uy * c.ny) <= GHOST_TURN);
    for (const p of m.points) {
      all++;
      for (const c of alike) {
        if (Math.abs(c.nx * points.x[p] + c.ny * points.y[p] - c.off) > blot) continue;
        const bin = Math.round((c.dx * points.x[p] + c.dy * points.y[p] - c.from) / px);
        if (!c.seen || (bin >= 0 && bin < c.seen.length && c.seen[bin])) {
          explained++;
          break;
        }
      }
    }
  }
  return explained / Math.max(1, all);
}
