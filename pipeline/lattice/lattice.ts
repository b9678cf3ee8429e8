import { type Bend, bendAt, fitBend, NO_BEND } from '../geometry/bend.ts';
import { sidesOf } from '../geometry/sides.ts';
import type { Segment } from '../strokes/segments.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { RecoverOptions, Sheet } from '../types.ts';
import { looksChance, runsAtEighths } from './chance.ts';
import { familyBend } from './family-bend.ts';
import { followGrid } from './follow-grid.ts';
import { GRID_DIRECTIONS, gridDirectionOf } from './grid-directions.ts';
import { gridSamples, gridSpread } from './grid-samples.ts';
import { growBend } from './grow.ts';
import { FINEST_SHARE, findPitch, type OffsetLines, type Pitch } from './pitch.ts';
import type { StraightSegment } from './straight-segment.ts';
import { unbendLines } from './unbend.ts';

/** The grid that the strokes lie on, and the bend of the sheet that it reveals. */
export interface LatticeFit {
  /** Null where no square grid explains the strokes. */
  readonly pitch: Pitch | null;
  /** Spacing of the finest lines (half units where they occur), pattern units; 0 without a grid. */
  readonly step: number;
  readonly bend: Bend;
  /** Robust spread of straightened segments about the grid lines, pattern units. */
  readonly spread: number;
  /** Segments in the pattern frame after the bend was taken out, same order as strokes.segments. */
  readonly straight: readonly StraightSegment[];
}

/** Tolerances tried for a line's distance from the grid, paper px, tight first. */
const TOLERANCES_PX = [1, 1.8, 3, 4.5];
/** ... and for shaky hands, when nothing else was found. */
const SHAKY_PX = [8, 14];
/** With such tolerances a grid fine enough is met by chance: the tolerance as a share of its step at most, ... */
const SHAKY_SHARE = 0.08;
/** ... and hardly any line is met by chance where it is less than that; then this share of the lines is enough. */
const COARSE_SHARE = 0.025;
const FAIR = 0.65;
/** A sheet whose lines lie this close to the grid is flat. */
const FLAT_PX = 0.3;
/** A bend is kept if it leaves at most this share of the spread. */
const WORTH = 0.88;
const LEAST_SAMPLES = 25;

/**
 * How a bend is polished. `pull` is the pull of each round towards the bend before it, a share of the samples' weight;
 * `loneReach`, how far off a line may lie at most to be fitted, a share of the step: on a curled sheet a lone line far from
 * others may still be off, and the robust fit forgets what does not follow. Sheets that seem flat are bent less freely:
 * unsteady hands are no bends.
 */
const POLISH = { flat: { pull: 1e-4, loneReach: 0 }, curled: { pull: 1e-5, loneReach: 0.12 } };
/** Degrees of the bend, coarse first; each round assigns anew. */
const BEND_DEGREES = [1, 2, 3, 5, 7];

/** Shorter segments say too little about where a line lies: dots, dash ends, blots at crossings. */
const LEAST_LENGTH_PX = 6;
const LEAST_LENGTH_WIDTHS = 3.5;

export type LatticeOptions = Pick<RecoverOptions, 'divisions' | 'flat'>;

/**
 * Finds the square grid under the strokes by a robust vote and the smooth bend that is left in the sheet; without a grid, the
 * bend that the 22.5-degree family or the straightness of long lines tells. `divisions`
 * sets the grid if a person or the printed paper says it; half units are still looked for. `flat` leaves the bend in.
 */
export function findLattice(
  strokes: Strokes,
  sheet: Sheet,
  { divisions, flat: isFlat = false }: LatticeOptions = {},
): LatticeFit {
  const px = 1 / sheet.pxPerUnit;
  const least = Math.max(LEAST_LENGTH_PX, LEAST_LENGTH_WIDTHS * strokes.strokeWidthPx) * px;
  const flat = strokes.segments.map((s) => straighten(s, sheet, NO_BEND));
  const setting: Setting = { strokes, sheet, least, px, divisions, isFlat };
  let best: LatticeFit | null = null;
  for (const tolerancePx of TOLERANCES_PX) {
    const fit = freerIfBetter(fitFrom(NO_BEND, flat, tolerancePx, setting), flat, tolerancePx, setting);
    if (fit && (fit.pitch?.explained ?? 0) >= GOOD) return fit;
    best = better(best, fit);
  }
  const long = flat.filter((s) => s.length >= least);
  // Bends and loose tolerances are free enough to lay the 22.5-degree family on a grid.
  const mayBeGrid = !runsAtEighths(flat, least);
  const grown = isFlat || !mayBeGrid ? null : growBend(long, sidesOf(sheet.polygon), px);
  if (grown) {
    const straight = strokes.segments.map((s) => straighten(s, sheet, grown));
    for (const tolerancePx of TOLERANCES_PX) {
      const fit = fitFrom(grown, straight, tolerancePx, setting);
      best = better(best, fit);
      if (fit && (fit.pitch?.explained ?? 0) >= GOOD) break;
    }
  }
  if (!best && mayBeGrid) {
    for (const tolerancePx of SHAKY_PX) best ??= fitFrom(NO_BEND, flat, tolerancePx, setting, { shaky: true });
  }
  if (best) return best;
  const by = (bend: Bend) => strokes.segments.map((s) => straighten(s, sheet, bend));
  const bend = isFlat
    ? NO_BEND
    : (familyBend(long, sidesOf(sheet.polygon), px) ?? unbendLines(strokes, sheet, by, least));
  return { pitch: null, step: 0, bend, spread: 0, straight: by(bend) };
}

/** A lattice that explains this share of the lines is taken without looking further. */
const GOOD = 0.85;

interface Setting {
  readonly strokes: Strokes;
  readonly sheet: Sheet;
  readonly least: number;
  readonly px: number;
  readonly divisions: number | undefined;
  readonly isFlat: boolean;
}

function better(a: LatticeFit | null, b: LatticeFit | null): LatticeFit | null {
  if (!a || !b) return a ?? b;
  return (b.pitch?.explained ?? 0) > (a.pitch?.explained ?? 0) + 0.02 ? b : a;
}

/** The fit, or one polished as freely as a curled sheet if that lays more lines on the same grid. */
function freerIfBetter(
  fit: LatticeFit | null,
  flat: readonly StraightSegment[],
  tolerancePx: number,
  setting: Setting,
): LatticeFit | null {
  if (!fit?.pitch || fit.bend === NO_BEND) return fit;
  const freer = fitFrom(NO_BEND, flat, tolerancePx, setting, { polish: POLISH.curled });
  const isBetter =
    freer?.pitch?.divisions === fit.pitch.divisions && freer.pitch.explained > fit.pitch.explained + 0.01;
  return isBetter ? freer : fit;
}

/** The pitch at one tolerance, and the bend polished on it, starting from a bend already known. */
function fitFrom(
  start: Bend,
  begun: readonly StraightSegment[],
  tolerancePx: number,
  { strokes, sheet, least, px, divisions, isFlat }: Setting,
  { polish = start === NO_BEND ? POLISH.flat : POLISH.curled, shaky = false } = {},
): LatticeFit | null {
  let bend = start;
  let straight = begun;
  const finestShare = shaky ? SHAKY_SHARE : FINEST_SHARE;
  const sides = offsetsOfSides(sheet);
  const pitch = findPitch(offsetLines(straight, sheet, least, tolerancePx * px), tolerancePx * px, {
    divisions,
    finestShare,
    sides,
  });
  if (!pitch || (!divisions && (looksChance(pitch, straight, least) || leavesSides(pitch, sheet)))) return null;
  let spread = gridSpread(straight, stepOf(pitch), least, px);
  for (const degree of BEND_DEGREES) {
    if (isFlat || spread < FLAT_PX * px) break;
    const step = stepOf(pitch);
    // The first, stiff bends must catch far-off lines; later ones only polish.
    const reach =
      degree === BEND_DEGREES[0]
        ? 0.3 * step
        : Math.min(0.3 * step, Math.max(5 * spread, 1.5 * px, polish.loneReach * step));
    const samples = gridSamples(strokes, straight, { step, least, reach }, sheet);
    if (samples.x.length < LEAST_SAMPLES * (degree + 1)) break;
    const next = fitBend(samples, degree, Math.max(0.6 * px, 1.5 * spread), polish.pull, bend);
    const straighter = strokes.segments.map((s) => straighten(s, sheet, next));
    const left = gridSpread(straighter, step, least, px);
    // A freer bend must earn its freedom.
    if (left > WORTH * spread) continue;
    bend = next;
    straight = straighter;
    spread = left;
  }
  if (!isFlat && bend !== NO_BEND) {
    const by = (b: Bend) => strokes.segments.map((s) => straighten(s, sheet, b));
    const followed = followGrid(strokes, { bend, straight, spread }, by, { step: stepOf(pitch), least }, sheet);
    if (followed) ({ bend, straight, spread } = followed);
  }
  const tight = Math.max(TOLERANCES_PX[0] * px, 2.5 * spread);
  const again = findPitch(offsetLines(straight, sheet, least, tight), tight, { divisions, sides });
  if (!again) {
    const isCoarse = tolerancePx * px * pitch.divisions < COARSE_SHARE;
    if (!shaky || pitch.explained < (isCoarse ? FAIR : GOOD)) return null;
    // A few wobbly lines among many straight sides: the grid is right, the lines keep their room.
    return { pitch, step: stepOf(pitch), bend, spread: Math.max(spread, (tolerancePx * px) / 3), straight };
  }
  if (!divisions && (looksChance(again, straight, least) || leans(again, straight, least, px))) return null;
  if (!divisions && leavesSides(again, sheet)) return null;
  if (again.divisions !== pitch.divisions && again.explained < pitch.explained - 0.02) return null;
  return { pitch: again, step: stepOf(again), bend, spread, straight };
}

export function stepOf(pitch: Pitch): number {
  return 1 / (pitch.halfUnits ? 2 * pitch.divisions : pitch.divisions);
}

/** A segment from paper px to pattern units, the bend taken out of both its ends. */
export function straighten(s: Segment, sheet: Sheet, bend: Bend): StraightSegment {
  const scale = 1 / sheet.pxPerUnit;
  const x = (s.x - sheet.originPx[0]) * scale;
  const y = (sheet.originPx[1] - s.y) * scale;
  const hx = (Math.cos(s.angle) * s.length * scale) / 2;
  const hy = (-Math.sin(s.angle) * s.length * scale) / 2;
  const [ax, ay] = bendAt(bend, x - hx, y - hy);
  const [bx, by] = bendAt(bend, x + hx, y + hy);
  const [mx, my] = bendAt(bend, x, y);
  const dx = 2 * hx + bx - ax;
  const dy = 2 * hy + by - ay;
  let angle = Math.atan2(dy, dx);
  if (angle < 0) angle += Math.PI;
  if (angle >= Math.PI) angle -= Math.PI;
  return { x: x + mx, y: y + my, angle, length: Math.hypot(dx, dy) };
}

/** A side runs along a direction of the grid if it leaves it by less than this, radians. */
const ON_DIRECTION = 0.001;
/** Length of line that earns full trust in the vote, pattern units. */
const TRUSTED_LENGTH = 0.06;

/** Offsets of the sheet's sides that run along the grid's directions. */
function offsetsOfSides({ polygon }: Sheet): number[] {
  return sidesOf(polygon).flatMap(({ from, nx, ny }) => {
    const g = GRID_DIRECTIONS.find(({ a, b }) => Math.abs(a * ny - b * nx) < ON_DIRECTION);
    return g ? [g.a * from[0] + g.b * from[1]] : [];
  });
}

/** A rectangle is so many steps long and wide: a grid that misses a side by more than this, pattern units, is bent onto the lines. */
const MOST_OFF_SIDE = 0.0005;

function leavesSides(pitch: Pitch, sheet: Sheet): boolean {
  if (sheet.polygon.length !== 4) return false;
  const step = stepOf(pitch);
  return offsetsOfSides(sheet).some((at) => Math.abs(at - step * Math.round(at / step)) > MOST_OFF_SIDE);
}

/** Gathers the segments of each grid direction into distinct lines, but for those through corners of the sheet, which are there whatever the grid. */
function offsetLines(
  straight: readonly StraightSegment[],
  { polygon, pxPerUnit }: Sheet,
  least: number,
  tolerance: number,
): OffsetLines[] {
  const px = 1 / pxPerUnit;
  return GRID_DIRECTIONS.map((g, d) => {
    const own: { offset: number; length: number }[] = [];
    for (const s of straight) {
      if (s.length < least || gridDirectionOf(s, px) !== d) continue;
      if (s.x < -0.02 || s.x > 1.02 || s.y < -0.02 || s.y > 1.02) continue;
      own.push({ offset: g.a * s.x + g.b * s.y, length: s.length });
    }
    own.sort((u, v) => u.offset - v.offset);
    const offsets: number[] = [];
    const weights: number[] = [];
    for (let i = 0; i < own.length; ) {
      let sum = 0;
      let total = 0;
      let j = i;
      while (j < own.length && (j === i || own[j].offset - sum / total < tolerance)) {
        sum += own[j].offset * own[j].length;
        total += own[j].length;
        j++;
      }
      i = j;
      if (polygon.some(([x, y]) => Math.abs(g.a * x + g.b * y - sum / total) <= 2 * tolerance)) continue;
      offsets.push(sum / total);
      weights.push(Math.min(1, total / TRUSTED_LENGTH));
    }
    return { offsets: Float64Array.from(offsets), weights: Float64Array.from(weights) };
  });
}

/** A line of a grid leaves it by less than this from end to end, a share of the step or px; ... */
const LEAN_SHARE = 0.3;
const LEAN_PX = 3;
/** ... where more of the ink in the grid's directions does, the directions are others. */
const MOST_LEANING = 0.25;

/** Lines that run a little beside the directions of a grid have middles on some fine grid by chance. */
function leans(pitch: Pitch, straight: readonly StraightSegment[], least: number, px: number): boolean {
  const most = Math.max(LEAN_PX * px, LEAN_SHARE * stepOf(pitch));
  let leaning = 0;
  let all = 0;
  for (const s of straight) {
    if (s.length < least) continue;
    const d = gridDirectionOf(s, px);
    if (d < 0) continue;
    all += s.length;
    if (s.length * Math.abs(Math.sin(s.angle - GRID_DIRECTIONS[d].angle)) > most) leaning += s.length;
  }
  return leaning > MOST_LEANING * all;
}
