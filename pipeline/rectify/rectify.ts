/**
 * rectify: the crease pattern's outline on the picture, and the sheet straightened to it.
 *
 * In: an upright RGB picture. Out: a paper raster with a small margin around the outline, the map back to the picture, and how the outline was
 * found. The outline is the drawn border where there is one, else the sheet's edge, the picture's edge, or the ends of the creases.
 */
import { PlicaError } from '../errors.ts';
import { paperToPattern, patternToPaper } from '../geometry/frames.ts';
import type { Outline, PaperPoint, PatternPoint, Picture, PicturePoint, RecoverOptions, Sheet } from '../types.ts';
import { givenOutline } from './given.ts';
import { findOutline } from './outline.ts';
import { inPatternOrder, type Ring, ringOf } from './ring.ts';
import { type Mark, type Shape, shapeOf } from './shape.ts';
import { straighten } from './straighten.ts';
import { sheetMap } from './warp.ts';
import { assumptions, howFound, outlineProbability } from './wording.ts';

export { straighten } from './straighten.ts';

/** Margin around the outline, in sheet units. */
const MARGIN_UNITS = 0.03;
/** Paper px per px of the longest side on the picture: a little over 1 keeps what the picture resolves under perspective. */
const OVERSAMPLE = 1.25;
const LEAST_PX_PER_UNIT = 900;
/** The first look is at so many: most patterns show all they have, in half the time. */
const FIRST_PX_PER_UNIT = 1250;
const MOST_PX_PER_UNIT = 2000;
/** Small pictures are enlarged by at most this. */
const MOST_ENLARGED = 2;

/** Finds the outline and straightens the sheet; throws PlicaError 'no-pattern' when there is none. */
export function rectify(picture: Picture, options: RecoverOptions): Sheet {
  if (options.corners) {
    const { ring, assumed } = givenOutline(picture, options.corners);
    const shape = shapeOf(ring.corners, [], picture.raster, options.paper);
    return sheetOf(picture, ring, shape, { how: 'given', probability: 1, assumed });
  }
  const found = findOutline(picture.raster);
  if (!found) {
    throw new PlicaError(
      'no-pattern',
      'no crease pattern found',
      'take the picture so that the whole outline of the sheet shows, or give its four corners',
    );
  }
  const ring = inPatternOrder(ringOf(found.sides, found.map));
  const { scale, rim } = found.map;
  const point = (x: number, y: number): PicturePoint => [(x - rim + 0.5) / scale, (y - rim + 0.5) / scale];
  const marks = found.network.chains.map((c): Mark => {
    const chain = found.marks.chains[c];
    return { a: point(chain.ax, chain.ay), b: point(chain.bx, chain.by) };
  });
  const shape = shapeOf(ring.corners, marks, picture.raster, options.paper);
  const sheet = sheetOf(picture, ring, shape, {
    how: howFound(found),
    probability: outlineProbability(found),
    assumed: assumptions(found),
  });
  return sheet;
}

/** Bows below this share of the side are not worth a word. */
const SAY_BOW_SHARE = 0.002;

function sheetOf(
  picture: Picture,
  ring: Ring,
  shape: Shape,
  ground: Pick<Outline, 'how' | 'probability' | 'assumed'>,
): Sheet {
  const { corners, bows } = ring;
  const { polygon, width, height, spread } = shape;
  let longest = 0;
  corners.forEach((p, i) => {
    const q = corners[(i + 1) % corners.length];
    longest = Math.max(longest, Math.hypot(p[0] - q[0], p[1] - q[1]));
  });
  const map = sheetMap(polygon, corners, bows, picture.raster);
  const bow = map.mostBow / longest;
  const wanted = Math.min(MOST_PX_PER_UNIT, Math.max(LEAST_PX_PER_UNIT, longest * OVERSAMPLE));
  const finestPx = Math.round(Math.min(wanted, longest * MOST_ENLARGED));
  const pxPerUnit = Math.min(finestPx, FIRST_PX_PER_UNIT);
  const outline: Outline = {
    corners: corners.map((p): PicturePoint => [p[0] / picture.scale, p[1] / picture.scale]),
    how: ground.how,
    width,
    height,
    probability: ground.probability * shape.probability,
    assumed: [...ground.assumed, ...shape.assumed, ...bowWords(bow)],
  };
  const unexplained = map.isExplained ? {} : { unexplainedBow: bow };
  return {
    ...paperOf(picture, map.toPicture, { width, height }, pxPerUnit),
    finestPx,
    width,
    height,
    polygon,
    bow,
    ...unexplained,
    ...(spread === undefined ? {} : { proportionSpread: spread }),
    outline,
  };
}

/** True where the picture shows more than the sheet. */
export function hasFiner({ pxPerUnit, finestPx = pxPerUnit }: Sheet): boolean {
  return finestPx > pxPerUnit;
}

/** The same sheet with all that the picture shows of it. */
export function finerSheet(picture: Picture, sheet: Sheet): Sheet {
  const { finestPx = sheet.pxPerUnit } = sheet;
  const toPicture = (p: PatternPoint): PicturePoint => sheet.toPicture(patternToPaper(sheet, p));
  return { ...sheet, ...paperOf(picture, toPicture, sheet, finestPx) };
}

/** The sheet of `width` by `height` units on paper of so many px a unit, with a margin around it. */
function paperOf(
  picture: Picture,
  onPicture: (p: PatternPoint) => PicturePoint,
  { width, height }: Pick<Sheet, 'width' | 'height'>,
  pxPerUnit: number,
): Pick<Sheet, 'raster' | 'pxPerUnit' | 'originPx' | 'toPicture'> {
  const margin = Math.round(MARGIN_UNITS * pxPerUnit);
  const originPx: PaperPoint = [margin, margin + height * pxPerUnit];
  const toPicture = (p: PaperPoint): PicturePoint => onPicture(paperToPattern({ originPx, pxPerUnit }, p));
  const raster = straighten(picture.raster, toPicture, {
    width: Math.round(width * pxPerUnit) + 2 * margin,
    height: Math.round(height * pxPerUnit) + 2 * margin,
  });
  return { raster, pxPerUnit, originPx, toPicture };
}

function bowWords(bow: number): string[] {
  if (bow < SAY_BOW_SHARE) return [];
  return [`sides bend by up to ${(100 * bow).toFixed(1)} % of their length; the sheet was flattened along them`];
}
