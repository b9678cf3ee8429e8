/** Whether a grid holds the lines by chance. */
import type { Pitch } from './pitch.ts';
import type { StraightSegment } from './straight-segment.ts';

/**
 * Grids mimic the square root of 2: 12, 17, 29, 41, 58, 70, 82 and 99 divisions nearly hold the 22.5-degree family; and half
 * that of 3: 15, 22, 30 or 90 nearly hold triangles. Where a good share of the ink runs at odd multiples of 22.5 degrees, or
 * at multiples of 30 that are no right angles, a fine grid is taken for such a mimic. A fine grid that leaves many lines out
 * catches the others by chance.
 */
export function looksChance(pitch: Pitch, straight: readonly StraightSegment[], least: number): boolean {
  const lines = pitch.divisions * (pitch.halfUnits ? 2 : 1);
  if (FINE_EXPLAINED.some((fine) => lines >= fine.from && pitch.explained < fine.share)) return true;
  return MIMICKED.some(({ root, parts, isOwn, mostly }) => {
    const away = lines * root;
    const isNear = lines >= COARSE_MIMIC_FROM && Math.abs(away - Math.round(away)) <= COARSE_MIMIC;
    return shareAt(straight, least, parts, isOwn) > (lines >= MIMIC_FROM || isNear ? MIMIC_SHARE : mostly);
  });
}

/** Whether a good share of the ink runs at odd multiples of 22.5 degrees. */
export function runsAtEighths(straight: readonly StraightSegment[], least: number): boolean {
  return shareAt(straight, least, EIGHTHS.parts, EIGHTHS.isOwn) > MIMIC_SHARE;
}

/** Share of the ink that runs in directions of its own, whole numbers of so many parts of half a turn. */
function shareAt(
  straight: readonly StraightSegment[],
  least: number,
  parts: number,
  isOwn: (part: number) => boolean,
): number {
  let own = 0;
  let all = 0;
  for (const s of straight) {
    if (s.length < least) continue;
    all += s.length;
    const at = (s.angle / Math.PI) * parts;
    const nearest = Math.round(at);
    if (isOwn(nearest % parts) && (Math.abs(at - nearest) * Math.PI) / parts < MIMIC_SLACK) own += s.length;
  }
  return own / Math.max(all, 1e-9);
}

/**
 * What fine grids mimic: its irrational number, and the directions that tell it, parts of half a turn; where a larger share of the ink than `mostly` runs so there is
 * no square grid, however coarse.
 */
const EIGHTHS = { root: Math.SQRT2 - 1, parts: 8, isOwn: (part: number) => part % 2 === 1, mostly: 1 };
const SIXTHS = { root: Math.sqrt(3) / 2, parts: 6, isOwn: (part: number) => part % 3 !== 0, mostly: 0.5 };
const MIMICKED = [EIGHTHS, SIXTHS];
const MIMIC_FROM = 29;
/** Of the coarser ones only those that hold the square root of 2 to this share of a step. */
const COARSE_MIMIC_FROM = 12;
const COARSE_MIMIC = 0.07;
/** Grids of true drawings explain at least so much of their lines, the more the finer they are. */
const FINE_EXPLAINED = [
  { from: 20, share: 0.62 },
  { from: MIMIC_FROM, share: 0.8 },
];
const MIMIC_SHARE = 0.08;
/** Radians; about 2 degrees. */
const MIMIC_SLACK = (0.09 * Math.PI) / 8;
