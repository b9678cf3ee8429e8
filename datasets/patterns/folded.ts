/** The unlimited families: a sheet folded step by step at random, unfolded again. Lawful by construction. */
import { exact } from '../../pipeline/geometry/exact.ts';
import type { Exact, ExactPoint, Lattice } from '../../pipeline/types.ts';
import type { NamedPattern } from './family.ts';
import {
  copyPaper,
  creasesOf,
  exactLine,
  type FoldLine,
  foldedBounds,
  foldPaper,
  newPaper,
  offsetThrough,
  otherSide,
  type Paper,
} from './paper.ts';
import { makeRandom, type Random } from './random.ts';
import { wellSpaced } from './spacing.ts';

interface Step {
  readonly line: FoldLine;
  readonly way: 'over' | 'under';
  readonly reach: number;
}

const ALL = Number.MAX_SAFE_INTEGER;
/** Tries to find a next fold before the sheet is called done. */
const TRIES = 60;

function newSheet(width: Exact, height: Exact, w: number, h: number): Paper {
  const o = exact(0);
  const corners: ExactPoint[] = [
    [o, o],
    [width, o],
    [width, height],
    [o, height],
  ];
  return newPaper(
    [
      [0, 0],
      [w, 0],
      [w, h],
      [0, h],
    ],
    corners,
  );
}

interface Limits {
  /** Edges wanted; the sheet is done at or above it. */
  readonly target: number;
  /** Edges never exceeded. */
  readonly most: number;
  /** Smallest distance between vertices, sheet units. */
  readonly spacing: number;
}

/** Folds by proposed steps until the target is met or nothing more fits. A proposal is taken whole or not at all. */
function foldMany(start: Paper, random: Random, limits: Limits, propose: (paper: Paper) => Step[]): Paper {
  let paper = start;
  for (let failed = 0; failed < TRIES && paper.edges.size < limits.target; ) {
    let next: Paper | null = copyPaper(paper);
    for (const step of propose(paper)) {
      next = next && foldPaper(next, step.line, step);
      if (next && (next.edges.size > limits.most || !wellSpaced(next.points, limits.spacing, paper.points.length)))
        next = null;
    }
    if (next && next.edges.size > paper.edges.size) {
      paper = next;
      failed = random.int(0, 2);
    } else failed++;
  }
  return paper;
}

function gridLine(direction: number, offset: Exact): FoldLine {
  const [o, one, minus] = [exact(0), exact(1), exact(-1)];
  const normals: readonly [Exact, Exact][] = [
    [one, o],
    [o, one],
    [one, one],
    [one, minus],
  ];
  const [a, b] = normals[direction];
  return exactLine(a, b, offset);
}

/** A random whole number of units at which a line of this direction can cross the folded shape. */
function offsetUnits(paper: Paper, direction: number, divisions: number, random: Random): number {
  const [x0, y0, x1, y1] = foldedBounds(paper);
  const spans = [
    [x0, x1],
    [y0, y1],
    [x0 + y0, x1 + y1],
    [x0 - y1, x1 - y0],
  ];
  const [from, to] = spans[direction];
  return random.int(Math.ceil(from * divisions + 1e-6), Math.floor(to * divisions - 1e-6));
}

interface GridTaste {
  readonly divisions: number;
  /** Chance that a step is a pleat, and that a single fold is diagonal. */
  readonly pleats: number;
  readonly diagonals: number;
  /** Chance that a fold takes all layers. */
  readonly all: number;
}

function gridStep(paper: Paper, taste: GridTaste, random: Random): Step[] {
  const { divisions } = taste;
  const direction = random.chance(taste.diagonals) ? random.int(2, 3) : random.int(0, 1);
  const at = offsetUnits(paper, direction, divisions, random);
  const way = random.chance(0.5) ? 'over' : 'under';
  const reach = random.chance(taste.all) ? ALL : random.int(1, Math.max(1, Math.ceil(paper.faces.length / 2)));
  const line = gridLine(direction, exact(at, divisions));
  const flip = random.chance(0.5);
  const first: Step = { line: flip ? otherSide(line) : line, way, reach };
  if (!random.chance(taste.pleats)) return [first];
  const width = random.chance(0.75) ? 1 : random.int(1, 3);
  const after = foldPaper(paper, first.line, first);
  if (!after) return [first];
  // Fold the moved part back: it lies on the other side now, and only it should go.
  const back = gridLine(direction, exact(flip ? at + width : at - width, divisions));
  const moved = after.faces.filter((face, i) => paper.faces[i] !== face).length;
  return [first, { line: flip ? back : otherSide(back), way, reach: Math.max(1, Math.min(moved, reach)) }];
}

const squareLattice = (divisionsX: number, divisionsY: number): Lattice => ({
  kind: 'square',
  divisionsX,
  divisionsY,
  halfUnits: false,
  residual: 0,
  fit: 1,
});

/** Says whether some vertex lies between the lattice lines. */
function withHalfUnits(lattice: Lattice, points: readonly (ExactPoint | null)[]): Lattice {
  const whole = (e: Exact): boolean => (lattice.divisionsX * e.p) % e.q === 0;
  return { ...lattice, halfUnits: points.some((p) => p && !(whole(p[0]) && whole(p[1]))) };
}

/** Between these, spread evenly on a log scale: small models to dense ones. */
function randomTarget(random: Random, from: number, to: number): number {
  return Math.round(from * (to / from) ** random.next());
}

function foldOnGrid(family: 'pleat' | 'grid', seed: number): NamedPattern {
  const random = makeRandom(seed * 7 + (family === 'pleat' ? 1 : 2));
  const divisions =
    family === 'pleat'
      ? random.pick([8, 10, 12, 14, 16, 18, 20, 24, 28, 32, 40, 48, 64])
      : random.pick([4, 5, 6, 8, 9, 10, 12, 16]);
  const target = randomTarget(random, 20, family === 'pleat' ? Math.min(1400, divisions * 50) : 400);
  const taste: GridTaste = {
    divisions,
    pleats: family === 'pleat' ? random.range(0.6, 0.95) : random.range(0, 0.3),
    diagonals: random.range(0.1, 0.5),
    all: random.range(0.1, 0.9),
  };
  const one = exact(1);
  const sheet = newSheet(one, one, 1, 1);
  const limits: Limits = { target, most: target * 1.4 + 20, spacing: 0.49 / divisions };
  const paper = foldMany(sheet, random, limits, (now) => gridStep(now, taste, random));
  const lattice = withHalfUnits(squareLattice(divisions, divisions), paper.exact);
  return {
    name: `${family}-${divisions}-${seed}`,
    family,
    pattern: creasesOf(paper, lattice),
    source: `Simulated folding on ${divisions} divisions, seed ${seed}.`,
    lawful: 'folded',
  };
}

export function makePleat(seed: number): NamedPattern {
  return foldOnGrid('pleat', seed);
}

export function makeGrid(seed: number): NamedPattern {
  return foldOnGrid('grid', seed);
}

/** Normals of the eight directions at multiples of 22.5 degrees, as exact numbers (any length). */
function normals22(): [Exact, Exact][] {
  const [o, one, minus] = [exact(0), exact(1), exact(-1)];
  const t = exact(-1, 1, 1);
  const nt = exact(1, 1, -1);
  return [
    [one, o],
    [one, t],
    [one, one],
    [t, one],
    [o, one],
    [nt, one],
    [minus, one],
    [minus, t],
  ];
}

/** Numbers of a vertex in the 22.5-degree family stay small in real designs; a larger one is a stray construction. */
const LARGEST_22 = 600;

export function makeAngle22(seed: number): NamedPattern {
  const random = makeRandom(seed * 7 + 3);
  const one = exact(1);
  const target = randomTarget(random, 12, 350);
  const normals = normals22();
  const limits: Limits = { target, most: target * 1.6 + 20, spacing: 0.018 };
  const all = random.range(0.2, 0.9);
  const propose = (paper: Paper): Step[] => {
    const face = random.pick(paper.faces);
    const at = paper.exact[random.pick(face.ring)];
    if (!at || !face.exactPlace) return [];
    const [a, b] = random.pick(normals);
    const c = offsetThrough(face, at, a, b);
    if (!c || Math.max(Math.abs(c.p), Math.abs(c.r), c.q) > LARGEST_22) return [];
    const line = exactLine(a, b, c);
    return [
      {
        line: random.chance(0.5) ? line : otherSide(line),
        way: random.chance(0.5) ? 'over' : 'under',
        reach: random.chance(all) ? ALL : random.int(1, Math.max(1, Math.ceil(paper.faces.length / 2))),
      },
    ];
  };
  const paper = foldMany(newSheet(one, one, 1, 1), random, limits, propose);
  return {
    name: `angle22-${seed}`,
    family: 'angle22',
    pattern: creasesOf(paper, { kind: 'angle22', divisionsX: 0, divisionsY: 0, halfUnits: false, residual: 0, fit: 1 }),
    source: `Simulated folding along lines at multiples of 22.5 degrees, seed ${seed}.`,
    lawful: 'folded',
  };
}

export function makeFree(seed: number): NamedPattern {
  const random = makeRandom(seed * 7 + 4);
  const one = exact(1);
  const target = randomTarget(random, 12, 300);
  const limits: Limits = { target, most: target * 1.6 + 20, spacing: 0.018 };
  const all = random.range(0.2, 0.9);
  const propose = (paper: Paper): Step[] => {
    const [x0, y0, x1, y1] = foldedBounds(paper);
    const angle = random.range(0, 2 * Math.PI);
    const [a, b] = [Math.cos(angle), Math.sin(angle)];
    const c = a * random.range(x0, x1) + b * random.range(y0, y1);
    return [
      {
        line: { a, b, c, exact: null },
        way: random.chance(0.5) ? 'over' : 'under',
        reach: random.chance(all) ? ALL : random.int(1, Math.max(1, Math.ceil(paper.faces.length / 2))),
      },
    ];
  };
  const paper = foldMany(newSheet(one, one, 1, 1), random, limits, propose);
  return {
    name: `free-${seed}`,
    family: 'free',
    pattern: creasesOf(paper, { kind: 'none', divisionsX: 0, divisionsY: 0, halfUnits: false, residual: 0, fit: 0 }),
    source: `Simulated folding along free lines, seed ${seed}.`,
    lawful: 'folded',
  };
}
