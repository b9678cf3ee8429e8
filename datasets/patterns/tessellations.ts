/** Repeating patterns: Miura-ori, waterbomb tessellation, square twists; on lattice and off. */
import { EXACT_ONE, EXACT_ZERO, exact } from '../../pipeline/geometry/exact.ts';
import type { ExactPoint, Kind, PatternPoint } from '../../pipeline/types.ts';
import { assignLetters } from './assign.ts';
import { clipToOutline } from './clip.ts';
import type { NamedPattern } from './family.ts';
import { type LooseGraph, tidyPattern } from './graph.ts';
import { NO_LATTICE, squareLattice } from './lattices.ts';
import { makeRandom, type Random } from './random.ts';
import { makeSketch, type Sketch, type Spot } from './sketch.ts';
import { wellSpaced } from './spacing.ts';

/** Tries at laying the sheet on the drawing so that no crease becomes a speck. */
const PLACINGS = 60;
/** Vertices of an off-lattice tessellation are at least this far apart, sheet units. */
const LEAST_SPACING = 0.009;

export const UNIT_SQUARE: { readonly points: PatternPoint[]; readonly exact: ExactPoint[] } = {
  points: [
    [0, 0],
    [1, 0],
    [1, 1],
    [0, 1],
  ],
  exact: [
    [EXACT_ZERO, EXACT_ZERO],
    [EXACT_ONE, EXACT_ZERO],
    [EXACT_ONE, EXACT_ONE],
    [EXACT_ZERO, EXACT_ONE],
  ],
};

interface Drawing {
  readonly sketch: Sketch;
  /** Side of the sheet in the drawing's units; a whole number where the drawing is on a lattice. */
  readonly size: number;
  readonly onLattice: boolean;
  readonly about: string;
  readonly lawful: NamedPattern['lawful'];
}

/** Lays the sheet somewhere on the drawing (turned freely where it has no lattice) and cuts it out. */
function cutOut(drawing: Drawing, random: Random): LooseGraph | null {
  const { sketch, size, onLattice } = drawing;
  const xs = sketch.points.map((p) => p[0]);
  const ys = sketch.points.map((p) => p[1]);
  const middle = [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
  const turned = !onLattice && random.chance(0.5);
  for (let n = 0; n < PLACINGS; n++) {
    const turn = turned ? random.range(0, Math.PI / 2) : 0;
    const shift = onLattice
      ? [Math.round(middle[0] - size / 2) + random.int(-2, 2), Math.round(middle[1] - size / 2) + random.int(-2, 2)]
      : [middle[0] + random.range(-2, 2), middle[1] + random.range(-2, 2)];
    const [c, s] = [Math.cos(turn), Math.sin(turn)];
    const points = sketch.points.map(([x, y]): PatternPoint => {
      const [u, v] = [x - shift[0], y - shift[1]];
      return onLattice ? [u / size, v / size] : [(c * u - s * v) / size + 0.5, (s * u + c * v) / size + 0.5];
    });
    const exactPoints = sketch.points.map(([x, y]): ExactPoint | null =>
      onLattice ? [exact(x - shift[0], size), exact(y - shift[1], size)] : null,
    );
    const graph = clipToOutline({ points, exact: exactPoints, edges: sketch.edges }, UNIT_SQUARE);
    if (wellSpaced(graph.points, onLattice ? 0.45 / size : LEAST_SPACING)) return graph;
  }
  return null;
}

function finish(
  family: NamedPattern['family'],
  seed: number,
  salt: number,
  draw: (random: Random) => Drawing,
): NamedPattern {
  // A drawing that cannot be cut or lettered well is dropped for the next one of the same stream.
  const random = makeRandom(seed * 31 + salt);
  for (;;) {
    const drawing = draw(random);
    const graph = cutOut(drawing, random);
    if (!graph) continue;
    const calm = random.chance(0.5);
    const edges = graph.edges.some((e) => e.kind === 'U')
      ? assignLetters(graph, random, () => (calm ? 'M' : null))
      : graph.edges;
    if (!edges) continue;
    const lattice = drawing.onLattice ? squareLattice(drawing.size, drawing.size, graph.exact) : NO_LATTICE;
    return {
      name: `${family}-${seed}`,
      family,
      pattern: tidyPattern({ ...graph, edges }, lattice),
      source: `${drawing.about}, seed ${seed}.`,
      lawful: drawing.lawful,
    };
  }
}

/** Room around the sheet, so that a turned one is covered: the diagonal is 1.42 sides. */
const COVER = 1.6;

function drawMiura(random: Random): Drawing {
  const onLattice = random.chance(0.5);
  const size = onLattice ? random.pick([8, 12, 16, 20, 24, 32]) : random.range(5, 16);
  const slope = onLattice ? random.pick([1, 1, 2]) : random.range(0.3, 1.2);
  const sketch = makeSketch();
  const flip = random.chance(0.5);
  const varied = random.chance(0.5);
  const reach = size * COVER + 8;
  const base = random.int(1, 3);
  const step = (): number => (onLattice ? (varied ? random.int(1, 3) : base) : varied ? random.range(0.7, 1.8) : base);
  const xs = [0];
  while (xs[xs.length - 1] < reach) xs.push(xs[xs.length - 1] + step());
  /** Rows: height and sideways shift; the shift turns back at every row, by the same slope. */
  const rows: [y: number, shift: number][] = [[0, 0]];
  while (rows[rows.length - 1][0] < reach) {
    const [y, shift] = rows[rows.length - 1];
    const h = step();
    rows.push([y + h, shift + (rows.length % 2 === 1 ? h : -h) * slope]);
  }
  const point = (i: number, j: number): [number, number] => {
    const p: [number, number] = [xs[i] + rows[j][1], rows[j][0]];
    return flip ? [p[1], p[0]] : p;
  };
  for (let j = 0; j < rows.length; j++) {
    for (let i = 0; i < xs.length; i++) {
      const zigzag: Kind = i % 2 === 0 ? 'M' : 'V';
      if (j > 0) sketch.line(point(i, j - 1), point(i, j), zigzag);
      // The narrow sectors open to the right in even rows, and the crease between them differs from the zigzag.
      const like: Kind = (i + j) % 2 === 0 ? 'V' : 'M';
      if (i + 1 < xs.length) sketch.line(point(i, j), point(i + 1, j), like);
    }
  }
  // Cells of unequal size still obey every vertex, but may run into each other when folded.
  return { sketch, size, onLattice, about: 'Miura-ori (Miura 1970)', lawful: varied ? 'local' : 'known' };
}

function drawWaterbomb(random: Random): Drawing {
  const onLattice = random.chance(0.6);
  const size = onLattice ? random.pick([8, 10, 12, 16, 20, 24]) : random.range(5, 18);
  // Diagonals steeper than 60 degrees would put the smallest sector between two valleys, against big-little-big.
  const [w, h] = onLattice
    ? random.pick([
        [1, 1],
        [2, 1],
        [2, 2],
        [2, 3],
      ] as const)
    : [random.range(0.8, 1.4), random.range(0.7, 1.35)];
  const flip = random.chance(0.5);
  const sketch = makeSketch();
  const point = (i: number, j: number): [number, number] => (flip ? [j * h, i * w] : [i * w, j * h]);
  const [columns, rows] = [Math.ceil((size * COVER + 8) / w), Math.ceil((size * COVER + 8) / h)];
  for (let j = 0; j < rows; j++) {
    for (let i = 0; i < columns; i++) {
      if ((i + j) % 2 === 1) continue;
      sketch.line(point(i, j), point(i + 2, j), 'M');
      sketch.line(point(i, j), point(i + 1, j + 1), 'V');
      sketch.line(point(i, j), point(i - 1, j + 1), 'V');
    }
  }
  return { sketch, size, onLattice, about: 'Waterbomb tessellation, proportions varied', lawful: 'local' };
}

/**
 * Squares of two sizes and parallelograms between them: every vertex has two right angles opposite each other, so
 * Kawasaki's law holds whatever the sizes and the turn.
 */
function drawSkewTwist(random: Random): Drawing {
  const onLattice = random.chance(0.6);
  const [p, q] = onLattice ? [random.int(1, 3), random.int(1, 2)] : [random.range(0.6, 2), random.range(0.2, 1.2)];
  const [u, v] = onLattice ? [random.int(1, 3), -q] : [random.range(0.8, 2.5), -q];
  const period = p + u;
  const count = random.int(2, 7);
  const size = onLattice ? period * count + random.int(0, 2) : period * count * random.range(0.9, 1.1);
  const sketch = makeSketch();
  const regular = random.chance(0.6);
  const reach = Math.ceil((size * COVER + 8) / period);
  for (let j = 0; j < reach; j++) {
    for (let i = 0; i < reach; i++) {
      const [x, y] = [i * period, j * period];
      const side: Kind = !regular ? 'U' : (i + j) % 2 === 0 ? 'M' : 'V';
      const a: [number, number][] = [
        [x, y],
        [x + p, y + q],
        [x + p - q, y + q + p],
        [x - q, y + p],
      ];
      // Sides of the first square, then the two sides of the second square that start at its corners.
      for (let k = 0; k < 4; k++) sketch.line(a[k], a[(k + 1) % 4], side);
      sketch.line(a[1], [x + p + u, y + q + v], 'U');
      sketch.line(a[2], [x + p - q + u, y + q + p + v], 'U');
      sketch.line(a[3], [x - q - v, y + p + u], 'U');
      sketch.line(a[2], [x + p - q - v, y + q + p + u], 'U');
    }
  }
  return { sketch, size, onLattice, about: 'Square-twist tessellation, turned squares of two sizes', lawful: 'local' };
}

/** Twists turned alternately left and right, joined by straight pleats along the axes. */
function drawStraightTwist(random: Random): Drawing {
  const onLattice = random.chance(0.7);
  const [p, q] = onLattice
    ? random.pick([
        [1, 0],
        [2, 0],
        [2, 1],
        [3, 1],
        [3, 2],
      ] as const)
    : [random.range(0.8, 1.5), random.range(0, 0.7)];
  const gap = onLattice ? random.int(1, 6) : random.range(0.8, 4);
  const period = 2 * Math.max(p, q) + gap;
  const count = random.int(1, 7);
  const size = onLattice ? period * count + random.int(0, 3) : period * count * random.range(0.9, 1.15);
  const sketch = makeSketch();
  const regular = random.chance(0.6);
  const reach = Math.ceil((size * COVER + 8) / period);
  const corners = (i: number, j: number): [number, number][] => {
    const [sx, sy] = [i % 2 === 0 ? 1 : -1, j % 2 === 0 ? 1 : -1];
    return (
      [
        [p, q],
        [-q, p],
        [-p, -q],
        [q, -p],
      ] as const
    ).map(([x, y]) => [i * period + sx * x, j * period + sy * y]);
  };
  for (let j = 0; j < reach; j++) {
    for (let i = 0; i < reach; i++) {
      const here = corners(i, j);
      for (let k = 0; k < 4; k++) sketch.line(here[k], here[(k + 1) % 4], 'U');
      const right = corners(i + 1, j);
      const above = corners(i, j + 1);
      // A twist is the mirror image of its neighbour: a pleat joins two corners to their own images, one line of it a
      // mountain and one a valley. Taken in turn around the twist, the four pleats are alike when regular.
      const pleat = (corner: number, other: number, to: readonly Spot[]): void => {
        const first: Kind = regular || random.chance(0.5) ? 'M' : 'V';
        sketch.line(here[corner], to[corner], first);
        sketch.line(here[other], to[other], first === 'M' ? 'V' : 'M');
      };
      if (i + 1 < reach) pleat(...((i % 2 === 0 ? [0, 3] : [2, 1]) as [number, number]), right);
      if (j + 1 < reach) pleat(...((j % 2 === 0 ? [1, 0] : [3, 2]) as [number, number]), above);
    }
  }
  return { sketch, size, onLattice, about: 'Square twists joined by straight pleats', lawful: 'local' };
}

export function makeMiura(seed: number): NamedPattern {
  return finish('miura', seed, 1, drawMiura);
}

export function makeWaterbomb(seed: number): NamedPattern {
  return finish('waterbomb', seed, 2, drawWaterbomb);
}

export function makeTwist(seed: number): NamedPattern {
  return finish('twist', seed, 3, (random) => (random.chance(0.4) ? drawSkewTwist(random) : drawStraightTwist(random)));
}
