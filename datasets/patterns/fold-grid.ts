/** Simulated folding on a square grid: pleat fields crossed by diagonals, grid folds, squares and rectangles. */
import { exact, subExact } from '../../pipeline/geometry/exact.ts';
import type { Exact } from '../../pipeline/types.ts';
import type { NamedPattern } from './family.ts';
import { foldPaper } from './fold.ts';
import { exactLine, type FoldLine, otherSide } from './fold-line.ts';
import { ALL_LAYERS, foldMany, type Propose, randomTarget, rectangle, type Step, sheetOf } from './fold-many.ts';
import { squareLattice } from './lattices.ts';
import { creasesOf, foldedBounds, foldedRing, type Paper } from './paper.ts';
import { makeRandom, type Random } from './random.ts';

const [ZERO, ONE, MINUS] = [exact(0), exact(1), exact(-1)];
/** Upright, level, and the two diagonals. */
const NORMALS: readonly (readonly [Exact, Exact])[] = [
  [ONE, ZERO],
  [ZERO, ONE],
  [ONE, ONE],
  [ONE, MINUS],
];

interface Taste {
  readonly divisions: number;
  /** Chance that a step is a pleat rather than a single fold. */
  readonly pleats: number;
  /** Chance that a fold is diagonal. */
  readonly diagonals: number;
  /** Chance that a fold takes all layers. */
  readonly all: number;
  /** Chance that a fold is laid beside the last one of its direction, and that it is laid through a vertex. */
  readonly near: number;
  readonly through: number;
  /** Chance that a pleat is one unit wide. */
  readonly narrow: number;
  /** Folds come in mirrored pairs about this line; none for free ones. */
  readonly mirror: 'upright' | 'diagonal' | 'none';
}

function gridLine(direction: number, units: number, divisions: number): FoldLine {
  return exactLine(...NORMALS[direction], exact(units, divisions));
}

/** Mirror image of a line, with the mirror image of its moving side. */
function mirrored(line: FoldLine, mirror: Taste['mirror']): FoldLine {
  const [a, b, c] = line.exact!;
  return mirror === 'diagonal' ? exactLine(b, a, c) : exactLine(subExact(ZERO, a), b, subExact(c, a));
}

/** Units at which a line of this direction can cross the folded shape: first and last. */
function span(paper: Paper, direction: number, divisions: number): [number, number] {
  const [x0, y0, x1, y1] = foldedBounds(paper);
  const [from, to] = [
    [x0, x1],
    [y0, y1],
    [x0 + y0, x1 + y1],
    [x0 - y1, x1 - y0],
  ][direction];
  return [Math.ceil(from * divisions + 1e-6), Math.floor(to * divisions - 1e-6)];
}

/** The line of this direction through a random vertex, in units; null where that is no grid line. */
function unitsThrough(paper: Paper, direction: number, divisions: number, random: Random): number | null {
  const [x, y] = random.pick(foldedRing(paper, random.pick(paper.faces)));
  const units = [x, y, x + y, x - y][direction] * divisions;
  return Math.abs(units - Math.round(units)) < 1e-6 ? Math.round(units) : null;
}

/** Proposes single folds and pleats by taste; remembers where the last ones were, so that pleats come in fields. */
function gridProposer(taste: Taste, random: Random): Propose {
  const last: (number | null)[] = [null, null, null, null];
  const { divisions } = taste;
  return (paper) => {
    const direction = random.chance(taste.diagonals) ? random.int(2, 3) : random.int(0, 1);
    const [from, to] = span(paper, direction, divisions);
    if (from > to) return [];
    let units = random.int(from, to);
    const beside = last[direction];
    if (beside !== null && random.chance(taste.near)) units = beside + random.pick([-2, -1, 1, 2]);
    else if (random.chance(taste.through)) units = unitsThrough(paper, direction, divisions, random) ?? units;
    const way = random.chance(0.5) ? 'over' : 'under';
    const reach = random.chance(taste.all) ? ALL_LAYERS : random.int(1, Math.max(1, Math.ceil(paper.faces.length / 2)));
    let line = gridLine(direction, units, divisions);
    // A mirrored pair should leave the middle where it is; single folds may turn either side.
    const middleMoves = line.a * 0.5 + line.b * 0.5 > line.c;
    const turned = taste.mirror === 'none' ? random.chance(0.5) : middleMoves;
    if (turned) line = otherSide(line);
    const steps: Step[] = [{ line, way, reach }];
    if (random.chance(taste.pleats)) {
      const width = random.chance(taste.narrow) ? 1 : random.int(2, 3);
      const after = foldPaper(paper, line, steps[0]);
      if (!after) return [];
      const back = gridLine(direction, turned ? units + width : units - width, divisions);
      // Only what was moved should go back.
      const moved = after.faces.filter((face, i) => paper.faces[i] !== face).length;
      steps.push({ line: turned ? back : otherSide(back), way, reach: Math.max(1, Math.min(moved, reach)) });
      units += turned ? 2 * width : -2 * width;
    }
    last[direction] = units;
    if (taste.mirror === 'none') return steps;
    const image = mirrored(line, taste.mirror);
    const same = image.a === line.a && image.b === line.b && image.c === line.c;
    return same ? steps : [...steps, ...steps.map((step) => ({ ...step, line: mirrored(step.line, taste.mirror) }))];
  };
}

interface Sheet {
  readonly divisionsX: number;
  readonly divisionsY: number;
}

function foldOnGrid(
  family: NamedPattern['family'],
  seed: number,
  random: Random,
  sheet: Sheet,
  most: number,
  pleaty: boolean,
): NamedPattern {
  const { divisionsX, divisionsY } = sheet;
  const divisions = Math.max(divisionsX, divisionsY);
  const isSquare = divisionsX === divisionsY;
  const taste = (): Propose =>
    gridProposer(
      {
        divisions,
        pleats: pleaty ? random.range(0.6, 0.95) : random.range(0, 0.3),
        diagonals: random.range(0.1, 0.5),
        all: random.range(0.1, 0.9),
        near: random.range(0, 0.7),
        through: random.range(0, 0.6),
        narrow: random.range(0.5, 1),
        mirror: isSquare && random.chance(0.45) ? random.pick(['upright', 'diagonal'] as const) : 'none',
      },
      random,
    );
  const limits = { target: randomTarget(random, 20, most), spacing: 0.49 / divisions };
  const start = sheetOf(rectangle(exact(divisionsX, divisions), exact(divisionsY, divisions)));
  const paper = foldMany(start, random, limits, taste);
  const size = isSquare ? `${divisions}` : `${divisionsX}x${divisionsY}`;
  return {
    name: `${family}-${size}-${seed}`,
    family,
    pattern: creasesOf(paper, squareLattice(divisionsX, divisionsY, paper.exact)),
    source: `Simulated folding on ${isSquare ? size : `${divisionsX} by ${divisionsY}`} divisions, seed ${seed}.`,
    lawful: 'folded',
  };
}

/** Pleats and single folds along grid lines and diagonals on 8 to 64 divisions, 20 to about 1,500 creases. */
export function makePleat(seed: number): NamedPattern {
  const random = makeRandom(seed * 31 + 21);
  const n = random.pick([8, 10, 12, 14, 16, 16, 18, 20, 24, 24, 28, 32, 32, 36, 40, 48, 64]);
  return foldOnGrid('pleat', seed, random, { divisionsX: n, divisionsY: n }, Math.min(1500, n * 60), true);
}

/** Single folds mostly, on 4 to 16 divisions. */
export function makeGrid(seed: number): NamedPattern {
  const random = makeRandom(seed * 31 + 22);
  const n = random.pick([4, 5, 6, 7, 8, 9, 10, 12, 16]);
  return foldOnGrid('grid', seed, random, { divisionsX: n, divisionsY: n }, 400, false);
}

/** Rectangles of whole divisions: 1 to 2, 3 to 4 and the like, upright or level. */
export function makeGridRectangle(seed: number, random: Random): NamedPattern {
  const [p, q] = random.pick([
    [1, 2],
    [3, 4],
    [2, 3],
    [4, 5],
    [1, 3],
    [5, 8],
  ] as const);
  const times = random.int(Math.ceil(8 / q), Math.floor(32 / q));
  const [short, long] = [p * times, q * times];
  const sheet = random.chance(0.5) ? { divisionsX: short, divisionsY: long } : { divisionsX: long, divisionsY: short };
  return foldOnGrid('rectangle', seed, random, sheet, 600, random.chance(0.6));
}
