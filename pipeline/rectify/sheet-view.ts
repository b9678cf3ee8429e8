/**
 * How a sheet that was folded once and opened again lies before the camera, from its traced sides: a pinhole camera with one term of lens distortion (Brown 1971)
 * before two planes that meet at a ridge. Fitted by Levenberg (1944) and Marquardt (1963). The sides alone tell the angle between the planes: it is seen in each kink.
 *
 *        D-----b-----C
 *        |    /      |      ridge from a on one side to b on another; half of the angle by which the planes
 *        |   /       |      are turned to each other is `half`, positive where the ridge lies nearer to the camera
 *        A--a--------B
 */

import { leastSquares } from '../geometry/least-squares.ts';
import type { PatternPoint, PicturePoint } from '../types.ts';
import { type Camera, FOCAL, LENS_SPREAD, multiply, poseFrom, rotation } from './camera.ts';
import type { RidgeGuess, SeenSide } from './ridge.ts';
import { type Planes, placeAt, seesPlace, withoutLens } from './two-planes.ts';
import type { View } from './view.ts';

/** A sheet's outline on the picture. */
export interface SeenSheet {
  /** Pattern frame, and the corners on the picture: one to one, counterclockwise on the sheet. */
  readonly polygon: readonly PatternPoint[];
  readonly corners: readonly PicturePoint[];
  /** Side by side, from corner i to the next; null where it was not seen. */
  readonly sides: readonly (SeenSide | null)[];
  readonly view: View;
}

/** Spread of traced sides, px, and of the straight lines drawn on the sheet. */
const TRACE_PX = 0.6;
const LINE_PX = 0.8;
/** Residuals beyond this count no more than in proportion, px: other lines. */
export const FAR_PX = 3;
/** Turn of each plane, radians: usual size. */
const TURN_SPREAD = 0.08;
/** The ends of the ridge were guessed to this, sides. */
const END_SPREAD = 1;
const START_TURNS = [0.05, -0.05];
const FIRST_ROUNDS = 12;
/** So many of the best first fits are followed to their end; ends of ridges nearer to each other than this, pattern units, are one. */
const MOST_POLISHED = 3;
const SAME_END = 0.02;
const ROUNDS = 40;

/** Unknowns: focal length (log), small turn about three axes, place (x, y, log depth), lens, turn of the planes, ends of the ridge along the outline (sides). */
export const COUNT = 11;
const [LENS, HALF, FROM, TO] = [7, 8, 9, 10];

export interface Setting {
  readonly sheet: SeenSheet;
  readonly guess: RidgeGuess;
  readonly centre: PicturePoint;
  readonly diagonal: number;
  /** The flat sheet's rotation, row-major, and place to start from. */
  readonly turn: readonly number[];
  /** Points of each side on the picture, from its middle, px. */
  readonly points: readonly Float64Array[];
  /** Points of lines that are straight on the sheet, from the picture's middle, px. */
  readonly lines: readonly Float64Array[];
  readonly longest: number;
}

/** The views with ridges that explain the sides, best first: from each guess and either sense of the turn, for the wrong one may be a local best. `lines` are straight on the sheet. */
export function ridgedViews(
  sheet: SeenSheet,
  guesses: readonly RidgeGuess[],
  lines: readonly (readonly PicturePoint[])[] = [],
): Fitted[] {
  const first = guesses.flatMap((guess) => {
    const setting = settingOf(sheet, guess, lines);
    if (!setting) return [];
    return START_TURNS.flatMap((half): Fitted[] => {
      const fit = leastSquares((u) => residuals(u, setting), startOf(setting, half), FIRST_ROUNDS);
      return fit ? [{ ...fit, setting }] : [];
    });
  });
  const byError = (one: Fitted, other: Fitted): number => one.error - other.error;
  const ends = distinct(first.sort(byError))
    .slice(0, MOST_POLISHED)
    .flatMap((fit) => polished(fit) ?? []);
  return distinct(ends.sort(byError));
}

/** Without those whose ridge runs where that of a better one does. */
function distinct(fits: readonly Fitted[]): Fitted[] {
  const out: { fit: Fitted; planes: Planes }[] = [];
  for (const fit of fits) {
    const planes = planesOf(fit.unknowns, fit.setting);
    if (!out.some((other) => isSame(planes, other.planes))) out.push({ fit, planes });
  }
  return out.map(({ fit }) => fit);
}

function isSame(one: Planes, other: Planes): boolean {
  const apart = (x: number, y: number, u: number, v: number): boolean => Math.hypot(x - u, y - v) > SAME_END;
  const along = apart(one.ax, one.ay, other.ax, other.ay) || apart(one.bx, one.by, other.bx, other.by);
  const back = apart(one.ax, one.ay, other.bx, other.by) || apart(one.bx, one.by, other.ax, other.ay);
  return (!along || !back) && one.sin * other.sin > 0;
}

/** The same view, fitted to lines as well that are straight on the sheet. */
export function withLines(fitted: Fitted, lines: readonly (readonly PicturePoint[])[]): Fitted | null {
  const { sheet, guess } = fitted.setting;
  const setting = settingOf(sheet, guess, lines);
  return setting && polished({ ...fitted, setting });
}

export interface Fitted {
  readonly unknowns: Float64Array;
  readonly error: number;
  readonly covariance: Float64Array;
  readonly setting: Setting;
}

function polished({ unknowns, setting }: Fitted): Fitted | null {
  const fit = leastSquares((u) => residuals(u, setting), unknowns, ROUNDS);
  return fit && { ...fit, setting };
}

function settingOf(sheet: SeenSheet, guess: RidgeGuess, lines: readonly (readonly PicturePoint[])[]): Setting | null {
  const { polygon, corners, sides, view } = sheet;
  const centre: PicturePoint = [view.width / 2, view.height / 2];
  const diagonal = Math.hypot(view.width, view.height);
  const pose = poseFrom(polygon, corners, centre, Math.exp(FOCAL.middle) * diagonal);
  if (!pose) return null;
  let longest = 0;
  const points = corners.map((p, i) => {
    const q = corners[(i + 1) % corners.length];
    const [cx, cy] = [q[0] - p[0], q[1] - p[1]];
    const chord = Math.hypot(cx, cy);
    longest = Math.max(longest, chord);
    // What was not seen of the outline is straight between its corners.
    const { ts, offs } = sides[i] ?? { ts: STRAIGHT, offs: STRAIGHT.map(() => 0) };
    return Float64Array.from(
      ts.flatMap((t, k) => [
        p[0] + t * cx - (offs[k] * cy) / chord - centre[0],
        p[1] + t * cy + (offs[k] * cx) / chord - centre[1],
      ]),
    );
  });
  return {
    sheet,
    guess,
    centre,
    diagonal,
    turn: [...pose.turn, pose.x, pose.y, pose.depth],
    points,
    lines: lines.map((line) => Float64Array.from(line.flatMap(([x, y]) => [x - centre[0], y - centre[1]]))),
    longest,
  };
}

const STRAIGHT = [0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95];

function startOf({ guess, turn }: Setting, half: number): Float64Array {
  const start = new Float64Array(COUNT);
  start[0] = FOCAL.middle;
  start[4] = turn[9];
  start[5] = turn[10];
  start[6] = Math.log(turn[11]);
  start[HALF] = half;
  start[FROM] = guess[0];
  start[TO] = guess[1];
  return start;
}

export function planesOf(u: ArrayLike<number>, { sheet }: Setting): Planes {
  const [[ax, ay], [bx, by]] = [endOf(u[FROM], sheet), endOf(u[TO], sheet)];
  const length = Math.hypot(bx - ax, by - ay) || 1;
  return {
    ax,
    ay,
    bx,
    by,
    tx: (bx - ax) / length,
    ty: (by - ay) / length,
    cos: Math.cos(u[HALF]),
    sin: Math.sin(u[HALF]),
  };
}

/** The side on which a place of the outline lies; the outline is closed. */
const sideOf = (along: number, { polygon }: SeenSheet): number => {
  const n = polygon.length;
  return ((Math.floor(along) % n) + n) % n;
};

function endOf(along: number, sheet: SeenSheet): [number, number] {
  const { polygon } = sheet;
  const i = sideOf(along, sheet);
  const t = along - Math.floor(along);
  const [p, q] = [polygon[i], polygon[(i + 1) % polygon.length]];
  return [p[0] + t * (q[0] - p[0]) - 0.5, 0.5 - p[1] - t * (q[1] - p[1])];
}

/** Lens left out: what it does is taken from the points instead. */
export function cameraOf(u: ArrayLike<number>, { diagonal, turn }: Setting): Camera {
  return {
    focal: Math.exp(u[0]) * diagonal,
    m: multiply(rotation(u[1], u[2], u[3]), turn),
    x: u[4],
    y: u[5],
    depth: Math.exp(u[6]),
    lens: 0,
    axisX: 0,
    axisY: 0,
  };
}

export const lensOf = (u: ArrayLike<number>, { diagonal }: Setting): number => (4 * u[LENS]) / (diagonal * diagonal);

/** Residuals past this many spreads grow with their root only: a smooth step from least squares to something that forgets other lines. */
function tamed(miss: number, spread: number): number {
  const far = FAR_PX / spread;
  const size = Math.abs(miss / spread);
  return size <= far ? miss / spread : Math.sign(miss) * Math.sqrt(far * (2 * size - far));
}

/** Everything that should be zero, in units of its spread. */
function residuals(u: Float64Array, setting: Setting): Float64Array {
  const misses = sideMisses(u, setting);
  const { lines, longest } = setting;
  const out: number[] = [];
  for (const miss of misses) out.push(tamed(miss, TRACE_PX));
  if (lines.length > 0) {
    const [camera, planes, lens] = [cameraOf(u, setting), planesOf(u, setting), lensOf(u, setting)];
    for (const line of lines) {
      for (const stray of strays(line, camera, planes, lens)) out.push(tamed(stray * longest, LINE_PX));
    }
  }
  out.push((u[0] - FOCAL.middle) / FOCAL.spread, u[LENS] / LENS_SPREAD, u[HALF] / TURN_SPREAD);
  setting.guess.forEach((along, k) => {
    out.push((u[FROM + k] - along) / END_SPREAD);
  });
  return Float64Array.from(out);
}

/** Signed distances of the line's points from the straight line that fits them best on the sheet, pattern units. */
function strays(line: Float64Array, camera: Camera, planes: Planes, lens: number): number[] {
  const plain = withoutLens(lens, line);
  const xs: number[] = [];
  const ys: number[] = [];
  for (let i = 0; i < plain.length; i += 2) {
    const [x, y] = placeAt(camera, planes, plain[i], plain[i + 1]);
    xs.push(x);
    ys.push(y);
  }
  const mean = (of: readonly number[]): number => of.reduce((sum, v) => sum + v, 0) / of.length;
  const [mx, my] = [mean(xs), mean(ys)];
  let [xx, xy, yy] = [0, 0, 0];
  for (let i = 0; i < xs.length; i++) {
    xx += (xs[i] - mx) ** 2;
    xy += (xs[i] - mx) * (ys[i] - my);
    yy += (ys[i] - my) ** 2;
  }
  const angle = Math.atan2(2 * xy, xx - yy) / 2;
  const [nx, ny] = [-Math.sin(angle), Math.cos(angle)];
  return xs.map((x, i) => nx * (x - mx) + ny * (ys[i] - my));
}

/** Signed distances of the traced points from the fitted sides, px, side by side. */
export function sideMisses(u: ArrayLike<number>, setting: Setting): Float64Array {
  const { sheet, points } = setting;
  const [camera, planes, lens] = [cameraOf(u, setting), planesOf(u, setting), lensOf(u, setting)];
  const seen = sheet.polygon.map(([x, y]) => seesPlace(camera, planes, x - 0.5, 0.5 - y));
  const ends = [seesPlace(camera, planes, planes.ax, planes.ay), seesPlace(camera, planes, planes.bx, planes.by)];
  const out = new Float64Array(points.reduce((sum, side) => sum + side.length / 2, 0));
  let k = 0;
  points.forEach((side, i) => {
    const plain = withoutLens(lens, side);
    const [p, q] = [seen[i], seen[(i + 1) % seen.length]];
    const [cx, cy] = [q[0] - p[0], q[1] - p[1]];
    const end = [FROM, TO].findIndex((k) => sideOf(u[k], sheet) === i);
    const kink = end < 0 ? q : ends[end];
    const first = normalOf(p, kink);
    const second = normalOf(end < 0 ? p : kink, q);
    for (let j = 0; j < plain.length; j += 2, k++) {
      const [x, y] = [plain[j] - kink[0], plain[j + 1] - kink[1]];
      const [nx, ny] = x * cx + y * cy < 0 ? first : second;
      out[k] = nx * x + ny * y;
    }
  });
  return out;
}

/** The unit normal outward of the way from p to q, counterclockwise on the sheet. */
function normalOf(p: readonly [number, number], q: readonly [number, number]): [number, number] {
  const [dx, dy] = [q[0] - p[0], q[1] - p[1]];
  const length = Math.hypot(dx, dy) || 1;
  return [-dy / length, dx / length];
}

/** Signed distances of the traced points outward from the fitted sides, px, side by side in the order of the traced ones. */
export function leftOfSides({ unknowns, setting }: Fitted): Float64Array[] {
  const all = sideMisses(unknowns, setting);
  let from = 0;
  return setting.points.map((side) => {
    const to = from + side.length / 2;
    const own = all.slice(from, to);
    from = to;
    return own;
  });
}
