import { paperToPattern, patternToPaper } from '../../geometry/frames.ts';
import { sidesOf } from '../../report/style.ts';
import type { PaperPoint, PatternPoint } from '../../types.ts';
import type { Box } from '../work/view.ts';
import type { DeskState, Reading } from '../work/work.ts';

/** The paper that the stage shows: the straightened sheet, or blank paper under a pattern that came as a file. */
export interface Frame {
  readonly pxPerUnit: number;
  readonly originPx: PaperPoint;
  readonly widthPx: number;
  readonly heightPx: number;
}

const BLANK_PX_PER_UNIT = 1000;
const BLANK_MARGIN = 40;

export function frameOf({ sheet, pattern }: Reading): Frame {
  if (sheet) return sheet;
  const { width, height } = sidesOf(pattern);
  const side = (units: number) => units * BLANK_PX_PER_UNIT + 2 * BLANK_MARGIN;
  return {
    pxPerUnit: BLANK_PX_PER_UNIT,
    originPx: [BLANK_MARGIN, BLANK_MARGIN + height * BLANK_PX_PER_UNIT],
    widthPx: side(width),
    heightPx: side(height),
  };
}

export const boxOf = ({ widthPx, heightPx }: Frame): Box => ({ left: 0, top: 0, width: widthPx, height: heightPx });
export const toPaper = (frame: Frame, at: PatternPoint): PaperPoint => patternToPaper(frame, at);
export const toPattern = (frame: Frame, at: PaperPoint): PatternPoint => paperToPattern(frame, at);

/** Half the side of what is looked at around a place: two steps of the grid, pattern units. */
export function closeUp({ pattern: { lattice } }: DeskState): number {
  const divisions = lattice ? Math.max(lattice.divisionsX, lattice.divisionsY) : 0;
  return divisions > 0 ? Math.min(0.2, Math.max(0.04, 1.6 / divisions)) : 0.08;
}
