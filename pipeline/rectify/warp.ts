/**
 * The map from the sheet to the picture: a homography through the corners, or the view of a curled sheet where its sides bend as such a
 * sheet's do; and on top of it what the traced sides leave over, blended across the sheet (transfinite interpolation after Coons 1967), so
 * that curl and lens distortion go where the sides show them; or the view of a sheet that was folded once and opened again; or beside the sides alone, where the lines drawn on the sheet show that it is
 * flat and only its border was drawn by an unsteady hand.
 */
import { apply, type Homography, homographyFrom } from '../geometry/homography.ts';
import type { PatternPoint, PicturePoint } from '../types.ts';
import { curledView } from './curl.ts';
import { type Bow, evaluate, largestBow } from './curve.ts';
import { type OldFold, oldFold } from './old-fold.ts';
import { crookedness } from './straightness.ts';
import type { View } from './view.ts';

export interface SheetMap {
  /** Pattern frame to picture px. */
  readonly toPicture: (p: PatternPoint) => PicturePoint;
  readonly homography: Homography;
  /** Largest distance of a side from its chord, px, beyond what an old fold explains, and whether it is that of a curled sheet, or a hand's. */
  readonly mostBow: number;
  readonly isExplained: boolean;
  readonly isByHand: boolean;
  /** By how much the two planes of a sheet that was folded once and opened again are turned to each other, radians; missing where it was not. */
  readonly foldRad?: number;
  /** How far inner places may be off, px, where that is known or a fold may be there. */
  readonly spreadPx?: number;
}

/**
 * `polygon` in the pattern frame and `corners` on the picture correspond one to one, counterclockwise on the sheet; `bows[i]` belongs to the
 * side from corner i to the next, positive outward. More than four corners are met in the least squares sense. `view` is the picture's
 * size, px; `lines` are points of lines on the sheet that are straight on paper, line by line; `points` are those of each side as it was seen, if they were traced.
 */
export function sheetMap(
  polygon: readonly PatternPoint[],
  corners: readonly PicturePoint[],
  bows: readonly Bow[],
  view: View,
  lines: readonly PicturePoint[][] = [],
  points: readonly (readonly PicturePoint[])[] = [],
): SheetMap {
  const homography = throughCorners(polygon, corners);
  const mostBow = Math.max(0, ...bows.map(largestBow));
  const n = polygon.length;
  const sides = polygon.map((a, i) => {
    const b = polygon[(i + 1) % n];
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const p = corners[i];
    const q = corners[(i + 1) % n];
    const chord = Math.hypot(q[0] - p[0], q[1] - p[1]);
    return {
      a,
      ux: (b[0] - a[0]) / length,
      uy: (b[1] - a[1]) / length,
      length,
      p,
      q,
      // Counterclockwise as seen: outward is to the right of the travel, with y down.
      nx: -(q[1] - p[1]) / chord,
      ny: (q[0] - p[0]) / chord,
      chord,
      bow: bows[i],
    };
  });
  const flat: SheetMap['toPicture'] = (p) => apply(homography, p);
  const drawn = { polygon, corners, bows, points, view, lines, homography };
  if (mostBow < LEAST_BOW_PX) {
    const fold = oldFold(drawn, { toPicture: flat, curled: null });
    return { toPicture: flat, homography, mostBow, isExplained: true, isByHand: false, ...spreadOf(fold) };
  }
  const longest = Math.max(...sides.map(({ chord }) => chord));
  const curled = mostBow < LEAST_CURL * longest ? null : curledBase(polygon, corners, bows, mostBow, view);
  const alongSides =
    (base: SheetMap['toPicture'], reach?: number, left?: readonly Bow[]): SheetMap['toPicture'] =>
    (point) => {
      const at = base(point);
      let x = at[0];
      let y = at[1];
      for (let i = 0; i < n; i++) {
        const side = sides[i];
        const share = fade(sides, i, point, reach);
        if (share === 0) continue;
        const along = ((point[0] - side.a[0]) * side.ux + (point[1] - side.a[1]) * side.uy) / side.length;
        const t = along < 0 ? 0 : Math.min(along, 1);
        // Share of the chord on the picture that the foot of the point has there: perspective moves it.
        const foot = base([side.a[0] + side.ux * side.length * t, side.a[1] + side.uy * side.length * t]);
        const chordX = side.q[0] - side.p[0];
        const chordY = side.q[1] - side.p[1];
        const s =
          ((foot[0] - side.p[0]) * chordX + (foot[1] - side.p[1]) * chordY) / (chordX * chordX + chordY * chordY);
        const outward = (foot[0] - side.p[0]) * side.nx + (foot[1] - side.p[1]) * side.ny;
        const off = (left ? evaluate(left[i], s) : evaluate(side.bow, s) - outward) * share;
        x += side.nx * off;
        y += side.ny * off;
      }
      return [x, y];
    };
  const across = alongSides(curled ?? flat);
  const byHand = alongSides(flat, HAND_REACH);
  const isByHand = crookedness(byHand, homography, lines) < STRAIGHTER * crookedness(across, homography, lines);
  const smooth = isByHand ? byHand : across;
  const fold = oldFold(drawn, { toPicture: smooth, curled });
  if (fold?.ridge) {
    const { toPicture, left, turnRad } = fold.ridge;
    return {
      toPicture: alongSides(toPicture, undefined, left),
      homography,
      mostBow: Math.max(...left.map(largestBow)),
      isExplained: true,
      isByHand: false,
      foldRad: turnRad,
      spreadPx: fold.spreadPx,
    };
  }
  return {
    toPicture: smooth,
    homography,
    mostBow,
    isExplained: !isByHand && curled !== null,
    isByHand,
    ...spreadOf(fold),
  };
}

const spreadOf = (fold: OldFold | null): Pick<SheetMap, 'spreadPx'> => (fold ? { spreadPx: fold.spreadPx } : {});

/** The wobble of a hand along a side ends this far from it, pattern units. */
export const HAND_REACH = 0.08;
/** The sheet is flat and its border unsteady where that leaves less than this share of the lines' crookedness. */
const STRAIGHTER = 0.8;

/** Bows below this are flat, px: under what any later step can tell. */
const LEAST_BOW_PX = 0.3;

/** Sides that bend less than this share of the longest are left to the blending. */
const LEAST_CURL = 0.003;
/** The view of a curled sheet is believed where it leaves at most this share of the sides' largest bow, root mean square, or so many px. */
const CURL_LEAVES = 0.12;
const CURL_LEAVES_PX = 1;

/** Where the sides of a sheet with four corners or more bend as those of a curled sheet seen through a lens, that view. */
function curledBase(
  polygon: readonly PatternPoint[],
  corners: readonly PicturePoint[],
  bows: readonly Bow[],
  mostBow: number,
  view: View,
): SheetMap['toPicture'] | null {
  if (polygon.length < 4) return null;
  const curled = curledView(polygon, corners, bows, view);
  return curled && curled.missPx <= Math.max(CURL_LEAVES_PX, CURL_LEAVES * mostBow) ? curled.toPicture : null;
}

interface PatternSide {
  readonly a: PatternPoint;
  readonly ux: number;
  readonly uy: number;
}

/** 1 on side i, 0 on the sides that do not touch it, on a rectangle linear between opposite sides; or 0 from `reach` on. */
function fade(sides: readonly PatternSide[], i: number, p: PatternPoint, reach?: number): number {
  const depth = (k: number): number => {
    const side = sides[k];
    return -(p[0] - side.a[0]) * side.uy + (p[1] - side.a[1]) * side.ux;
  };
  const own = Math.max(0, depth(i));
  if (reach !== undefined) return Math.max(0, 1 - own / reach);
  const n = sides.length;
  let far = Number.POSITIVE_INFINITY;
  for (let k = 0; k < n; k++) {
    const gap = Math.min((k - i + n) % n, (i - k + n) % n);
    if (gap >= 2) far = Math.min(far, Math.max(0, depth(k)));
  }
  // A triangle has no far side: its opposite corner plays that part.
  if (far === Number.POSITIVE_INFINITY) {
    const tip = sides[(i + 2) % n].a;
    const side = sides[i];
    far = -(tip[0] - side.a[0]) * side.uy + (tip[1] - side.a[1]) * side.ux - own;
  }
  return own + far > 0 ? far / (own + far) : 0;
}

function throughCorners(polygon: readonly PatternPoint[], corners: readonly PicturePoint[]): Homography {
  if (polygon.length > 3) return homographyFrom(polygon, corners);
  // Three points fix an affinity: the fourth is where it puts the opposite corner of the parallelogram.
  const fourth = (p: readonly (readonly [number, number])[]): [number, number] => [
    p[0][0] + p[2][0] - p[1][0],
    p[0][1] + p[2][1] - p[1][1],
  ];
  return homographyFrom([...polygon, fourth(polygon)], [...corners, fourth(corners)]);
}
