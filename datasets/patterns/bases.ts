/**
 * The traditional bases, written down as lines on the unit square with exact coordinates. Their shapes are common
 * property; mountain and valley are seen from the side that ends inside (front of the sheet up).
 */
import { exact, subExact, toNumber } from '../../pipeline/geometry/exact.ts';
import type { Crease, Exact, ExactPoint, Kind, Lattice } from '../../pipeline/types.ts';
import type { NamedPattern } from './family.ts';
import { foldPaper } from './fold.ts';
import { exactLine } from './fold-line.ts';
import { tidyPattern } from './graph.ts';
import { latticeOf22 } from './lattices.ts';
import { creasesOf, newPaper } from './paper.ts';

type Line = readonly [from: string, to: string, kind: Kind];

interface BaseTable {
  readonly name: string;
  readonly note: string;
  readonly lattice: Lattice['kind'];
  readonly divisions: number;
  readonly points: Readonly<Record<string, ExactPoint>>;
  readonly border: readonly string[];
  readonly lines: readonly Line[];
}

const n = (p: number, q = 1): Exact => exact(p, q);
const [o, one, half] = [n(0), n(1), n(1, 2)];
/** tan 22.5° = √2 - 1. */
const tan22 = exact(-1, 1, 1);
/** Inradius of the right triangle with legs 1: 1 - √2/2. */
const inner = exact(2, 2, -1);
const flip = (e: Exact): Exact => subExact(one, e);
const lines = (kind: Kind, ...pairs: string[]): Line[] =>
  pairs.map((pair) => {
    const [from, to] = pair.split(' ');
    return [from, to, kind];
  });

const CORNERS = { a: [o, o], b: [one, o], c: [one, one], d: [o, one] } as const;
const MIDDLES = { s: [half, o], e: [one, half], n: [half, one], w: [o, half], m: [half, half] } as const;

/** Foot of the kite creases on the middle lines: half of tan 22.5°. */
const low = exact(-1, 2, 1);
const high = flip(low);

/** Incentre of the triangle centre, corner, middle of side: half of inner from the side, and as far from the middle line. */
const near = exact(2, 4, -1);
const nearHalf = subExact(half, near);

/** One sheet's eighth of the frog base: the incentre next to the corner that its name begins with. */
const FROG_POINTS: Readonly<Record<string, ExactPoint>> = {
  ...CORNERS,
  ...MIDDLES,
  as: [nearHalf, near],
  bs: [flip(nearHalf), near],
  be: [flip(near), nearHalf],
  ce: [flip(near), flip(nearHalf)],
  cn: [flip(nearHalf), flip(near)],
  dn: [nearHalf, flip(near)],
  dw: [near, flip(nearHalf)],
  aw: [near, nearHalf],
  ge: [flip(near), half],
  gw: [near, half],
};
const FROG_EIGHTHS = ['as', 'bs', 'be', 'ce', 'cn', 'dn', 'dw', 'aw'];

const TABLES: readonly BaseTable[] = [
  {
    name: 'book',
    note: 'in half along a middle line',
    lattice: 'square',
    divisions: 2,
    points: { ...CORNERS, s: MIDDLES.s, n: MIDDLES.n },
    border: ['a', 's', 'b', 'c', 'n', 'd'],
    lines: lines('V', 's n'),
  },
  {
    name: 'diagonal',
    note: 'in half along a diagonal, also called the shawl fold',
    lattice: 'square',
    divisions: 1,
    points: CORNERS,
    border: ['a', 'b', 'c', 'd'],
    lines: lines('V', 'a c'),
  },
  {
    name: 'kite',
    note: 'two edges to the diagonal',
    lattice: 'angle22',
    divisions: 0,
    points: { ...CORNERS, p: [one, tan22], q: [tan22, one] },
    border: ['a', 'b', 'p', 'c', 'q', 'd'],
    lines: lines('V', 'a p', 'a q'),
  },
  {
    name: 'blintz',
    note: 'four corners to the centre',
    lattice: 'square',
    divisions: 2,
    points: { ...CORNERS, ...MIDDLES },
    border: ['a', 's', 'b', 'e', 'c', 'n', 'd', 'w'],
    lines: lines('V', 's e', 'e n', 'n w', 'w s'),
  },
  {
    name: 'cupboard',
    note: 'two sides to the middle line',
    lattice: 'square',
    divisions: 4,
    points: { ...CORNERS, p: [n(1, 4), o], q: [n(1, 4), one], r: [n(3, 4), o], t: [n(3, 4), one] },
    border: ['a', 'p', 'r', 'b', 'c', 't', 'q', 'd'],
    lines: lines('V', 'p q', 'r t'),
  },
  {
    name: 'preliminary',
    note: 'middle lines valley, one diagonal mountain',
    lattice: 'square',
    divisions: 2,
    points: { ...CORNERS, ...MIDDLES },
    border: ['a', 's', 'b', 'e', 'c', 'n', 'd', 'w'],
    lines: [...lines('V', 's m', 'e m', 'n m', 'w m'), ...lines('M', 'b m', 'd m')],
  },
  {
    name: 'waterbomb',
    note: 'diagonals valley, one middle line mountain',
    lattice: 'square',
    divisions: 2,
    points: { ...CORNERS, e: MIDDLES.e, w: MIDDLES.w, m: MIDDLES.m },
    border: ['a', 'b', 'e', 'c', 'd', 'w'],
    lines: [...lines('V', 'a m', 'b m', 'c m', 'd m'), ...lines('M', 'e m', 'w m')],
  },
  {
    name: 'fish',
    note: 'a rabbit ear on each side of a diagonal',
    lattice: 'angle22',
    divisions: 0,
    points: {
      ...CORNERS,
      i: [inner, flip(inner)],
      j: [flip(inner), inner],
      p: [inner, one],
      q: [flip(inner), o],
    },
    border: ['a', 'q', 'b', 'c', 'p', 'd'],
    lines: [...lines('V', 'a i', 'c i', 'd i', 'a j', 'c j', 'b j'), ...lines('M', 'i p', 'j q')],
  },
  {
    name: 'bird',
    note: 'preliminary base with a petal fold on both sides',
    lattice: 'angle22',
    divisions: 0,
    points: { ...CORNERS, m: MIDDLES.m, s: [half, low], e: [high, half], n: [half, high], w: [low, half] },
    border: ['a', 'b', 'c', 'd'],
    lines: [
      ...lines('V', 's m', 'e m', 'n m', 'w m'),
      ...lines('M', 'b m', 'd m', 'w s', 'e n'),
      ...lines('M', 'a s', 'b s', 'b e', 'c e', 'c n', 'd n', 'd w', 'a w'),
    ],
  },
  {
    name: 'windmill',
    note: 'an inner square with a corner flap turned from each corner, also called the pinwheel base',
    lattice: 'square',
    divisions: 4,
    points: {
      ...CORNERS,
      s: MIDDLES.s,
      e: MIDDLES.e,
      n: MIDDLES.n,
      w: MIDDLES.w,
      p: [n(1, 4), n(1, 4)],
      q: [n(3, 4), n(1, 4)],
      r: [n(3, 4), n(3, 4)],
      t: [n(1, 4), n(3, 4)],
    },
    border: ['a', 's', 'b', 'e', 'c', 'n', 'd', 'w'],
    lines: [
      ...lines('V', 'p q', 'q r', 'r t', 't p', 'p a', 'q b', 'r c', 't d'),
      ...lines('M', 'p w', 'q s', 'r e', 't n'),
    ],
  },
  {
    name: 'frog',
    note: 'preliminary base with each of its flaps squashed and petal folded',
    lattice: 'angle22',
    divisions: 0,
    points: FROG_POINTS,
    border: ['a', 's', 'b', 'e', 'c', 'n', 'd', 'w'],
    lines: [
      ...FROG_EIGHTHS.flatMap((eighth) => [
        ...lines('M', `${eighth} m`, `${eighth} ${eighth[0]}`),
        ...lines('V', `${eighth} ${eighth[1]}`),
      ]),
      ...lines('V', 'a m', 'b m', 'c m', 'd m', 'ge m', 'gw m'),
      ...lines('M', 'as bs', 'cn dn', 'be ge', 'ge ce', 'dw gw', 'gw aw', 'ge e', 'gw w'),
    ],
  },
];

/** The diamond base is folded rather than written down: the kite creases from one end, then from the other, all layers. */
function diamondBase(): NamedPattern {
  const t = tan22;
  const minus = exact(-1);
  // Normals point to the moving side. Lines through the corner at the origin, then through the opposite one.
  const folds = [
    exactLine(t, minus, o),
    exactLine(minus, t, o),
    exactLine(one, subExact(o, t), flip(t)),
    exactLine(subExact(o, t), one, flip(t)),
  ];
  let paper = newPaper(
    [
      [0, 0],
      [1, 0],
      [1, 1],
      [0, 1],
    ],
    [CORNERS.a, CORNERS.b, CORNERS.c, CORNERS.d],
  );
  for (const line of folds) paper = foldPaper(paper, line, { way: 'over', reach: Number.MAX_SAFE_INTEGER }) ?? paper;
  return {
    name: 'diamond',
    family: 'base',
    pattern: creasesOf(paper, latticeOf22(paper.exact)),
    source: 'Traditional diamond base: kite creases from both ends of a diagonal, through all layers.',
    lawful: 'folded',
  };
}

export function traditionalBases(): NamedPattern[] {
  const written = TABLES.map((table): NamedPattern => {
    const names = Object.keys(table.points);
    const at = new Map(names.map((name, i) => [name, i]));
    const border = table.border.map(
      (name, i): Crease => ({
        from: at.get(name)!,
        to: at.get(table.border[(i + 1) % table.border.length])!,
        kind: 'B',
      }),
    );
    const inside = table.lines.map(([from, to, kind]): Crease => ({ from: at.get(from)!, to: at.get(to)!, kind }));
    const exactPoints = names.map((name) => table.points[name]);
    const lattice: Lattice = {
      kind: table.lattice,
      divisionsX: table.divisions,
      divisionsY: table.divisions,
      halfUnits: false,
      residual: 0,
      fit: 1,
    };
    const pattern = tidyPattern(
      {
        points: exactPoints.map(([x, y]) => [toNumber(x), toNumber(y)]),
        exact: exactPoints,
        edges: [...border, ...inside],
      },
      lattice,
    );
    return {
      name: table.name,
      family: 'base',
      pattern,
      source: `Traditional ${table.name} base: ${table.note}.`,
      lawful: 'known',
    };
  });
  return [...written, diamondBase()];
}
