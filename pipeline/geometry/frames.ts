import type { PaperPoint, PatternPoint, Sheet } from '../types.ts';

/** Paper px (y down) to pattern units (y up). */
export function paperToPattern(sheet: Pick<Sheet, 'originPx' | 'pxPerUnit'>, p: PaperPoint): PatternPoint {
  return [(p[0] - sheet.originPx[0]) / sheet.pxPerUnit, (sheet.originPx[1] - p[1]) / sheet.pxPerUnit];
}

/** Pattern units (y up) to paper px (y down). */
export function patternToPaper(sheet: Pick<Sheet, 'originPx' | 'pxPerUnit'>, p: PatternPoint): PaperPoint {
  return [sheet.originPx[0] + p[0] * sheet.pxPerUnit, sheet.originPx[1] - p[1] * sheet.pxPerUnit];
}
