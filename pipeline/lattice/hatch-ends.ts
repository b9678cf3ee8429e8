/** Where the lines of a hatching end, and what lies there. */
import type { InkField } from '../ink/ink.ts';
import type { Segment } from '../strokes/segments.ts';
import type { Strokes } from '../strokes/strokes.ts';
import { type AcrossInk, amountOf } from './stroke-ink.ts';

/** Creases have so many times the ink of the lines. */
const STRONGER = 1.5;
/** Lines stop short of creases by so much at most, stroke widths, and px more. */
const REACH_WIDTHS = 2;
const REACH_PX = 6;
/** A crease turns by more than this from what ends at it (sine of 9 degrees). */
const TURNED = 0.16;
/** Two strokes meet a crease in one place from both sides if their ways cross it this near, px. */
const SAME_PLACE_PX = 1.5;
/** A line crosses a crease where one lies on it farther than the reach from its ends. */
const ON_LINE_PX = 1;

export interface Surroundings {
  readonly ends: ReadonlyMap<Segment, readonly End[]>;
  /** Whether a piece runs across a crease. */
  readonly crosses: (piece: Segment) => boolean;
}

interface End {
  /** Where the way out of this end meets a crease, paper px; null where it does not. */
  readonly at: readonly [number, number] | null;
  /** Whether another stroke comes to that place from the other side. */
  readonly goesOn: boolean;
}

/** The least ink that creases have among lines of a hatching. */
export const leastOfCreases = ({ ink }: { readonly ink: AcrossInk }): number => STRONGER * amountOf(ink);

export function endsIn({ ends }: Surroundings, pieces: readonly Segment[]): End[] {
  return pieces.flatMap((s) => ends.get(s) ?? []);
}

/** The ends of all pieces, where strokes with more ink than a family's are creases. */
export function surroundingsOf(
  family: { readonly ink: AcrossInk },
  pieces: readonly (Segment & { readonly amount: number })[],
  { ridges }: Strokes,
  ink: InkField,
): Surroundings {
  const limit = leastOfCreases(family);
  const owner = new Int32Array(ridges.count).fill(-1);
  pieces.forEach((s, i) => {
    if (s.amount > limit) for (const p of s.points) owner[p] = i;
  });
  const reach = REACH_WIDTHS * ink.strokeWidthPx + REACH_PX;
  /** The crease at a place, or -1. */
  const creaseAt = (x: number, y: number, own: Segment): number => {
    const [cx, cy] = [Math.floor(x), Math.floor(y)];
    for (let j = Math.max(0, cy - 1); j <= Math.min(ridges.height - 1, cy + 1); j++) {
      for (let i = Math.max(0, cx - 1); i <= Math.min(ridges.width - 1, cx + 1); i++) {
        const p = ridges.at[j * ridges.width + i];
        if (p < 0 || owner[p] < 0 || pieces[owner[p]] === own) continue;
        if (Math.hypot(ridges.x[p] - x, ridges.y[p] - y) > ON_LINE_PX) continue;
        if (Math.abs(Math.sin(pieces[owner[p]].angle - own.angle)) > TURNED) return owner[p];
      }
    }
    return -1;
  };
  const wayOut = (s: Segment, sense: number) => {
    const [dx, dy] = [sense * Math.cos(s.angle), sense * Math.sin(s.angle)];
    for (let t = s.length / 2 - ink.strokeWidthPx; t < s.length / 2 + reach; t += 0.5) {
      const crease = creaseAt(s.x + t * dx, s.y + t * dy, s);
      if (crease < 0) continue;
      const { x, y, angle } = pieces[crease];
      // Where the two lines cross.
      const [nx, ny] = [-Math.sin(angle), Math.cos(angle)];
      const far = (nx * (x - s.x) + ny * (y - s.y)) / (nx * dx + ny * dy);
      return { at: [s.x + far * dx, s.y + far * dy] as const, side: nx * dx + ny * dy > 0 ? 1 : -1 };
    }
    return { at: null, side: 0 };
  };
  const outs = new Map(pieces.map((s) => [s, [wayOut(s, 1), wayOut(s, -1)]] as const));
  const cells = new Map<string, { at: readonly [number, number]; side: number }[]>();
  const keyOf = (x: number, y: number): string => `${Math.floor(x / SAME_PLACE_PX)},${Math.floor(y / SAME_PLACE_PX)}`;
  for (const { at, side } of [...outs.values()].flat()) {
    if (!at) continue;
    const cell = cells.get(keyOf(...at)) ?? [];
    cell.push({ at, side });
    cells.set(keyOf(...at), cell);
  }
  const goesOn = ({ at, side }: { at: readonly [number, number] | null; side: number }): boolean => {
    if (!at) return false;
    for (let right = -1; right <= 1; right++)
      for (let down = -1; down <= 1; down++)
        for (const other of cells.get(keyOf(at[0] + right * SAME_PLACE_PX, at[1] + down * SAME_PLACE_PX)) ?? [])
          if (other.side !== side && Math.hypot(other.at[0] - at[0], other.at[1] - at[1]) < SAME_PLACE_PX) return true;
    return false;
  };
  return {
    ends: new Map([...outs].map(([s, both]) => [s, both.map((end) => ({ at: end.at, goesOn: goesOn(end) }))])),
    crosses: (s) => {
      for (let t = reach - s.length / 2; t < s.length / 2 - reach; t += 0.5)
        if (creaseAt(s.x + t * Math.cos(s.angle), s.y + t * Math.sin(s.angle), s) >= 0) return true;
      return false;
    },
  };
}
