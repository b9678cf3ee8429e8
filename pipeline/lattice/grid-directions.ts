import type { StraightSegment } from './straight-segment.ts';

/** A direction of the grid: lines a x + b y = k * step. */
export interface GridDirection {
  readonly a: number;
  readonly b: number;
  readonly angle: number;
}

export const GRID_DIRECTIONS: readonly GridDirection[] = [
  { a: 0, b: 1, angle: 0 },
  { a: -1, b: 1, angle: Math.PI / 4 },
  { a: 1, b: 0, angle: Math.PI / 2 },
  { a: 1, b: 1, angle: (3 * Math.PI) / 4 },
];

/** Directions farther off than this are not the grid's; allows for a bent page. */
const ANGLE_SLACK = (3 * Math.PI) / 180;
/** Short segments have uncertain directions: slack grows by this over the length in px. */
const ANGLE_SLACK_PX = 0.8;

/** The grid direction of a segment, or -1. */
export function gridDirectionOf(s: Pick<StraightSegment, 'angle' | 'length'>, px: number): number {
  const slack = ANGLE_SLACK + Math.min(0.2, (ANGLE_SLACK_PX * px) / s.length);
  for (let d = 0; d < 4; d++) {
    let turn = Math.abs(s.angle - GRID_DIRECTIONS[d].angle);
    turn = Math.min(turn, Math.PI - turn);
    if (turn < slack) return d;
  }
  return -1;
}
