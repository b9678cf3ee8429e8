/**
 * rectify: the crease pattern's outline on the picture, and the sheet straightened to it.
 *
 * In: an upright RGB picture. Out: a paper raster with a small margin around the outline, the map back to the picture, and how the outline was
 * found. The outline is the drawn border where there is one.
 */
import { PlicaError } from '../errors.ts';
import { apply, homographyFrom } from '../geometry/homography.ts';
import type { Outline, PaperPoint, PatternPoint, Picture, PicturePoint, RecoverOptions, Sheet } from '../types.ts';
import { type Found, findOutline } from './outline.ts';
import { straighten } from './straighten.ts';

/** Margin around the outline, in sheet units. */
const MARGIN_UNITS = 0.03;
/** Paper px per px of the longest side on the picture: a little over 1 keeps what the picture resolves under perspective. */
const OVERSAMPLE = 1.25;
const LEAST_PX_PER_UNIT = 900;
const MOST_PX_PER_UNIT = 2000;
/** Small pictures are enlarged by at most this. */
const MOST_ENLARGED = 2;

/** A side is called drawn from this share of ink along it. */
const DRAWN_SUPPORT = 0.6;

/** Finds the outline and straightens the sheet; throws PlicaError 'no-pattern' when there is none. */
export function rectify(picture: Picture, options: RecoverOptions): Sheet {
  const found = options.corners ? null : findOutline(picture.raster);
  if (!options.corners && !found) {
    throw new PlicaError(
      'no-pattern',
      'no crease pattern found',
      'take the picture so that the whole outline of the sheet shows, or give its four corners',
    );
  }
  const corners = inPatternOrder(
    options.corners ? options.corners.map((p) => scaled(p, picture.scale)) : workingToPicture(found!),
  );
  const width = 1;
  const height = 1;
  const outline: Outline = {
    corners: corners.map((p): PicturePoint => [p[0] / picture.scale, p[1] / picture.scale]),
    how: found ? howFound(found) : 'given',
    width,
    height,
    probability: found ? 0.9 : 1,
    assumed: ['the sheet is square'],
  };
  return sheetFrom(picture, corners, width, height, outline);
}

/** The weakest ground that any side stands on. */
function howFound(found: Found): Outline['how'] {
  const bare = found.kinds.filter((_, k) => found.evidence.support[k] < DRAWN_SUPPORT);
  if (bare.length === 0) return 'drawn-border';
  if (bare.includes('picture')) return 'picture-edge';
  return bare.includes('sheet') ? 'sheet-edge' : 'outermost-ink';
}

function scaled(p: PicturePoint, k: number): PicturePoint {
  return [p[0] * k, p[1] * k];
}

function workingToPicture(found: Found): PicturePoint[] {
  const { scale, rim } = found.map;
  return found.corners.map((p): PicturePoint => [(p[0] - rim + 0.5) / scale, (p[1] - rim + 0.5) / scale]);
}

/** Counterclockwise on the sheet as it is seen, starting at the corner from which the side towards the next runs nearest to rightwards. */
function inPatternOrder(points: readonly PicturePoint[]): PicturePoint[] {
  const cx = points.reduce((s, p) => s + p[0], 0) / points.length;
  const cy = points.reduce((s, p) => s + p[1], 0) / points.length;
  // y points down: counterclockwise as seen is by falling screen angle.
  const ring = [...points].sort((p, q) => Math.atan2(q[1] - cy, q[0] - cx) - Math.atan2(p[1] - cy, p[0] - cx));
  let first = 0;
  let best = Number.NEGATIVE_INFINITY;
  ring.forEach((p, i) => {
    const q = ring[(i + 1) % ring.length];
    const rightward = (q[0] - p[0]) / Math.hypot(q[0] - p[0], q[1] - p[1]);
    if (rightward > best) {
      best = rightward;
      first = i;
    }
  });
  return ring.map((_, i) => ring[(first + i) % ring.length]);
}

function sheetFrom(
  picture: Picture,
  corners: readonly PicturePoint[],
  width: number,
  height: number,
  outline: Outline,
): Sheet {
  let longest = 0;
  corners.forEach((p, i) => {
    const q = corners[(i + 1) % corners.length];
    longest = Math.max(longest, Math.hypot(p[0] - q[0], p[1] - q[1]));
  });
  const wanted = Math.min(MOST_PX_PER_UNIT, Math.max(LEAST_PX_PER_UNIT, longest * OVERSAMPLE));
  const pxPerUnit = Math.round(Math.min(wanted, longest * MOST_ENLARGED));
  const margin = Math.round(MARGIN_UNITS * pxPerUnit);
  const originPx: PaperPoint = [margin, margin + height * pxPerUnit];
  const polygon: PatternPoint[] = [
    [0, 0],
    [width, 0],
    [width, height],
    [0, height],
  ];
  const onPaper = polygon.map((p): PaperPoint => [originPx[0] + p[0] * pxPerUnit, originPx[1] - p[1] * pxPerUnit]);
  const map = homographyFrom(onPaper, corners);
  const toPicture = (p: PaperPoint): PicturePoint => apply(map, p);
  const raster = straighten(picture.raster, toPicture, {
    width: Math.round(width * pxPerUnit) + 2 * margin,
    height: Math.round(height * pxPerUnit) + 2 * margin,
  });
  return { raster, pxPerUnit, originPx, width, height, polygon, toPicture, outline };
}
