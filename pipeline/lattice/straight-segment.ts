/** A stroke segment in the pattern frame, the bend taken out. */
export interface StraightSegment {
  /** Middle of the segment. */
  readonly x: number;
  readonly y: number;
  /** Radians in [0, pi), y up. */
  readonly angle: number;
  readonly length: number;
}
