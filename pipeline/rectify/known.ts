/** Lines that may bound the sheet without any ink: the sheet's edges on the desk, the picture's own edges. */
import type { InkMap } from './inkmap.ts';
import type { Marks } from './marks.ts';
import { hugPolygon, type WorkPoint } from './polygon.ts';
import type { KnownLine } from './quads.ts';
import type { Region } from './regions.ts';

/** Lines that stop this near to the picture's end are cut by it, px. */
const PICTURE_END_PX = 5;

/** Edges of the picture at which lines of the drawing stop: elsewhere the picture's end says nothing about the sheet. */
export function cutEdges(map: InkMap, marks: Marks): KnownLine[] {
  const near = PICTURE_END_PX;
  return pictureFrame(map).filter(({ from, to }) => {
    const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
    const off = (x: number, y: number): number =>
      Math.abs((x - from[0]) * (to[1] - from[1]) - (y - from[1]) * (to[0] - from[0])) / length;
    return marks.chains.some((c) => off(c.ax, c.ay) < near || off(c.bx, c.by) < near);
  });
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

export function sheetLines(region: Region): KnownLine[] {
  const quad = hugPolygon(region.hull, 4);
  return quad ? ring(quad, 'sheet') : [];
}

function ring(corners: readonly WorkPoint[], kind: 'sheet' | 'picture'): KnownLine[] {
  return corners.map((from, i) => ({ from, to: corners[(i + 1) % corners.length], kind }));
}
