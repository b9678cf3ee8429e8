/** Whether the folds around a vertex can lie flat by their directions alone: an even number, alternate angles equal. */
import type { Draft } from './draft.ts';

/** A fold as it leaves a vertex. */
export interface Ray {
  /** Radians in (-π, π]. */
  readonly angle: number;
  /** Standard deviation of the direction, radians. */
  readonly spread: number;
  readonly part: number;
}

/** Deviations up to so many spreads are measuring, radians at most so much. */
const SPREADS = 3;
const MOST_TOLERANCE = (4 * Math.PI) / 180;
const ROUNDING = 1e-9;

/** Which parts of a draft fold: creases that are present and no guides. */
export function folds(draft: Draft, part: number): boolean {
  const { present, kind, border } = draft.parts[part];
  return present && !border && kind !== 'F';
}

/** Direction of a part from one of its ends. */
export function rayOf(draft: Draft, part: number, vertex: number, placeSpread: number): Ray {
  const { from, to } = draft.parts[part];
  const far = from === vertex ? to : from;
  const [x, y] = draft.vertices[vertex];
  const [fx, fy] = draft.vertices[far];
  const length = Math.hypot(fx - x, fy - y);
  const open = (draft.exact[vertex] ? 0 : 1) + (draft.exact[far] ? 0 : 1);
  return {
    angle: Math.atan2(fy - y, fx - x),
    spread: length > 0 ? (placeSpread * Math.sqrt(open)) / length : Math.PI,
    part,
  };
}

/** Alternate angles less half a turn, and how far measuring may have moved that. */
export interface Deviation {
  readonly amount: number;
  readonly tolerance: number;
}

/**
 * How far a vertex is from equal alternate angles; null for an odd number of folds.
 *
 * @param rays sorted by angle
 * @param counts which parts fold; all by default
 * @param most the largest deviation that may be measuring, radians
 */
export function deviation(
  rays: readonly Ray[],
  counts: (part: number) => boolean = () => true,
  most = MOST_TOLERANCE,
): Deviation | null {
  let sum = 0;
  let square = 0;
  let count = 0;
  for (const { angle, spread, part } of rays) {
    if (!counts(part)) continue;
    sum += count % 2 === 0 ? -angle : angle;
    square += 4 * spread * spread;
    count++;
  }
  if (count % 2 === 1) return null;
  if (count === 0) return { amount: 0, tolerance: 0 };
  const turned = ((sum % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI);
  return { amount: turned - Math.PI, tolerance: Math.min(most, SPREADS * Math.sqrt(square)) + ROUNDING };
}

/** True where an even number of folds has equal alternate angles; no folds at all are sound too. Rays sorted by angle. */
export function isSound(rays: readonly Ray[], counts?: (part: number) => boolean): boolean {
  const d = deviation(rays, counts);
  return d !== null && Math.abs(d.amount) <= d.tolerance;
}

export function sortRays(rays: Ray[]): Ray[] {
  return rays.sort((a, b) => a.angle - b.angle);
}
