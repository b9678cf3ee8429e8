import { shrink } from '../ink/scale.ts';
import { straighten } from '../rectify/rectify.ts';
import type { PaperPoint, Picture, PicturePoint, Raster, Sheet } from '../types.ts';

/** A box in paper px, right and bottom past its last. */
export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** What lies beside the sheet, made flat with its own map: paper px less `left` and `top`, times `zoom`, are px of the raster. */
export interface Beside extends Box {
  readonly raster: Raster<Uint8Array>;
  readonly zoom: number;
}

/** Mean sRGB of the paper, 0..255. */
export type Colour = readonly [number, number, number];

/** How far the strips reach, pattern units: legends stand below as a rule, beside or close above sometimes. */
const BELOW = 0.5;
const SIDEWAYS = 0.55;
const ABOVE = 0.25;
/** A strip below or above reaches beyond the sheet's sides by that. */
const CORNER = 0.15;
/** Nearer lies the sheet's own border, pattern units. */
const BORDER = 0.012;
/** Px per pattern unit at which strokes and letters still show, though no text can be read. */
const COARSE_PX = 800;
/** A picture that shows so many times more would lose its thin lines between the px. */
const MOST_FINER = 2;
/** Distance of the places that are asked whether the picture shows them, pattern units. */
const STEP = 0.04;
/** Strips narrower than this hold no line of text, pattern units. */
const LEAST_STRIP = 0.025;
/** Farther off, the map goes wrong: an area on the picture so many times smaller or larger than the sheet's own middle. */
const MOST_SCALE = 12;

/** The strips below, above and on both sides of the sheet, as far as the picture shows them. */
export function besideSheet(picture: Picture, sheet: Sheet, paper: Colour): Beside[] {
  const { pxPerUnit, originPx, width, height } = sheet;
  const [left, bottom] = originPx;
  const [right, top] = [left + width * pxPerUnit, bottom - height * pxPerUnit];
  const [near, below, sideways, above, corner] = [BORDER, BELOW, SIDEWAYS, ABOVE, CORNER].map((u) => u * pxPerUnit);
  const strips: Box[] = [
    { left: left - corner, right: right + corner, top: bottom + near, bottom: bottom + below },
    { left: left - corner, right: right + corner, top: top - above, bottom: top - near },
    { left: left - sideways, right: left - near, top, bottom },
    { left: right + near, right: right + sideways, top, bottom },
  ];
  const zoom = COARSE_PX / pxPerUnit;
  const isFiner = Math.sqrt(Math.abs(areaAt(sheet, middleOf(sheet)))) > MOST_FINER * zoom;
  let view: View = { raster: picture.raster, scale: 1 };
  return strips.flatMap((strip) => {
    const box = shownPart(strip, picture, sheet);
    if (!box) return [];
    if (isFiner && view.scale === 1) view = { raster: shrink(picture.raster, 2), scale: 0.5 };
    return [{ ...box, zoom, raster: flat(view, sheet, box, zoom, paper) }];
  });
}

/** The picture, or a smaller one: `scale` px to one. */
export interface View {
  readonly raster: Raster<Uint8Array>;
  readonly scale: number;
}

/** A box of paper px as the picture shows it, `zoom` px to one; `paper` where it ends. */
export function flat(
  { raster, scale }: View,
  { toPicture }: Sheet,
  box: Box,
  zoom: number,
  paper: Colour,
): Raster<Uint8Array> {
  const place = ([x, y]: PaperPoint): PicturePoint => {
    const [u, v] = toPicture([box.left + x / zoom, box.top + y / zoom]);
    return [u * scale, v * scale];
  };
  const width = Math.ceil((box.right - box.left) * zoom);
  const height = Math.ceil((box.bottom - box.top) * zoom);
  return straighten(raster, place, { width, height, fill: paper });
}

/** The box around what the picture shows of a strip; null where that is too little for a line of text. */
function shownPart(strip: Box, picture: Picture, sheet: Sheet): Box | null {
  const step = STEP * sheet.pxPerUnit;
  const [across, down] = [Math.ceil((strip.right - strip.left) / step), Math.ceil((strip.bottom - strip.top) / step)];
  const isShown = shows(picture, sheet);
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let r = 0; r <= down; r++) {
    for (let c = 0; c <= across; c++) {
      const x = strip.left + ((strip.right - strip.left) * c) / across;
      const y = strip.top + ((strip.bottom - strip.top) * r) / down;
      if (!isShown([x, y])) continue;
      [left, right] = [Math.min(left, x), Math.max(right, x)];
      [top, bottom] = [Math.min(top, y), Math.max(bottom, y)];
    }
  }
  // What ends between two places is shown as far as a place more.
  const box = {
    left: Math.floor(Math.max(strip.left, left - step)),
    top: Math.floor(Math.max(strip.top, top - step)),
    right: Math.ceil(Math.min(strip.right, right + step)),
    bottom: Math.ceil(Math.min(strip.bottom, bottom + step)),
  };
  const least = LEAST_STRIP * sheet.pxPerUnit;
  return box.right - box.left >= least && box.bottom - box.top >= least ? box : null;
}

/** Whether the picture shows a place, at about the scale of the sheet. */
function shows({ raster }: Picture, sheet: Sheet) {
  const usual = areaAt(sheet, middleOf(sheet));
  return (p: PaperPoint): boolean => {
    const [x, y] = sheet.toPicture(p);
    if (!(x >= 0 && y >= 0 && x <= raster.width && y <= raster.height)) return false;
    const scale = areaAt(sheet, p) / usual;
    return scale > 1 / MOST_SCALE && scale < MOST_SCALE;
  };
}

function middleOf({ originPx, pxPerUnit, width, height }: Sheet): PaperPoint {
  return [originPx[0] + (width / 2) * pxPerUnit, originPx[1] - (height / 2) * pxPerUnit];
}

/** Area on the picture, with its sign, of a paper px. */
function areaAt({ toPicture }: Sheet, [x, y]: PaperPoint): number {
  const [at, along, down] = [toPicture([x, y]), toPicture([x + 1, y]), toPicture([x, y + 1])];
  return (along[0] - at[0]) * (down[1] - at[1]) - (along[1] - at[1]) * (down[0] - at[0]);
}
