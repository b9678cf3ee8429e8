/**
 * rectify: the crease pattern's outline on the picture, and the sheet straightened to it.
 *
 * In: an upright RGB picture. Out: a paper raster with a small margin around the outline, the map back to the picture, and how the outline was
 * found. The outline is the drawn border where there is one, else the sheet's edge, the picture's edge, or the ends of the creases.
 */
import { PlicaError } from '../errors.ts';
import { paperToPattern, patternToPaper } from '../geometry/frames.ts';
import type { Outline, PaperPoint, PatternPoint, Picture, PicturePoint, RecoverOptions, Sheet } from '../types.ts';
import { chordOf, largestBow, rulerOf, straight } from './curve.ts';
import { alongDrawnSides } from './drawn-sides.ts';
import { depthIn } from './evidence.ts';
import { givenOutline } from './given.ts';
import { type Found, findOutline } from './outline.ts';
import type { WorkPoint } from './polygon.ts';
import type { ShownProportions } from './proportions.ts';
import { pointsOfSides } from './refine.ts';
import { inPatternOrder, type Ring, ringOf } from './ring.ts';
import { type Mark, rectangleOf, type Shape, shapeOf } from './shape.ts';
import { shrink } from './shrink.ts';
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
const FIRST_PX_PER_UNIT = 950;
const MOST_PX_PER_UNIT = 2000;
/** Small pictures are enlarged by at most this. */
const MOST_ENLARGED = 2;

/** Sampled coarser than this, px a sample, thin strokes fall between the samples: the picture is made smaller first, to this many. */
const MOST_SKIPPED = 1.4;

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
  const ring = inPatternOrder(ringOf(found.sides, found.map, pointsIfBent(found)));
  const { scale, rim } = found.map;
  const point = (x: number, y: number): PicturePoint => [(x - rim + 0.5) / scale, (y - rim + 0.5) / scale];
  const marks = found.network.chains.map((c): Mark => {
    const chain = found.marks.chains[c];
    return { a: point(chain.ax, chain.ay), b: point(chain.bx, chain.by) };
  });
  const shape = shapeOf(ring.corners, marks, picture.raster, options.paper);
  const ground = { how: howFound(found), probability: outlineProbability(found), assumed: assumptions(found) };
  return sheetOf(picture, ring, shape, ground, linesWithin(found, point));
}

/** The sides' points where any side is bent: whether smoothly or at a ridge, these tell. */
function pointsIfBent(found: Found): WorkPoint[][] {
  return found.sides.some(({ bow }) => largestBow(bow) > LEAST_BOW_PX) ? pointsOfSides(found) : [];
}

/** Sides that leave their chord by less are straight, working px. */
const LEAST_BOW_PX = 0.8;

/** Points of the long lines on the sheet, line by line, that run along none of its sides. */
function linesWithin(
  { corners, sides, marks: { chains, pieces }, network }: Found,
  point: (x: number, y: number) => PicturePoint,
): PicturePoint[][] {
  const longest = Math.max(...sides.map(chordOf));
  const rulers = corners.map((p, i) => rulerOf(straight(p, corners[(i + 1) % corners.length])));
  return network.chains.flatMap((c) => {
    const { ax, ay, bx, by, pieces: own } = chains[c];
    if (Math.hypot(bx - ax, by - ay) < LONG_SHARE * longest) return [];
    if (depthIn(rulers, (ax + bx) / 2, (ay + by) / 2) < WITHIN_SHARE * longest) return [];
    return [own.flatMap((i) => [point(pieces.ax[i], pieces.ay[i]), point(pieces.bx[i], pieces.by[i])])];
  });
}

/** Lines are long from this share of the longest side on, and within the sheet this far from its sides. */
const LONG_SHARE = 0.25;
const WITHIN_SHARE = 0.03;

/** Bows below this share of the side are not worth a word. */
const SAY_BOW_SHARE = 0.002;

function sheetOf(
  picture: Picture,
  ring: Ring,
  shape: Shape,
  ground: Pick<Outline, 'how' | 'probability' | 'assumed'>,
  lines: readonly PicturePoint[][] = [],
): Sheet {
  const { corners, bows } = ring;
  const { polygon, width, height, spread, measured } = shape;
  let longest = 0;
  corners.forEach((p, i) => {
    const q = corners[(i + 1) % corners.length];
    longest = Math.max(longest, Math.hypot(p[0] - q[0], p[1] - q[1]));
  });
  const map = sheetMap(polygon, corners, bows, picture.raster, lines, ring.points);
  const bow = map.mostBow / longest;
  const finestIn = (px: number): number =>
    Math.round(Math.min(MOST_PX_PER_UNIT, Math.max(LEAST_PX_PER_UNIT, px * OVERSAMPLE), px * MOST_ENLARGED));
  const finestPx = finestIn(longest / picture.scale);
  const pxPerUnit = Math.min(finestIn(longest), FIRST_PX_PER_UNIT);
  const outline: Outline = {
    corners: corners.map((p): PicturePoint => [p[0] / picture.scale, p[1] / picture.scale]),
    how: ground.how,
    width,
    height,
    probability: ground.probability * shape.probability,
    assumed: [
      ...ground.assumed,
      ...shape.assumed,
      ...foldWords(map.foldRad),
      ...bowWords(bow, map.isByHand ? 'straight-within' : 'bent'),
    ],
  };
  const unexplained = map.isExplained ? {} : { unexplainedBow: bow };
  return {
    ...paperOf(picture, map.toPicture, { width, height }, pxPerUnit),
    finestPx,
    originalPx: longest / picture.scale,
    width,
    height,
    polygon,
    bow: map.isByHand ? 0 : bow,
    ...unexplained,
    ...(map.spreadPx === undefined ? {} : { placeSpread: map.spreadPx / longest }),
    ...(spread === undefined ? {} : { proportionSpread: spread }),
    ...(measured === undefined ? {} : { measured }),
    outline,
  };
}

/** True where the picture shows more than the sheet. */
export function hasFiner({ pxPerUnit, finestPx = pxPerUnit }: Sheet): boolean {
  return finestPx > pxPerUnit;
}

/**
 * The same sheet with all that the picture shows of it.
 *
 * @param picture the one the sheet was found on, of this or another size
 * @param scale px of the sheet's own picture per px of the original
 */
export function finerSheet(picture: Picture, sheet: Sheet, scale: number): Sheet {
  const { finestPx = sheet.pxPerUnit } = sheet;
  const larger = picture.scale / scale;
  const toPicture = (p: PatternPoint): PicturePoint => {
    const [x, y] = sheet.toPicture(patternToPaper(sheet, p));
    return [x * larger, y * larger];
  };
  return { ...sheet, ...paperOf(picture, toPicture, sheet, finestPx) };
}

/** Proportions are no surer than this, whatever is drawn on the sheet. */
const SHOWN = 0.98;

/** The same sheet with the proportions that its lines show, and as flat as its paper. */
export function reproportioned(
  picture: Picture,
  sheet: Sheet,
  { log, spread, probability, flat }: ShownProportions,
): Sheet {
  const { measured, proportionSpread: _spread, ...rest } = sheet;
  if (!measured) return sheet;
  const was = rectangleOf(measured, Math.log(sheet.width / sheet.height));
  const { width, height, polygon, assumed } = rectangleOf(measured, log);
  const said = [...assumed, ...sheet.outline.assumed.filter((words) => !was.assumed.includes(words))];
  const { bow: mostBow = 0, placeSpread: _places, unexplainedBow: _bow, ...onPaper } = rest;
  const bent = bowWords(mostBow, 'bent');
  const outline: Outline = {
    ...sheet.outline,
    width,
    height,
    probability: (sheet.outline.probability / was.probability) * Math.min(SHOWN, probability),
    assumed: flat ? [...said.filter((words) => !bent.includes(words)), ...bowWords(mostBow, 'flat-squares')] : said,
  };
  const sure = { ...(flat ? { ...onPaper, bow: 0 } : rest), ...(spread === null ? {} : { proportionSpread: spread }) };
  if (width === sheet.width && height === sheet.height && !flat) return { ...sure, outline };
  const drawn = ([x, y]: PatternPoint): PicturePoint =>
    sheet.toPicture(patternToPaper(sheet, [(x * sheet.width) / width, (y * sheet.height) / height]));
  const toPicture = flat ? alongDrawnSides(([x, y]) => flat(x / width, y / height), drawn, { width, height }) : drawn;
  return {
    ...sure,
    ...paperOf(picture, toPicture, { width, height }, sheet.pxPerUnit),
    width,
    height,
    polygon,
    outline,
  };
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
  const [from, across, up] = [onPicture([0, 0]), onPicture([width, 0]), onPicture([0, height])];
  const spans = [
    Math.hypot(across[0] - from[0], across[1] - from[1]) / width,
    Math.hypot(up[0] - from[0], up[1] - from[1]) / height,
  ];
  const coarser = Math.max(...spans) / pxPerUnit;
  const longestPx = Math.max(picture.raster.width, picture.raster.height);
  const { raster: source, scale } =
    coarser > MOST_SKIPPED
      ? shrink(picture.raster, Math.round((MOST_SKIPPED * longestPx) / coarser))
      : { raster: picture.raster, scale: 1 };
  const sampled = (p: PaperPoint): PicturePoint => {
    const [x, y] = toPicture(p);
    return [x * scale, y * scale];
  };
  const raster = straighten(source, sampled, {
    width: Math.round(width * pxPerUnit) + 2 * margin,
    height: Math.round(height * pxPerUnit) + 2 * margin,
  });
  return { raster, pxPerUnit, originPx, toPicture };
}

function foldWords(turnRad: number | undefined): string[] {
  if (turnRad === undefined) return [];
  const degrees = Math.abs((turnRad * 180) / Math.PI).toFixed(1);
  return [`the sheet was folded once and opened again, to within ${degrees} degrees; it was flattened along that fold`];
}

/** What is said of bent sides: the sheet was bent, or a hand drew them so on paper that something on it shows to be flat. */
function bowWords(bow: number, paper: 'bent' | 'straight-within' | 'flat-squares'): string[] {
  if (bow < SAY_BOW_SHARE) return [];
  const percent = (100 * bow).toFixed(1);
  if (paper === 'bent') return [`sides bend by up to ${percent} % of their length; the sheet was flattened along them`];
  const shown =
    paper === 'straight-within'
      ? 'where the lines within are straight'
      : 'on paper whose printed squares or dots lie flat';
  return [`the border wavers by up to ${percent} % of its length ${shown}`];
}
