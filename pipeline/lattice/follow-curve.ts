import type { InkField } from '../ink/ink.ts';
import type { Segment } from '../strokes/segments.ts';

/** A stroke that keeps turning to one side: places along its middle, paper px, and its direction at each, radians. */
export interface CurvedPath {
  readonly x: readonly number[];
  readonly y: readonly number[];
  readonly angle: readonly number[];
}

/** A stroke is followed in steps of this, px, for so many at most each way. */
const STEP_PX = 3;
const MOST_STEPS = 250;
/** Its direction is that of the last so many steps, and turns by less than this from one step to the next, radians. */
const LAST = 5;
const MOST_TURN = (7 * Math.PI) / 180;
/** What has turned by less than this after so many steps is straight. */
const STRAIGHT_STEPS = 40;
const LEAST_BEGUN = (5 * Math.PI) / 180;
/** Ink across the stroke has this share of the usual stroke's height; so many steps without end it. */
const INKED = 0.3;
const MOST_BARE = 2;
/** Ink is weighed this far beside its middle, px beside half its width. */
const BESIDE_PX = 1.5;
/** A path turns by this at least, radians; ... */
const LEAST_ARC = (50 * Math.PI) / 180;
/** ... turns back by this share of it at most, and by this share of it within so many steps: at a vertex a path may go over from crease to crease. */
const MOST_BACK = 0.12;
const MOST_SUDDEN = 0.4;
const SUDDEN_STEPS = 6;
/** Between its bends, which turn by this share of the sharpest, no more than this share of it is straight, which turns by less than that. */
const BEND = 0.3;
const STRAIGHT = 0.12;
const MOST_STRAIGHT = 0.3;
/** Only strokes shorter than this share of the raster's width are begun with. */
const SHORT_SHARE = 0.15;

/** The curves that run through short strokes: followed along the ink from their middles to both ends, also where they bend too much to be strokes of a crease. */
export function followCurves(segments: readonly Segment[], ink: InkField, strokeWidthPx: number): CurvedPath[] {
  const found: CurvedPath[] = [];
  for (const s of segments) {
    if (s.length > SHORT_SHARE * ink.width || found.some((path) => isOn(path, s))) continue;
    const forth = walk(s.x, s.y, s.angle, ink, strokeWidthPx);
    const back = walk(s.x, s.y, s.angle + Math.PI, ink, strokeWidthPx);
    const path = pathOf([...back.reverse(), [s.x, s.y] as const, ...forth]);
    if (path && isCurved(path.angle)) found.push(path);
  }
  return found;
}

type Place = readonly [x: number, y: number];

/** The middle of the stroke from a place on, step by step, to where its ink ends or turns too fast to be followed. */
function walk(x0: number, y0: number, angle: number, ink: InkField, strokeWidthPx: number): Place[] {
  const places: Place[] = [[x0, y0]];
  let way = angle;
  let bare = 0;
  while (places.length <= MOST_STEPS) {
    const [x, y] = places[places.length - 1];
    const [qx, qy] = [x + STEP_PX * Math.cos(way), y + STEP_PX * Math.sin(way)];
    const off = middleAcross(qx, qy, way, ink, strokeWidthPx / 2 + BESIDE_PX);
    bare = off === null ? bare + 1 : 0;
    if (bare > MOST_BARE) break;
    places.push([qx - (off ?? 0) * Math.sin(way), qy + (off ?? 0) * Math.cos(way)]);
    const [last, first] = [places[places.length - 1], places[Math.max(0, places.length - 1 - LAST)]];
    const next = Math.atan2(last[1] - first[1], last[0] - first[0]);
    if (Math.abs(wrapped(next - way)) > MOST_TURN) break;
    way = next;
    if (places.length === STRAIGHT_STEPS && Math.abs(wrapped(way - angle)) < LEAST_BEGUN) break;
  }
  return places.slice(1, places.length - bare);
}

/** How far beside a place the middle of the ink across it lies, px; null where there is none. */
function middleAcross(x: number, y: number, way: number, ink: InkField, reach: number): number | null {
  let [sum, moment, most] = [0, 0, 0];
  for (let k = -reach; k <= reach; k += 0.5) {
    const value = densityAt(x - k * Math.sin(way), y + k * Math.cos(way), ink);
    sum += value;
    moment += value * k;
    most = Math.max(most, value);
  }
  return most < INKED * ink.crest ? null : moment / sum;
}

function densityAt(x: number, y: number, { density, width, height }: InkField): number {
  const [cx, cy] = [x - 0.5, y - 0.5];
  const [ix, iy] = [Math.floor(cx), Math.floor(cy)];
  if (ix < 0 || iy < 0 || ix >= width - 1 || iy >= height - 1) return 0;
  const [fx, fy, i] = [cx - ix, cy - iy, iy * width + ix];
  const upper = density[i] + (density[i + 1] - density[i]) * fx;
  const lower = density[i + width] + (density[i + width + 1] - density[i + width]) * fx;
  return Math.max(0, upper + (lower - upper) * fy);
}

function pathOf(places: readonly Place[]): CurvedPath | null {
  const half = LAST >> 1;
  if (places.length < 2 * SUDDEN_STEPS) return null;
  const angle = places.map((_, i) => {
    const [a, b] = [places[Math.max(0, i - half)], places[Math.min(places.length - 1, i + half)]];
    return Math.atan2(b[1] - a[1], b[0] - a[0]);
  });
  return { x: places.map(([x]) => x), y: places.map(([, y]) => y), angle };
}

/** Whether directions turn to one side, by much and little by little. */
function isCurved(angle: readonly number[]): boolean {
  // From one independent direction to the next: those of neighbours share most of their places and only waver.
  const turns: number[] = [];
  for (let i = LAST; i < angle.length; i += LAST) turns.push(wrapped(angle[i] - angle[i - LAST]));
  const total = turns.reduce((sum, turn) => sum + turn, 0);
  const all = turns.reduce((sum, turn) => sum + Math.abs(turn), 0);
  if (Math.abs(total) < LEAST_ARC || all - Math.abs(total) > 2 * MOST_BACK * all) return false;
  for (let i = 0; i + SUDDEN_STEPS < angle.length; i++)
    if (Math.abs(wrapped(angle[i + SUDDEN_STEPS] - angle[i])) > MOST_SUDDEN * Math.abs(total)) return false;
  return !isBroken(turns.map((turn) => turn * Math.sign(total)));
}

/** Whether a path turns here and there and runs straight in between, as creases do that follow each other. */
function isBroken(turns: readonly number[]): boolean {
  const most = Math.max(...turns);
  const isBend = (turn: number): boolean => turn > BEND * most;
  const within = turns.slice(turns.findIndex(isBend), turns.findLastIndex(isBend) + 1);
  return within.filter((turn) => turn < STRAIGHT * most).length > MOST_STRAIGHT * within.length;
}

/** A place lies on a path this near, px, and a stroke along it within this turn (sine of 20 degrees). */
const ON_PATH_PX = 4;
const ALONG = 0.34;

/** Whether a place with a direction lies on the path and runs along it. */
export function isOn({ x, y, angle }: CurvedPath, at: { x: number; y: number; angle: number }): boolean {
  for (let k = 0; k < x.length; k++)
    if (Math.hypot(x[k] - at.x, y[k] - at.y) < ON_PATH_PX && Math.abs(Math.sin(angle[k] - at.angle)) < ALONG)
      return true;
  return false;
}

function wrapped(angle: number): number {
  return angle - 2 * Math.PI * Math.round(angle / (2 * Math.PI));
}
