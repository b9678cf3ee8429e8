import type { InkField } from '../ink/ink.ts';
import { linkStrokes, type Strokes, tracedRidges } from './traced.ts';
import { withUnseen } from './unseen.ts';

export { linkStrokes, type Strokes } from './traced.ts';

/** Straight centre-line segments with sub-pixel positions from the ink of the straightened sheet. */
export function findStrokes(ink: InkField): Strokes {
  return withUnseen(linkStrokes(tracedRidges(ink), ink), ink);
}
