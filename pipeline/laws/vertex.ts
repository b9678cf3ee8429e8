/** The folds around one vertex, and how far measured positions excuse their angles. */
import type { Kind, Pattern } from '../types.ts';
import type { Around } from './around.ts';

export const FULL_TURN = 2 * Math.PI;
export const DEGREES = 180 / Math.PI;
/** Angles of exact points differ by more than this or not at all (128 divisions with half units, degree 4), radians. */
export const EXACT_TOLERANCE_RAD = 1e-11;
/** Positions given by decimals are never trusted beyond rounding in double precision, pattern units. */
const ROUNDING_TOLERANCE = 1e-9;
/** Too few vertices to estimate an error from: four decimals, as drawings have them, pattern units. */
const FEW_TOLERANCE = 1e-4;
/** The most that is excused where no lattice says more: half a stroke on a small picture, pattern units. */
const MEASURED_TOLERANCE = 1e-3;
/** Measured positions are good to the residual most of the time and to three times that nearly always. */
const RESIDUALS = 3;
/** The middle one of many errors is 0.67 of their spread; none of some hundred exceeds five spreads. */
const MEDIANS = 8;
/** Fewer measured vertices than this say nothing of the rest. */
const LEAST_SAMPLE = 8;
/** However short the creases: sums that are further off are never excused by the measurement, radians. */
const MOST_TOLERANCE_RAD = 4 / DEGREES;

/** The folds at one vertex, counterclockwise. */
export interface VertexFolds {
  readonly creases: readonly number[];
  readonly far: readonly number[];
  readonly kinds: readonly Kind[];
  /** Sector i lies between crease i and crease i + 1, radians. */
  readonly sectorsRad: readonly number[];
  readonly lengths: readonly number[];
}

/** Folds around a vertex without guides; null for a vertex on an edge or cut of the sheet. */
export function foldsAt(pattern: Pattern, around: Around, vertex: number): VertexFolds | null {
  const creases: number[] = [];
  const far: number[] = [];
  const kinds: Kind[] = [];
  const angles: number[] = [];
  const lengths: number[] = [];
  for (let place = around.start[vertex]; place < around.start[vertex + 1]; place++) {
    const { kind } = pattern.creases[around.crease[place]];
    if (kind === 'B' || kind === 'C') return null;
    // A crease without length has no direction; checkPlanarGraph reports it.
    if (kind === 'F' || around.length[place] === 0) continue;
    creases.push(around.crease[place]);
    far.push(around.far[place]);
    kinds.push(kind);
    angles.push(around.angle[place]);
    lengths.push(around.length[place]);
  }
  const sectorsRad = angles.map((angle, i) => (i + 1 < angles.length ? angles[i + 1] : angles[0] + FULL_TURN) - angle);
  return { creases, far, kinds, sectorsRad, lengths };
}

/** Sum of every other sector less half a turn, radians: 0 where Kawasaki holds. For even degrees. */
export function kawasakiDeviation(sectorsRad: readonly number[]): number {
  let sum = -Math.PI;
  for (let i = 0; i < sectorsRad.length; i += 2) sum += sectorsRad[i];
  return sum;
}

/**
 * How far a vertex without exact coordinates may be from where it should be, pattern units. Taken from the pattern itself:
 * eight times the displacement that explains the middle one of all deviations from Kawasaki, but no more than three times
 * the lattice's residual where there is a lattice, and no more than 1e-3 elsewhere. Few vertices are excused 1e-4 at most. Places from
 * a picture were fitted to the law, so that their deviations say too little: they are excused their residual at least.
 */
export function positionToleranceOf(pattern: Pattern, around: Around): number {
  const { lattice } = pattern;
  const onLattice = lattice !== null && lattice.kind !== 'none';
  const most = onLattice ? Math.max(ROUNDING_TOLERANCE, lattice.residual * RESIDUALS) : MEASURED_TOLERANCE;
  const least = Math.min(most, Math.max(ROUNDING_TOLERANCE, lattice?.residual ?? 0));
  const displacements: number[] = [];
  for (let v = 0; v < pattern.vertices.length; v++) {
    const folds = foldsAt(pattern, around, v);
    if (folds === null || folds.creases.length === 0 || folds.creases.length % 2 === 1) continue;
    const leverage = turnPerDisplacement(pattern, v, folds);
    if (leverage > 0) displacements.push(Math.abs(kawasakiDeviation(folds.sectorsRad)) / leverage);
  }
  displacements.sort((a, b) => a - b);
  if (displacements.length < LEAST_SAMPLE) {
    if (onLattice) return most;
    const largest = displacements.at(-1) ?? FEW_TOLERANCE;
    return Math.max(least, Math.min(FEW_TOLERANCE, MEDIANS * largest));
  }
  return Math.min(most, Math.max(least, MEDIANS * displacements[displacements.length >> 1]));
}

/** How far alternate sums at a vertex may be off, given what is known of the positions, radians. */
export function angleToleranceAt(
  pattern: Pattern,
  vertex: number,
  folds: VertexFolds,
  positionTolerance: number,
): number {
  const turned = turnPerDisplacement(pattern, vertex, folds) * positionTolerance;
  return Math.min(turned, MOST_TOLERANCE_RAD) + EXACT_TOLERANCE_RAD;
}

/**
 * Spread of the alternate sum, radians, per unit of spread in each coordinate of every vertex without exact coordinates:
 * first order, errors independent. A crease of length l at angle θ turns by its normal over l where its far end moves.
 */
function turnPerDisplacement(pattern: Pattern, vertex: number, folds: VertexFolds): number {
  const [x, y] = pattern.vertices[vertex];
  let [ownX, ownY, square] = [0, 0, 0];
  folds.far.forEach((f, i) => {
    const length = folds.lengths[i];
    const sign = i % 2 === 0 ? 1 : -1;
    ownX += (sign * (pattern.vertices[f][1] - y)) / length ** 2;
    ownY -= (sign * (pattern.vertices[f][0] - x)) / length ** 2;
    if (!pattern.exact[f]) square += 1 / length ** 2;
  });
  if (!pattern.exact[vertex]) square += ownX ** 2 + ownY ** 2;
  return Math.sqrt(square);
}
