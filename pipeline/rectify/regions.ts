/** Sheets of paper on a desk: convex pieces of the picture that are lighter (darker where ink is light), or less or more coloured, than what lies around them. */
import type { InkMap } from './inkmap.ts';
import { convexHull, polygonArea, type WorkPoint } from './polygon.ts';

export interface Region {
  /** 1 inside, on the working copy reduced by `step`; row-major, `columns` wide. */
  readonly inside: Uint8Array;
  readonly columns: number;
  readonly rows: number;
  /** Working px per cell. */
  readonly step: number;
  /** Hull in working px, clockwise on the screen. */
  readonly hull: readonly WorkPoint[];
  /** Share of the picture. */
  readonly share: number;
  /** Mean step of light across its border, grey levels. */
  readonly edge: number;
}

const CELL_PX = 4;
/** Levels tried from dark to light. */
const LEVELS = 14;
/** Share of its hull that a sheet fills; a corner may be hidden or turned up. */
const LEAST_SOLIDITY = 0.93;
const LEAST_SHARE = 0.04;
const MOST_SHARE = 0.94;
/** Least mean step across the border: below it the region is a shade, not a sheet. */
const LEAST_EDGE = 9;
/** Share of the border that has such a step, and share that is not the picture's end: slopes of light have neither. */
const SHARP_SHARE = 0.7;
const OWN_SHARE = 0.35;

const FACE_X = [1, -1, 0, 0];
const FACE_Y = [0, 0, 1, -1];

/** Sheet-like regions, best first: large, convex, with a sharp border. */
export function findRegions(map: InkMap): Region[] {
  const columns = Math.floor(map.width / CELL_PX);
  const rows = Math.floor(map.height / CELL_PX);
  const found: { region: Region; worth: number }[] = [];
  const planes = brightnessPlanes(map, columns, rows);
  for (const plane of planes) {
    const sorted = Float32Array.from(plane).sort();
    const low = sorted[Math.floor(0.02 * sorted.length)];
    const high = sorted[Math.floor(0.98 * sorted.length)];
    if (high - low < LEAST_EDGE) continue;
    for (let k = 1; k < LEVELS; k++) {
      const level = low + ((high - low) * k) / LEVELS;
      for (const region of regionsAbove(plane, columns, rows, level)) {
        found.push({ region, worth: region.edge * Math.sqrt(region.share) });
      }
    }
  }
  found.sort((p, q) => q.worth - p.worth);
  // The same sheet is found at many levels: keep its best version.
  const kept: Region[] = [];
  for (const { region } of found) {
    if (kept.every((other) => overlap(region, other) < 0.85)) kept.push(region);
    if (kept.length >= 4) break;
  }
  return kept.filter((region) => !kept.some((other) => other !== region && isLitPart(region, other, planes[1])));
}

/** A part of a sheet lies within it to this share, ... */
const WITHIN = 0.97;
/** ... has so much of its border in common with it, no more than so many cells off, ... */
const COMMON = 0.5;
const NEAR_CELLS = 2;
/** ... and differs from the rest in the proportion of its channels by less than this, of 255. */
const SAME_COLOUR = 12;

/** True for a part of `whole` that is only lit otherwise, as one side of an old fold is, or what lies outside a shadow: the border between them is no sheet's edge. */
function isLitPart(part: Region, whole: Region, neutral: Float32Array): boolean {
  const { columns, rows } = part;
  let [own, shared, rim, common] = [0, 0, 0, 0];
  let [colour, rest, restColour] = [0, 0, 0];
  for (let i = 0; i < part.inside.length; i++) {
    if (!part.inside[i]) {
      if (whole.inside[i]) {
        rest++;
        restColour += neutral[i];
      }
      continue;
    }
    own++;
    colour += neutral[i];
    if (whole.inside[i]) shared++;
    const [x, y] = [i % columns, Math.floor(i / columns)];
    if (!isRim(part.inside, x, y, 1, columns, rows)) continue;
    rim++;
    if (isRim(whole.inside, x, y, NEAR_CELLS, columns, rows)) common++;
  }
  if (shared < WITHIN * own || common < COMMON * rim || rest === 0) return false;
  return Math.abs(colour / own - restColour / rest) < SAME_COLOUR;
}

/** True where a cell so near is not inside, or the picture ends. */
function isRim(inside: Uint8Array, x: number, y: number, near: number, columns: number, rows: number): boolean {
  if (x < near || y < near || x >= columns - near || y >= rows - near) return true;
  const i = y * columns + x;
  return !inside[i - near] || !inside[i + near] || !inside[i - near * columns] || !inside[i + near * columns];
}

/**
 * Planes of cell means in which a sheet stands out: how light the paper is in its least channel (how dark in its highest one where ink is light), its likeness to
 * neutral light paper, and how coloured it is: brown paper on a grey desk.
 */
function brightnessPlanes(map: InkMap, columns: number, rows: number): Float32Array[] {
  const bare = new Float32Array(columns * rows);
  const neutral = new Float32Array(columns * rows);
  const coloured = new Float32Array(columns * rows);
  const isLight = map.polarity === 'dark-ink';
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const i = ((r * CELL_PX + (CELL_PX >> 1)) * map.width + c * CELL_PX + (CELL_PX >> 1)) * 3;
      const red = map.paper[i];
      const green = map.paper[i + 1];
      const blue = map.paper[i + 2];
      const low = Math.min(red, green, blue);
      const top = Math.max(red, green, blue);
      const cell = r * columns + c;
      bare[cell] = isLight ? low : 255 - top;
      // A shadow keeps the proportion of the channels, a wooden or coloured desk has another one.
      neutral[cell] = (255 * low) / Math.max(24, top);
      coloured[cell] = 255 - neutral[cell];
    }
  }
  return [bare, neutral, coloured];
}

function regionsAbove(plane: Float32Array, columns: number, rows: number, level: number): Region[] {
  const seen = new Uint8Array(plane.length);
  const out: Region[] = [];
  const cells = new Int32Array(plane.length);
  for (let start = 0; start < plane.length; start++) {
    if (seen[start] || plane[start] < level) continue;
    const count = flood(plane, columns, level, start, seen, cells);
    if (count < LEAST_SHARE * plane.length || count > MOST_SHARE * plane.length) continue;
    const region = describe(plane, columns, rows, cells.subarray(0, count));
    if (region) out.push(region);
  }
  return out;
}

/** Fills `cells` with those that hang together with `start` above the level; returns how many there are. */
function flood(
  plane: Float32Array,
  columns: number,
  level: number,
  start: number,
  seen: Uint8Array,
  cells: Int32Array,
): number {
  const last = columns - 1;
  const total = plane.length;
  const lowest = total - columns;
  // The cells found so far are the queue, too.
  let count = 0;
  cells[count++] = start;
  seen[start] = 1;
  for (let head = 0; head < count; head++) {
    const i = cells[head];
    const x = i % columns;
    if (x > 0 && !seen[i - 1] && plane[i - 1] >= level) {
      seen[i - 1] = 1;
      cells[count++] = i - 1;
    }
    if (x < last && !seen[i + 1] && plane[i + 1] >= level) {
      seen[i + 1] = 1;
      cells[count++] = i + 1;
    }
    if (i >= columns && !seen[i - columns] && plane[i - columns] >= level) {
      seen[i - columns] = 1;
      cells[count++] = i - columns;
    }
    if (i < lowest && !seen[i + columns] && plane[i + columns] >= level) {
      seen[i + columns] = 1;
      cells[count++] = i + columns;
    }
  }
  return count;
}

function describe(plane: Float32Array, columns: number, rows: number, cells: Int32Array): Region | null {
  const hull = hullOf(columns, rows, cells);
  if (cells.length / Math.abs(polygonArea(hull)) < LEAST_SOLIDITY) return null;
  const inside = new Uint8Array(plane.length);
  for (let k = 0; k < cells.length; k++) inside[cells[k]] = 1;
  const edge = edgeOf(plane, columns, rows, cells, inside);
  if (edge === null) return null;
  fillHoles(inside, columns, rows);
  return {
    inside,
    columns,
    rows,
    step: CELL_PX,
    hull: hull.map((p): WorkPoint => [(p[0] + 0.5) * CELL_PX, (p[1] + 0.5) * CELL_PX]),
    share: cells.length / plane.length,
    edge,
  };
}

/** Hull of the cells' corners, cells: of the first and last cell of each row, for those between lie within it. */
function hullOf(columns: number, rows: number, cells: Int32Array): WorkPoint[] {
  const left = new Int32Array(rows).fill(columns);
  const right = new Int32Array(rows).fill(-1);
  rowEnds(columns, cells, left, right);
  const ends: WorkPoint[] = [];
  for (let y = 0; y < rows; y++) {
    if (right[y] < 0) continue;
    ends.push([left[y] - 0.5, y - 0.5], [left[y] - 0.5, y + 0.5], [right[y] + 0.5, y - 0.5], [right[y] + 0.5, y + 0.5]);
  }
  return convexHull(ends);
}

/** First and last column of the cells in each row. */
function rowEnds(columns: number, cells: Int32Array, left: Int32Array, right: Int32Array): void {
  for (let k = 0; k < cells.length; k++) {
    const i = cells[k];
    const y = Math.floor(i / columns);
    const x = i - y * columns;
    if (x < left[y]) left[y] = x;
    if (x > right[y]) right[y] = x;
  }
}

/** Mean step of light across the region's border; null where that is no sheet's edge: too low, too soft, or the picture's end for the most part. */
function edgeOf(
  plane: Float32Array,
  columns: number,
  rows: number,
  cells: Int32Array,
  inside: Uint8Array,
): number | null {
  let step = 0;
  let steps = 0;
  let sharp = 0;
  let cut = 0;
  for (let k = 0; k < cells.length; k++) {
    const i = cells[k];
    const x = i % columns;
    const y = (i - x) / columns;
    const isAtEnd = x === 0 || y === 0 || x === columns - 1 || y === rows - 1;
    if (!isAtEnd && inside[i - 1] && inside[i + 1] && inside[i - columns] && inside[i + columns]) continue;
    // Light two cells in against two cells out, across each open face that is not the picture's end.
    for (let side = 0; side < 4; side++) {
      const dx = FACE_X[side];
      const dy = FACE_Y[side];
      const ox = x + dx;
      const oy = y + dy;
      if (ox < 0 || oy < 0 || ox >= columns || oy >= rows) {
        cut++;
        continue;
      }
      if (inside[oy * columns + ox]) continue;
      const out =
        Math.min(rows - 1, Math.max(0, y + 2 * dy)) * columns + Math.min(columns - 1, Math.max(0, x + 2 * dx));
      const inn =
        Math.min(rows - 1, Math.max(0, y - 2 * dy)) * columns + Math.min(columns - 1, Math.max(0, x - 2 * dx));
      const fall = plane[inn] - plane[out];
      step += fall;
      if (fall > LEAST_EDGE) sharp++;
      steps++;
    }
  }
  const isEdge = steps > 0 && step / steps >= LEAST_EDGE && sharp >= SHARP_SHARE * steps;
  return isEdge && steps >= OWN_SHARE * (steps + cut) ? step / steps : null;
}

/** True where the working point lies in the region. */
export function covers(region: Region, x: number, y: number): boolean {
  const { inside, columns, rows, step } = region;
  const c = Math.floor(x / step);
  const r = Math.floor(y / step);
  return c >= 0 && r >= 0 && c < columns && r < rows && inside[r * columns + c] === 1;
}

/** Holes (filled faces, blots) belong to the sheet: what cannot be reached from the picture's rim without entering the region. */
function fillHoles(inside: Uint8Array, columns: number, rows: number): void {
  const open = new Uint8Array(inside.length);
  const stack = new Int32Array(inside.length);
  let height = 0;
  const enter = (i: number): void => {
    if (inside[i] || open[i]) return;
    open[i] = 1;
    stack[height++] = i;
  };
  for (let c = 0; c < columns; c++) {
    enter(c);
    enter((rows - 1) * columns + c);
  }
  for (let r = 0; r < rows; r++) {
    enter(r * columns);
    enter(r * columns + columns - 1);
  }
  while (height > 0) {
    const i = stack[--height];
    const c = i % columns;
    if (c > 0) enter(i - 1);
    if (c < columns - 1) enter(i + 1);
    if (i >= columns) enter(i - columns);
    if (i + columns < inside.length) enter(i + columns);
  }
  for (let i = 0; i < inside.length; i++) if (!open[i]) inside[i] = 1;
}

/** Intersection over union. */
function overlap(a: Region, b: Region): number {
  let both = 0;
  let any = 0;
  for (let i = 0; i < a.inside.length; i++) {
    both += a.inside[i] & b.inside[i];
    any += a.inside[i] | b.inside[i];
  }
  return any ? both / any : 0;
}
