/**
 * How a sheet lies before the camera, from its traced sides: a pinhole camera with one term of lens distortion
 * (Brown 1971) before paper that is bent as paper bends without creasing: a general cylinder or cone whose rulings
 * are straight and along whose bent direction lengths are kept. Fitted by Levenberg (1944) and Marquardt (1963). Sides alone bent
 * across the sheet would keep the places along them wrong; the model knows how lengths shrink where the paper slants away.
 */
import { leastSquares } from '../geometry/least-squares.ts';
import type { PatternPoint, PicturePoint } from '../types.ts';
import { bentPlaces, bentSheet, type Places, placesAlong, type SheetBend } from './bent-sheet.ts';
import { type Camera, FOCAL, LENS_SPREAD, look, multiply, poseFrom, rotation } from './camera.ts';
import { type Bow, evaluate, largestBow } from './curve.ts';
import type { View } from './view.ts';

export interface CurledView {
  /** Pattern frame to picture px. */
  readonly toPicture: (p: PatternPoint) => PicturePoint;
  /** How far the fitted sides lie from the traced ones, px, root mean square. */
  readonly missPx: number;
}

/** Bending of the paper, radians a unit and so on: usual sizes. */
const BEND_SPREAD = 0.8;
/** One over the distance of the point where rulings meet: usual size, one over units. */
const CONE_SPREAD = 0.6;
/** Pictures are cut, so the lens' axis is not in their middle: usual distance, picture diagonals. */
const AXIS_SPREAD = 0.06;
/** Spread of traced sides and corners, px. */
const TRACE_PX = 0.8;
/** Places along a side at which it is compared. */
const SAMPLES = [0.06, 0.16, 0.27, 0.38, 0.5, 0.62, 0.73, 0.84, 0.94];
/** Directions of bending and amounts of it, slight and strong, to start from; the best end counts. */
const START_TURNS = [0, Math.PI / 4, Math.PI / 2, (3 * Math.PI) / 4];
const SLIGHT_BENDS = [0.35, -0.35];
const STRONG_BENDS = [1, -1];
const ROUNDS = 60;

/** Unknowns: focal length (log), small turn about three axes, place (x, y, log depth), direction of bending, three terms of it, lens, its axis (x, y, diagonals), cone. */
const COUNT = 15;
const CONE = 14;
const WITH_CONE = Array.from({ length: COUNT }, (_, u) => u);
const ALL_UNKNOWNS = WITH_CONE.slice(0, CONE);
const FIRST_BEND = 8;
/** A flat sheet before a lens: what that explains is no curl, which would move the middle of the sheet. */
const FLAT_UNKNOWNS = [0, 1, 2, 3, 4, 5, 6, 11, 12, 13];
/** The lens' axis in the middle of the picture: so many unknowns that the wobble of a hand is not taken for a view. */
const CENTRED_UNKNOWNS = ALL_UNKNOWNS.slice(0, 12);
/** A view that meets the sides this closely, root mean square, explains them: px, and share of the largest bow. */
const CLOSE_PX = 0.3;
const CLOSE_SHARE = 0.03;
/** Rulings meet beside the sheet where that is plainly better; where they meet to start from, one over units. */
const START_CONES = [0.8, -0.8];
/** The axis is beside the middle, or the sheet bent, where that brings the sum of squares down by more: more unknowns meet the sides a little better in any case. */
const PLAINLY_BETTER = 10;
/** A bent sheet meets the sides much closer than a lens that only happens to bend them alike: pictures cut far aside have strange lenses, too. */
const MUCH_CLOSER = 0.5;

interface Setting {
  readonly corners: readonly PicturePoint[];
  readonly bows: readonly Bow[];
  readonly centre: PicturePoint;
  readonly diagonal: number;
  /** Rotation to start from, row-major. */
  readonly turn: readonly number[];
  readonly places: Places;
}

/**
 * `polygon` (pattern frame, four corners or more) and `corners` on the picture correspond one to one, counterclockwise on the sheet;
 * `bows[i]` belongs to the side from corner i to the next, positive outward. `view` is the picture's size, px. Null where no pose
 * fits the corners; throws a RangeError where they fall together.
 */
export function curledView(
  polygon: readonly PatternPoint[],
  corners: readonly PicturePoint[],
  bows: readonly Bow[],
  view: View,
): CurledView | null {
  const centre: PicturePoint = [view.width / 2, view.height / 2];
  const diagonal = Math.hypot(view.width, view.height);
  const pose = poseFrom(polygon, corners, centre, Math.exp(FOCAL.middle) * diagonal);
  if (!pose) return null;
  const start = new Array<number>(COUNT).fill(0);
  start[0] = FOCAL.middle;
  start[4] = pose.x;
  start[5] = pose.y;
  start[6] = Math.log(pose.depth);
  const setting: Setting = { corners, bows, centre, diagonal, turn: pose.turn, places: placesAlong(polygon, SAMPLES) };
  const rows = residuals(start, setting).length;
  const missOf = ({ unknowns }: Fit): number => {
    const misses = residuals(unknowns, setting).slice(0, rows - PRIORS);
    return TRACE_PX * Math.sqrt(misses.reduce((sum, r) => sum + r * r, 0) / misses.length);
  };
  const viewOf = (fit: Fit): CurledView => ({ toPicture: projection(fit.unknowns, setting), missPx: missOf(fit) });
  const bestFrom = (begins: readonly (readonly number[])[], free: readonly number[]): Fit | null =>
    begins.reduce((best: Fit | null, begin) => {
      const end = fitFrom(begin, setting, free);
      return end && (!best || end.error < best.error) ? end : best;
    }, null);
  const close = Math.max(CLOSE_PX, CLOSE_SHARE * Math.max(...bows.map(largestBow)));
  const isMet = (fit: Fit | null): fit is Fit => fit !== null && missOf(fit) < close;
  const flat = bestFrom([start], FLAT_UNKNOWNS);
  // Nothing is plainly better than this.
  if (isMet(flat) && flat.error <= PLAINLY_BETTER) return viewOf(flat);
  const slight = startsFrom(start, SLIGHT_BENDS);
  const bent = [...slight, ...startsFrom(start, STRONG_BENDS)];
  const centred = bestFrom(bent, CENTRED_UNKNOWNS);
  const free = bestFrom(isMet(centred) ? [centred.unknowns] : bent, ALL_UNKNOWNS);
  const isCut = isMet(free) && (!isMet(centred) || centred.error - free.error > PLAINLY_BETTER);
  const onCylinder = isCut ? free : (centred ?? free);
  const coned = START_CONES.flatMap((cone) => slight.map((begin) => begin.with(CONE, cone)));
  const mayBeCone = onCylinder !== null && onCylinder.error > PLAINLY_BETTER;
  const cone = mayBeCone ? bestFrom(coned, WITH_CONE) : null;
  const isCone = cone !== null && onCylinder !== null && onCylinder.error - cone.error > PLAINLY_BETTER;
  const bentOne = isCone ? cone : onCylinder;
  const isBent =
    isMet(bentOne) &&
    isMet(flat) &&
    flat.error - bentOne.error > PLAINLY_BETTER &&
    missOf(isCone ? cone : (free ?? bentOne)) < MUCH_CLOSER * missOf(flat);
  const best = isMet(flat) && !isBent ? flat : bentOne;
  return best && viewOf(best);
}

/** The flat sheet bent by each amount in each direction. */
function startsFrom(flat: readonly number[], bends: readonly number[]): number[][] {
  return bends.flatMap((bend) => START_TURNS.map((turn) => flat.with(FIRST_BEND - 1, turn).with(FIRST_BEND, bend)));
}

interface Fit {
  readonly unknowns: readonly number[];
  readonly error: number;
}

/** Null where the search runs into a sheet seen edge on or the like, and no step is defined. */
function fitFrom(start: readonly number[], setting: Setting, free: readonly number[]): Fit | null {
  const withFree = (values: ArrayLike<number>): number[] => {
    const unknowns = [...start];
    free.forEach((u, i) => {
      unknowns[u] = values[i];
    });
    return unknowns;
  };
  const begin = free.map((u) => start[u]);
  const fit = leastSquares((values) => residuals(withFree(values), setting), begin, ROUNDS);
  return fit && { unknowns: withFree(fit.unknowns), error: 2 * fit.error };
}

/** Number of residuals at the end that are no measurement but what is usual. */
const PRIORS = 8;

/** Everything that should be zero, in units of its spread. */
function residuals(unknowns: readonly number[], setting: Setting): Float64Array {
  const { corners, bows, places } = setting;
  const bent = bentPlaces(bendOf(unknowns), places);
  const camera = cameraOf(unknowns, setting);
  const n = corners.length;
  const out = new Float64Array(n * (2 + SAMPLES.length) + PRIORS);
  const seen = new Float64Array(2);
  let k = 0;
  let at = 0;
  for (let i = 0; i < n; i++) {
    const p = corners[i];
    const q = corners[(i + 1) % n];
    look(camera, bent, at, seen);
    at += 3;
    out[k++] = (seen[0] - p[0]) / TRACE_PX;
    out[k++] = (seen[1] - p[1]) / TRACE_PX;
    const cx = q[0] - p[0];
    const cy = q[1] - p[1];
    const chord = Math.hypot(cx, cy);
    for (let s = 0; s < SAMPLES.length; s++, at += 3) {
      look(camera, bent, at, seen);
      const x = seen[0] - p[0];
      const y = seen[1] - p[1];
      const along = (x * cx + y * cy) / (chord * chord);
      const outward = (-x * cy + y * cx) / chord;
      out[k++] = (outward - evaluate(bows[i], along)) / TRACE_PX;
    }
  }
  out[k++] = (unknowns[0] - FOCAL.middle) / FOCAL.spread;
  out[k++] = unknowns[11] / LENS_SPREAD;
  for (let b = 8; b < 11; b++) out[k++] = unknowns[b] / BEND_SPREAD;
  out[k++] = unknowns[12] / AXIS_SPREAD;
  out[k++] = unknowns[13] / AXIS_SPREAD;
  out[k++] = unknowns[CONE] / CONE_SPREAD;
  return out;
}

function cameraOf(u: readonly number[], { centre, diagonal, turn }: Setting): Camera {
  return {
    focal: Math.exp(u[0]) * diagonal,
    m: multiply(rotation(u[1], u[2], u[3]), turn),
    x: u[4],
    y: u[5],
    depth: Math.exp(u[6]),
    lens: (4 * u[11]) / (diagonal * diagonal),
    axisX: centre[0] + u[12] * diagonal,
    axisY: centre[1] + u[13] * diagonal,
  };
}

/** The map that the unknowns describe. */
function projection(u: readonly number[], setting: Setting): CurledView['toPicture'] {
  const camera = cameraOf(u, setting);
  const sheet = bentSheet(bendOf(u));
  const bent = new Float64Array(3);
  const seen = new Float64Array(2);
  return ([px, py]) => {
    sheet(px, py, bent, 0);
    look(camera, bent, 0, seen);
    return [seen[0], seen[1]];
  };
}

function bendOf(u: readonly number[]): SheetBend {
  return [u[7], u[8], u[9], u[10], u[CONE]];
}
