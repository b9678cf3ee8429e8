/** The proportions of a sheet as the squares or dots printed on its paper show them: squared and dotted paper is square. Common practice, no source. */
import { patternToPaper } from '../geometry/frames.ts';
import { apply, type Homography, homographyFrom, inverse } from '../geometry/homography.ts';
import type { InkField } from '../ink/ink.ts';
import type { ShownProportions } from '../rectify/proportions.ts';
import type { Strokes } from '../strokes/strokes.ts';
import type { PaperPoint, PicturePoint, Sheet } from '../types.ts';
import { findDots, type Squares } from './dots.ts';
import type { PaperLine } from './past-outline.ts';
import { findRulings } from './rulings.ts';

export interface SquaresSeen {
  /** Natural log of width over height of the outline as it is drawn, and its spread. */
  readonly log: number;
  readonly spread: number;
  /** Natural log of width over height in whole squares where the outline keeps to them; null elsewhere. */
  readonly whole: number | null;
  readonly flat: ShownProportions['flat'];
}

/** Squares are seen on a flat sheet where they lie this even on the picture, a share of a square, root mean square. */
const EVEN = 0.05;
/** The sheet was bent to its outline where it has them less even: the picture's unevenness is less than this share of the sheet's. */
const BENT = 0.6;
/** An outline known in squares is known to this at best, natural log: lines have a width. */
const FINEST = 0.0015;
/** The outline's angles are right in squares, up to this (cosine): on paper of other cells they are not. */
const RIGHT = 0.06;
/** The outline keeps to the squares if all its corners lie this near to theirs, in squares: by chance three in a thousand do. */
const ON_SQUARES = 0.12;
/** Each side is looked at in so many places. */
const PLACES = 9;
/** Lines of a ruling that are crossed with those of the other one: the first, the last, and so many between. */
const LINES = 6;
/** Lines cross where the sine of the angle between them is larger. */
const LEAST_SINE = 0.5;

/** What the paper's squares or dots say; null where there are none. */
export function squaresSeen(strokes: Strokes, ink: InkField, sheet: Sheet): SquaresSeen | null {
  if (sheet.polygon.length !== 4) return null;
  const squares = findDots(sheet) ?? ruledSquares(strokes, ink, sheet);
  if (!squares || squares.at.length < 4) return null;
  // On the picture: the sheet was laid flat by its outline, which a hand may have drawn.
  const seen = squares.at.map(sheet.toPicture);
  const map = homographyFrom(seen, squares.to);
  const uneven = unevenness(map, seen, squares.to);
  if (uneven > EVEN) return null;
  const asLaid = unevenness(homographyFrom(squares.at, squares.to), squares.at, squares.to);
  return outlineIn(map, sheet, uneven < BENT * asLaid);
}

/** How far places are from where the map carries them, squares, root mean square. */
function unevenness(map: Homography, from: readonly Place[], to: readonly Place[]): number {
  const sum = from.reduce((sum, p, k) => sum + between(apply(map, p), to[k]) ** 2, 0);
  return Math.sqrt(sum / from.length);
}

type Place = readonly [column: number, row: number];

const between = (a: Place, b: Place): number => Math.hypot(b[0] - a[0], b[1] - a[1]);

/** The outline's proportions in squares; null where it is no rectangle there. */
function outlineIn(map: Homography, sheet: Sheet, isBent: boolean): SquaresSeen | null {
  const placeOf = (x: number, y: number): Place => apply(map, sheet.toPicture(patternToPaper(sheet, [x, y])));
  const corners = sheet.polygon.map(([x, y]) => placeOf(x, y));
  const lengths = corners.map((p, i) => between(p, corners[(i + 1) % 4]));
  const turns = corners.map((p, i) => {
    const [before, after] = [corners[(i + 3) % 4], corners[(i + 1) % 4]];
    const along = (before[0] - p[0]) * (after[0] - p[0]) + (before[1] - p[1]) * (after[1] - p[1]);
    return Math.abs(along / (lengths[i] * lengths[(i + 3) % 4]));
  });
  if (Math.max(...turns) > RIGHT) return null;
  // A hand wavers along a side: its middle is that of many places.
  const [bottom, right, top, left] = sheet.polygon.map(([x, y], i): Place => {
    const [u, v] = sheet.polygon[(i + 1) % 4];
    const places = Array.from({ length: PLACES }, (_, k) => {
      const t = (k + 0.5) / PLACES;
      return placeOf(x + t * (u - x), y + t * (v - y));
    });
    const mean = (axis: 0 | 1): number => places.reduce((sum, p) => sum + p[axis], 0) / PLACES;
    return [mean(0), mean(1)];
  });
  const [width, height] = [between(left, right), between(bottom, top)];
  // Of corners that are off by so much each, opposite sides differ by twice as much as their mean is off by.
  const off = Math.hypot(lengths[0] - lengths[2], lengths[1] - lengths[3]) / Math.sqrt(8);
  const spread = Math.hypot(FINEST, off / width, off / height);
  const log = Math.log(width / height);
  const flat = isBent ? layOut(inverse(map), [bottom, right, top, left]) : null;
  return { log, spread, whole: wholeIn(corners), flat };
}

/** The rectangle whose sides have these middles, bottom, right, top, left, in squares; from shares of its sides to the picture. */
function layOut(
  toPicture: Homography,
  [bottom, right, top, left]: readonly Place[],
): (x: number, y: number) => PicturePoint {
  const [u, v] = [right[0] - left[0], right[1] - left[1]];
  const square = u * u + v * v;
  // Each pair of sides tells the middle across itself: along them, places may be off.
  const half = (a: Place, b: Place, dx: number, dy: number): number =>
    ((a[0] + b[0]) * dx + (a[1] + b[1]) * dy) / 2 / square;
  const [along, across] = [half(left, right, u, v), half(bottom, top, -v, u)];
  const middle = [along * u - across * v, along * v + across * u];
  // Upwards at right angles to rightwards, on the side where the top is.
  const up = (u * (top[1] - bottom[1]) - v * (top[0] - bottom[0])) / square;
  return (x, y) => {
    const [a, b] = [x - 0.5, (y - 0.5) * up];
    return apply(toPicture, [middle[0] + a * u - b * v, middle[1] + a * v + b * u]);
  };
}

/** Natural log of width over height in whole squares where all corners are on corners of squares; null elsewhere. */
function wholeIn(corners: readonly Place[]): number | null {
  const whole = corners.map(([column, row]): Place => [Math.round(column), Math.round(row)]);
  if (corners.some((p, i) => p.some((v, axis) => Math.abs(v - whole[i][axis]) > ON_SQUARES))) return null;
  const [from, across, opposite, up] = whole;
  const isRectangle =
    across[0] - from[0] === opposite[0] - up[0] &&
    across[1] - from[1] === opposite[1] - up[1] &&
    (across[0] === from[0] || across[1] === from[1]);
  const [width, height] = [between(from, across), between(from, up)];
  return isRectangle && width > 0 && height > 0 ? Math.log(width / height) : null;
}

/** Crossings of the lines of two rulings; null where there are none. */
function ruledSquares(strokes: Strokes, ink: InkField, sheet: Sheet): Squares | null {
  const rulings = findRulings(strokes.segments, ink, sheet);
  if (rulings.length !== 2) return null;
  const [across, up] = rulings.map(({ lines }) => {
    const every = Math.max(1, Math.floor((lines.length - 1) / (LINES - 1)));
    return lines.map((line, index) => ({ line, index })).filter(({ index }) => index % every === 0);
  });
  const crossings = across.flatMap((a) =>
    up.flatMap((b) => {
      const at = crossing(a.line, b.line);
      return at ? [{ at, to: [a.index, b.index] as const }] : [];
    }),
  );
  return { at: crossings.map(({ at }) => at), to: crossings.map(({ to }) => to) };
}

function crossing(a: PaperLine, b: PaperLine): PaperPoint | null {
  const sine = a.nx * b.ny - a.ny * b.nx;
  if (Math.abs(sine) < LEAST_SINE) return null;
  return [(a.off * b.ny - b.off * a.ny) / sine, (a.nx * b.off - b.nx * a.off) / sine];
}
