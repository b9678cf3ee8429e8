/** Lines that may bound the sheet without any ink: the sheet's edges on the desk, the picture's own edges. */
import { bowThrough, type Curve, chordOf, offsetFrom, straight } from './curve.ts';
import type { InkMap } from './inkmap.ts';
import type { Marks } from './marks.ts';
import { hugPolygon, polygonArea, type WorkPoint } from './polygon.ts';
import type { Region } from './regions.ts';
import type { KnownLine } from './rim.ts';

/** Lines that stop this near to the picture's end are cut by it, px. */
const PICTURE_END_PX = 5;

/** A sheet's border is looked for this near to its hull's side, as a share of the side. */
const BORDER_REACH = 0.12;

/** A picture whose sides are alike to this share is square. */
const SQUARE_SHARE = 0.01;

/**
 * Edges of the picture at which lines of the drawing stop: elsewhere the picture's end says nothing about the sheet. Of a square picture that cuts lines at three
 * edges it says that the sheet ends there, too: sheets are square, and pictures are cut to them.
 */
export function cutEdges(map: InkMap, marks: Marks): KnownLine[] {
  const near = PICTURE_END_PX;
  const frame = pictureFrame(map);
  const cut = frame.filter(({ from, to }) => {
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
    const off = (x: number, y: number): number =>
      Math.abs((x - from[0]) * (to[1] - from[1]) - (y - from[1]) * (to[0] - from[0])) / length;
    return marks.chains.some((c) => off(c.ax, c.ay) < near || off(c.bx, c.by) < near);
  });
  return cut.length === frame.length - 1 && isSquare(frame) ? frame : cut;
}

/** Whether all sides are of one length, nearly. */
export function isSquare(sides: readonly Curve[]): boolean {
  const lengths = sides.map(chordOf);
  return Math.max(...lengths) < (1 + SQUARE_SHARE) * Math.min(...lengths);
}

/** The picture's own edges, clockwise. */
function pictureFrame(map: InkMap): KnownLine[] {
  const low = map.rim - 0.5;
  const right = map.width - map.rim - 0.5;
  const bottom = map.height - map.rim - 0.5;
  return ring(
    [
      [low, low],
      [right, low],
      [right, bottom],
      [low, bottom],
    ],
    'picture',
  );
}

/** Numbers of sides beside four that a sheet may have. */
const OTHER_SIDES = [3, 5, 6, 8];
/** A sheet fills this share of the polygon around it; a quadrilateral with less is not its outline where another polygon is. */
const FILLED = 0.975;
const NO_QUAD_FILLED = 0.94;

/** The edges of a sheet on the desk, bent as its border is: four, unless its region plainly has another number. */
export function sheetLines(region: Region): KnownLine[] {
  const polygon = sheetPolygon(region);
  if (!polygon) return [];
  const border = borderOf(region);
  return ring(polygon, 'sheet').map((line) => {
    const reach = BORDER_REACH * chordOf(line);
    const near = border.filter(([x, y]) => {
      const { t, off } = offsetFrom(line, x, y);
      return t >= 0.02 && t <= 0.98 && Math.abs(off) <= reach;
    });
    return { ...line, bow: bowThrough(line, near, region.step) };
  });
}

function sheetPolygon({ hull }: Region): WorkPoint[] | null {
  const area = Math.abs(polygonArea(hull));
  const filled = (polygon: readonly WorkPoint[]): number => area / Math.abs(polygonArea(polygon));
  const quad = hugPolygon(hull, 4);
  if (quad && filled(quad) >= NO_QUAD_FILLED) {
    const triangle = hugPolygon(hull, 3);
    return triangle && filled(triangle) >= FILLED ? triangle : quad;
  }
  for (const sides of OTHER_SIDES) {
    const polygon = hugPolygon(hull, sides);
    if (polygon && filled(polygon) >= FILLED) return polygon;
  }
  return quad;
}

/** Middles of the open faces of the region's border cells, working px. */
function borderOf(region: Region): WorkPoint[] {
  const { inside, columns, rows, step } = region;
  const out: WorkPoint[] = [];
  for (let r = 1; r < rows - 1; r++) {
    for (let c = 1; c < columns - 1; c++) {
      const i = r * columns + c;
      if (!inside[i]) continue;
      const [x, y] = [(c + 0.5) * step, (r + 0.5) * step];
      if (!inside[i - 1]) out.push([c * step, y]);
      if (!inside[i + 1]) out.push([(c + 1) * step, y]);
      if (!inside[i - columns]) out.push([x, r * step]);
      if (!inside[i + columns]) out.push([x, (r + 1) * step]);
    }
  }
  return out;
}

function ring(corners: readonly WorkPoint[], kind: 'sheet' | 'picture'): KnownLine[] {
  return corners.map((from, i) => ({ ...straight(from, corners[(i + 1) % corners.length]), kind }));
}
