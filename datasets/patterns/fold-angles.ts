/** Simulated folding along other families of directions: 22.5 degrees, 30 degrees on hexagons and triangles, free. */
import { exact } from '../../pipeline/geometry/exact.ts';
import type { Exact, ExactPoint, Lattice } from '../../pipeline/types.ts';
import type { NamedPattern } from './family.ts';
import { makeGridRectangle } from './fold-grid.ts';
import { exactLine, type FoldLine, otherSide } from './fold-line.ts';
import {
  ALL_LAYERS,
  foldMany,
  type Limits,
  type Propose,
  randomTarget,
  rectangle,
  type Step,
  sheetOf,
} from './fold-many.ts';
import { HEX_FREE, latticeOf22, NO_LATTICE } from './lattices.ts';
import { creasesOf, foldedBounds, offsetThrough, type Paper } from './paper.ts';
import { makeRandom, type Random } from './random.ts';

type Normal = readonly [Exact, Exact];

const [ZERO, ONE, MINUS] = [exact(0), exact(1), exact(-1)];
/** tan 22.5° = √2 - 1, its negative, √3 and its negative. */
const [TAN, NEG_TAN] = [exact(-1, 1, 1), exact(1, 1, -1)];
const [ROOT3, NEG_ROOT3] = [exact(0, 1, 1, 3), exact(0, 1, -1, 3)];

/** Normals at multiples of 22.5 degrees; their length does not matter. */
const NORMALS_22: readonly Normal[] = [
  [ONE, ZERO],
  [ONE, TAN],
  [ONE, ONE],
  [TAN, ONE],
  [ZERO, ONE],
  [NEG_TAN, ONE],
  [MINUS, ONE],
  [MINUS, TAN],
];
/** Normals at multiples of 30 degrees. */
const NORMALS_30: readonly Normal[] = [
  [ONE, ZERO],
  [ROOT3, ONE],
  [ONE, ROOT3],
  [ZERO, ONE],
  [MINUS, ROOT3],
  [NEG_ROOT3, ONE],
];

/** Real designs keep the numbers of a vertex small; a larger one is a stray construction. */
const LARGEST_NUMBER = 600;
/** Smallest distance between vertices where there is no grid: still a few strokes apart on a small picture. */
const LEAST_SPACING = 0.018;

function stepAlong(line: FoldLine, paper: Paper, all: number, random: Random): Step {
  return {
    line: random.chance(0.5) ? line : otherSide(line),
    way: random.chance(0.5) ? 'over' : 'under',
    reach: random.chance(all) ? ALL_LAYERS : random.int(1, Math.max(1, Math.ceil(paper.faces.length / 2))),
  };
}

/** Lines of the given directions through vertices, as a folder finds them. */
function throughVertices(normals: readonly Normal[], random: Random): Propose {
  const all = random.range(0.2, 0.9);
  const line = lineMaker(normals, random);
  return (paper) => {
    const next = line(paper);
    return next ? [stepAlong(next, paper, all, random)] : [];
  };
}

/** Lines through vertices at multiples of 22.5 degrees, or of 45 degrees where `step` is 2, turned either way. */
export function linesThroughVertices(step: 1 | 2, random: Random): (paper: Paper) => FoldLine | null {
  const line = lineMaker(
    NORMALS_22.filter((_, i) => i % step === 0),
    random,
  );
  return (paper) => {
    const next = line(paper);
    return next && random.chance(0.5) ? otherSide(next) : next;
  };
}

function lineMaker(normals: readonly Normal[], random: Random): (paper: Paper) => FoldLine | null {
  /** Chance of one more fold through the last vertex: that makes the fans of real patterns. */
  const again = random.range(0, 0.4);
  let last: number | null = null;
  return (paper) => {
    const face = random.pick(paper.faces);
    if (last === null || !face.ring.includes(last) || !random.chance(again)) last = random.pick(face.ring);
    const at = paper.exact[last];
    const [a, b] = random.pick(normals);
    const c = at && offsetThrough(face, at, a, b);
    if (!c || Math.max(Math.abs(c.p), Math.abs(c.r), c.q) > LARGEST_NUMBER) return null;
    return exactLine(a, b, c);
  };
}

function fold(
  start: Paper,
  random: Random,
  limits: Limits,
  taste: () => Propose,
  lattice: (points: readonly (ExactPoint | null)[]) => Lattice,
  named: Omit<NamedPattern, 'pattern' | 'lawful'>,
): NamedPattern {
  const paper = foldMany(start, random, limits, taste);
  return { ...named, pattern: creasesOf(paper, lattice(paper.exact)), lawful: 'folded' };
}

export function makeAngle22(seed: number): NamedPattern {
  const random = makeRandom(seed * 31 + 23);
  const limits = { target: randomTarget(random, 16, 420), spacing: LEAST_SPACING };
  return fold(sheetOf(rectangle(ONE, ONE)), random, limits, () => throughVertices(NORMALS_22, random), latticeOf22, {
    name: `angle22-${seed}`,
    family: 'angle22',
    source: `Simulated folding along lines at multiples of 22.5 degrees, seed ${seed}.`,
  });
}

export function makeFree(seed: number): NamedPattern {
  const random = makeRandom(seed * 31 + 24);
  const limits = { target: randomTarget(random, 16, 300), spacing: LEAST_SPACING };
  const taste = (): Propose => {
    const all = random.range(0.3, 1);
    return (paper) => {
      const [x0, y0, x1, y1] = foldedBounds(paper);
      const angle = random.range(0, 2 * Math.PI);
      const [a, b] = [Math.cos(angle), Math.sin(angle)];
      const c = a * random.range(x0, x1) + b * random.range(y0, y1);
      return [stepAlong({ a, b, c, exact: null }, paper, all, random)];
    };
  };
  return fold(sheetOf(rectangle(ONE, ONE)), random, limits, taste, () => NO_LATTICE, {
    name: `free-${seed}`,
    family: 'free',
    source: `Simulated folding along free lines, seed ${seed}.`,
  });
}

/** Rectangles: on a grid, or of the proportion 1 to √2 with lines at multiples of 22.5 degrees. */
export function makeRectangle(seed: number): NamedPattern {
  const random = makeRandom(seed * 31 + 25);
  if (random.chance(0.75)) return makeGridRectangle(seed, random);
  const short = exact(0, 2, 1);
  const upright = random.chance(0.5);
  return fold(
    sheetOf(upright ? rectangle(short, ONE) : rectangle(ONE, short)),
    random,
    { target: randomTarget(random, 16, 250), spacing: LEAST_SPACING },
    () => throughVertices(NORMALS_22, random),
    latticeOf22,
    {
      name: `rectangle-a-${seed}`,
      family: 'rectangle',
      source: `Simulated folding of a 1 to √2 sheet along lines at multiples of 22.5 degrees, seed ${seed}.`,
    },
  );
}

/** √3 / 2, the height of the unit triangle and of the hexagon of width 1. */
const TALL = exact(0, 2, 1, 3);
const [QUARTER, HALF, THREE_QUARTERS, MIDDLE] = [exact(1, 4), exact(1, 2), exact(3, 4), exact(0, 4, 1, 3)];

const OUTLINES_30: Readonly<Record<string, readonly ExactPoint[]>> = {
  hexagon: [
    [QUARTER, ZERO],
    [THREE_QUARTERS, ZERO],
    [ONE, MIDDLE],
    [THREE_QUARTERS, TALL],
    [QUARTER, TALL],
    [ZERO, MIDDLE],
  ],
  triangle: [
    [ZERO, ZERO],
    [ONE, ZERO],
    [HALF, TALL],
  ],
};

/** Folds along lines of the triangular grid (60 degrees) and square to them, at whole steps of the grid. */
function triangularProposer(divisions: number, random: Random): Propose {
  const all = random.range(0.3, 1);
  const diagonal = random.range(0.1, 0.5);
  return (paper) => {
    // Even places of the list are square to the grid's own directions: a step there is half as wide or a third as tall.
    const own = !random.chance(diagonal);
    const n = 2 * random.int(0, 2) + (own ? 1 : 0);
    const [a, b] = NORMALS_30[n];
    const unit = n === 0 || n === 3 ? 2 * divisions : divisions;
    const [x0, y0, x1, y1] = foldedBounds(paper);
    const [na, nb] = [a.p + a.r * Math.sqrt(3), b.p + b.r * Math.sqrt(3)];
    const middle = na * random.range(x0, x1) + nb * random.range(y0, y1);
    const k = Math.round((own ? middle / Math.sqrt(3) : middle) * unit);
    const c = own ? exact(0, unit, k, 3) : exact(k, unit);
    return [stepAlong(exactLine(a, b, c), paper, all, random)];
  };
}

/** Hexagons and triangles on the triangular grid. */
export function makePolygon(seed: number): NamedPattern {
  const random = makeRandom(seed * 31 + 26);
  const shape = random.pick(Object.keys(OUTLINES_30));
  const divisions = random.pick([4, 6, 8, 8, 12, 16]);
  const free = random.chance(0.25);
  return fold(
    sheetOf(OUTLINES_30[shape]),
    random,
    { target: randomTarget(random, 16, 300), spacing: free ? LEAST_SPACING : 0.28 / divisions },
    () => (free ? throughVertices(NORMALS_30, random) : triangularProposer(divisions, random)),
    () => ({ ...HEX_FREE, divisionsX: free ? 0 : divisions }),
    {
      name: `${shape}-${free ? 'free' : divisions}-${seed}`,
      family: 'polygon',
      source: `Simulated folding of a ${shape} along lines at multiples of 30 degrees, seed ${seed}.`,
    },
  );
}
