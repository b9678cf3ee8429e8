import { describe, expect, it } from 'vitest';
import { makePattern } from '../../datasets/patterns/patterns.ts';
import { makeRandom } from '../../datasets/patterns/random.ts';
import { checkPlanarGraph, planarLaws } from '../../pipeline/graph/check.ts';
import { gatherDoubts } from '../../pipeline/report/gather.ts';
import { pictureFindings } from '../../pipeline/resolve/picture-doubts.ts';
import { type Resolved, resolve } from '../../pipeline/resolve/resolve.ts';
import { crossingFindings } from '../../pipeline/resolve/vertex-doubts.ts';
import type { Crease, DoubtCode, Pattern, PatternPoint } from '../../pipeline/types.ts';
import { oddsOf } from './drafts.ts';
import { inkOf, innerPieces, inputOf } from './inputs.ts';

const CODES = (r: Resolved): DoubtCode[] => r.doubts.map(({ what }) => what);

const distance = (a: readonly number[], b: readonly number[]): number => Math.hypot(a[0] - b[0], a[1] - b[1]);

function remove<T>(lists: T[][], at: number): void {
  for (const list of lists) list.splice(at, 1);
}

describe('doubts', () => {
  it('a clear, sound drawing leaves none', () => {
    for (const family of ['pleat', 'box', 'angle22', 'twist', 'free'] as const) {
      const { pattern } = makePattern(family, 712);
      const result = resolve(inputOf(pattern).input);
      expect([family, result.doubts]).toEqual([family, []]);
      expect([family, result.laws]).toEqual([family, []]);
      expect(result.pattern.creases.length).toBe(pattern.creases.length);
    }
  });

  it('one ink: kinds stay open, every crease is named, in one question', () => {
    const drawing = inputOf(makePattern('grid', 712).pattern);
    drawing.kinds.forEach((kind, i) => {
      if (kind !== 'M' && kind !== 'V') return;
      drawing.kinds[i] = 'U';
      drawing.odds[i] = oddsOf('M', 0);
    });
    drawing.legend.splice(0, 2, { ...drawing.legend[0], kind: 'U' });
    const { pattern, doubts } = resolve(drawing.input);
    const open = [...pattern.creases.keys()].filter((c) => pattern.creases[c].kind === 'U');
    expect(open.length).toBeGreaterThan(0);
    expect(doubts.map(({ what, crease }) => [what, crease])).toEqual(open.map((c) => ['convention-unknown', c]));
    expect(gatherDoubts(doubts).map(({ what, creases }) => [what, creases])).toEqual([['convention-unknown', open]]);
    expect(new Set(pattern.creases.map(({ kind }) => kind))).toEqual(new Set(['B', 'U']));
  });

  it('strengths that fall by chance where the folding laws bind (Maekawa, Kawasaki) are one ink, not two', () => {
    for (const [seed, chance] of [
      [712, true],
      [715, true],
      [712, false],
      [715, false],
    ] as const) {
      const drawing = inputOf(makePattern('box', seed).pattern);
      const random = makeRandom(seed);
      drawing.kinds.forEach((kind, i) => {
        if (kind !== 'M' && kind !== 'V') return;
        const isMountain = chance ? random.chance(0.5) : kind === 'M';
        drawing.kinds[i] = isMountain ? 'M' : 'V';
        drawing.odds[i] = oddsOf('M', isMountain ? 4 : -4);
      });
      const { kinds } = drawing.input;
      const { pattern, doubts } = resolve({
        ...drawing.input,
        kinds: { ...kinds, sorting: { ...kinds.sorting, by: 'strength' } },
      });
      const letters = new Set(pattern.creases.map(({ kind }) => kind));
      expect(letters).toEqual(new Set(chance ? ['B', 'U'] : ['B', 'M', 'V']));
      expect(doubts.some(({ what }) => what === 'convention-unknown')).toBe(chance);
    }
  });

  it.each([0.6, 0.86])(
    'inks that custom hardly tells apart: one doubt of the sheet at %d, one a crease where it is a guess',
    (sure) => {
      const drawing = inputOf(makePattern('grid', 712).pattern);
      drawing.legend.forEach((e, i) => {
        drawing.legend[i] = { ...e, probability: sure };
      });
      const { doubts, pattern } = resolve(drawing.input);
      const folds = [...pattern.creases.keys()].filter((c) => 'MV'.includes(pattern.creases[c].kind));
      const found = doubts.map(({ what, crease, probability }) => [what, crease, probability]);
      const creases = sure > 0.8 ? [undefined] : folds;
      expect(found).toEqual(creases.map((crease) => ['mountain-valley-swap', crease, sure]));
      expect(gatherDoubts(doubts).map(({ what, probability }) => [what, probability])).toEqual([
        ['mountain-valley-swap', sure],
      ]);
    },
  );

  it('an unclear crease at the edge, where no law reaches, is asked about', () => {
    const { pattern } = makePattern('pleat', 713);
    const drawing = inputOf(pattern);
    const edge = new Set(drawing.pieces.filter((p) => p.border).flatMap((p) => [p.from, p.to]));
    const at = drawing.pieces.findIndex((p) => !p.border && edge.has(p.from) && edge.has(p.to));
    const any = at >= 0 ? at : drawing.pieces.findIndex((p) => !p.border && edge.has(p.from));
    drawing.odds[any] = oddsOf('M', drawing.kinds[any] === 'M' ? 0.4 : -0.4);
    const { doubts } = resolve(drawing.input);
    const named = doubts.filter(({ crease }) => crease !== undefined);
    expect(named.length).toBeLessThanOrEqual(1);
    for (const { what, probability } of named) {
      expect(what).toBe('kind-unclear');
      expect(probability).toBeGreaterThan(0.5);
    }
  });

  it('a sure crease that breaks the laws keeps its kind and is named, once', () => {
    const { pattern } = makePattern('box', 714);
    const drawing = inputOf(pattern);
    const at = innerPieces(drawing)[0];
    const wrong = drawing.kinds[at] === 'M' ? 'V' : 'M';
    drawing.kinds[at] = wrong;
    drawing.odds[at] = oddsOf(wrong, wrong === 'M' ? 6 : -6);
    const { doubts, pattern: got } = resolve(drawing.input);
    const named = doubts.flatMap(({ crease }) => (crease === undefined ? [] : [crease]));
    expect(new Set(named).size).toBe(named.length);
    expect(named.length).toBeGreaterThan(0);
    expect(named.length).toBeLessThan(8);
    const a = pattern.vertices[drawing.pieces[at].from];
    const b = pattern.vertices[drawing.pieces[at].to];
    const crease = got.creases.findIndex(({ from, to }) => {
      const ends = [got.vertices[from], got.vertices[to]];
      return [a, b].every((p) => ends.some((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < 1e-6));
    });
    expect(got.creases[crease].kind).toBe(wrong);
    // It, or a neighbour at one of its ends, is named.
    const near = named.some((c) =>
      [got.creases[c].from, got.creases[c].to].some(
        (v) => v === got.creases[crease].from || v === got.creases[crease].to,
      ),
    );
    expect(near).toBe(true);
  });

  it('a crease that nobody saw is proposed where it belongs, and not added', () => {
    const { pattern } = makePattern('grid', 715);
    const drawing = inputOf(pattern);
    const at = innerPieces(drawing)[0];
    const gone = drawing.pieces[at];
    const [a, b] = [pattern.vertices[gone.from], pattern.vertices[gone.to]];
    remove<unknown>([drawing.pieces, drawing.kinds, drawing.odds, drawing.measured], at);
    const { doubts, pattern: got } = resolve(drawing.input);
    const missing = doubts.find(({ what }) => what === 'crease-missing');
    expect(missing).toBeDefined();
    expect(missing!.crease).toBeUndefined();
    expect(missing!.at[0]).toBeCloseTo((a[0] + b[0]) / 2, 6);
    expect(missing!.at[1]).toBeCloseTo((a[1] + b[1]) / 2, 6);
    expect(got.creases.length).toBeLessThan(pattern.creases.length);
  });

  it('a line tinted along a part of it is not cut where one kind from end to end alone keeps the law at both ends (Maekawa)', () => {
    const { pattern } = makePattern('pleat', 716);
    const drawing = inputOf(pattern);
    const onSide = new Set(drawing.pieces.flatMap((p) => (p.border ? [p.from, p.to] : [])));
    const at = innerPieces(drawing).find(
      (p) => ![drawing.pieces[p].from, drawing.pieces[p].to].some((v) => onSide.has(v)),
    )!;
    const kind = drawing.kinds[at];
    drawing.odds[at] = oddsOf('M', kind === 'M' ? 0.5 : -0.5);
    // The inks of the test's legend are (0, 1, 1) and (1, 1, 0): these halves have neither's colour.
    const tinted = [
      [0.3, 1, 0.8],
      [1, 0.6, 0.3],
    ] as const;
    drawing.measured[at] = inkOf({ at: 0.5, angle: 1.05, before: tinted[0], after: tinted[1] });
    const { doubts, pattern: got } = resolve(drawing.input);
    expect(CODES({ doubts } as Resolved)).not.toContain('kind-changes');
    expect(got.vertices.length).toBe(pattern.vertices.length);
    expect(got.creases.map((c) => c.kind).sort()).toEqual(pattern.creases.map((c) => c.kind).sort());
  });

  it('a line that turns from mountain to valley with nothing crossing is cut there and asked about', () => {
    const { pattern } = makePattern('pleat', 716);
    // The inks of the test's legend: mountain takes green and blue from the paper, valley red and green.
    const [mountain, valley] = [
      [0, 1, 1],
      [1, 1, 0],
    ] as const;
    for (const [where, before, after, kinds] of [
      [0.6, mountain, valley, 'MV'],
      [0.6, valley, mountain, 'VM'],
      [0.4, mountain, valley, 'MV'],
      [0.4, valley, mountain, 'VM'],
    ] as const) {
      const drawing = inputOf(pattern);
      const at = innerPieces(drawing).reduce((best, p) =>
        drawing.pieces[p].t1 - drawing.pieces[p].t0 > drawing.pieces[best].t1 - drawing.pieces[best].t0 ? p : best,
      );
      // Pooled over both halves the ink looks like neither.
      drawing.odds[at] = oddsOf('M', drawing.kinds[at] === 'M' ? 0.5 : -0.5);
      drawing.measured[at] = inkOf({ at: where, angle: 1.05, before, after });
      const { doubts, pattern: got } = resolve(drawing.input);
      expect(CODES({ doubts } as Resolved)).toContain('kind-changes');
      expect(got.vertices.length).toBe(pattern.vertices.length + 1);
      expect(checkPlanarGraph(got)).toEqual([]);
      const { from, to } = drawing.pieces[at];
      const [start, end] = [from, to].map((v) => drawing.input.graph.vertices[v]);
      const cut = got.vertices.findIndex(
        ([x, y]) =>
          Math.hypot(x - start[0] - where * (end[0] - start[0]), y - start[1] - where * (end[1] - start[1])) < 1e-3,
      );
      const halves = got.creases.filter((c) => c.from === cut || c.to === cut);
      const far = ({ from: a, to: b }: { from: number; to: number }) => got.vertices[a === cut ? b : a];
      halves.sort((p, q) => distance(far(p), start) - distance(far(q), start));
      expect(halves.map(({ kind }) => kind).join('')).toBe(kinds);
    }
  });

  it('a line is not cut where its halves look like neither ink', () => {
    const { pattern } = makePattern('pleat', 716);
    const drawing = inputOf(pattern);
    const at = innerPieces(drawing).reduce((best, p) =>
      drawing.pieces[p].t1 - drawing.pieces[p].t0 > drawing.pieces[best].t1 - drawing.pieces[best].t0 ? p : best,
    );
    drawing.odds[at] = oddsOf('M', drawing.kinds[at] === 'M' ? 0.5 : -0.5);
    // Blue and red where mountain takes green and blue, valley red and green.
    drawing.measured[at] = inkOf({ at: 0.5, angle: 1.57, before: [0, 0, 1], after: [1, 0, 0] });
    const { doubts, pattern: got } = resolve(drawing.input);
    expect(CODES({ doubts } as Resolved)).not.toContain('kind-changes');
    expect(got.vertices.length).toBe(pattern.vertices.length);
  });

  it('an end inside the paper, a vertex off the grid, an assumed outline are told', () => {
    const { pattern } = makePattern('grid', 717);
    const drawing = inputOf(pattern);
    const inner = innerPieces(drawing);
    const line = { ...drawing.input.graph.carriers[0], nx: 0.6, ny: -0.8, dx: 0.8, dy: 0.6, grid: null };
    const start = drawing.pieces[inner[0]].from;
    const [x, y] = pattern.vertices[start];
    const vertices = [...drawing.input.graph.vertices, [x + 0.8 * 0.0213, y + 0.6 * 0.0213] as const];
    const t0 = 0.8 * x + 0.6 * y;
    const carriers = [...drawing.input.graph.carriers, { ...line, off: 0.6 * x - 0.8 * y }];
    drawing.pieces.push({
      from: start,
      to: vertices.length - 1,
      carrier: carriers.length - 1,
      t0,
      t1: t0 + 0.0213,
      coverage: 1,
      border: false,
    });
    drawing.kinds.push('M');
    drawing.odds.push(oddsOf('M', 6, 0.0001));
    drawing.measured.push(inkOf(null));
    const { sheet, graph } = drawing.input;
    const outline = { ...sheet.outline, how: 'sheet-edge' as const, probability: 0.8 };
    const result = resolve({
      ...drawing.input,
      sheet: { ...sheet, outline },
      graph: { ...graph, vertices, carriers, pieces: drawing.pieces },
    });
    const codes = CODES(result);
    expect(codes).toContain('outline-assumed');
    expect(codes.some((c) => c === 'end-dangling' || c === 'stray-ink' || c === 'off-lattice')).toBe(true);
  });

  // Creases cannot end within the paper: a vertex inside has even degree (Kawasaki).
  it.each([
    [2, 3, true],
    [4, 0, false],
  ])(
    '%i creases that reach one side and %i that reach none: the outline is doubted with each, or with the edge alone',
    (reach, end, told) => {
      const corners = [
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 1],
      ] as const;
      const lines = Array.from({ length: reach + end }, (_, i) => {
        const x = (i + 1) / (reach + end + 1);
        return [
          [x, 0.2],
          [x, i < reach ? 1 : 0.8],
        ] as const;
      });
      const vertices = [...corners, ...lines.flat()];
      const tops = lines.slice(0, reach).map((_, i) => 2 * i + 5);
      const side = [2, ...tops.reverse(), 3];
      const border = [[0, 1], [1, 2], ...side.slice(1).map((v, i) => [side[i], v]), [3, 0]];
      const creases = [
        ...border.map(([from, to]) => ({ from, to, kind: 'B' as const })),
        ...lines.map((_, i) => ({ from: 2 * i + 4, to: 2 * i + 5, kind: 'M' as const })),
      ];
      const pattern = { vertices, exact: vertices.map(() => null), creases, lattice: null };
      const { sheet } = inputOf(makePattern('grid', 712).pattern).input;
      const found = pictureFindings(
        pattern,
        [],
        { ...sheet, outline: { ...sheet.outline, how: 'sheet-edge' } },
        new Set(),
      );
      const named = found.filter(({ what }) => what === 'outline-assumed').flatMap(({ crease }) => crease ?? []);
      const about = creases.flatMap(({ kind }, i) => (told || kind === 'B' ? [i] : []));
      expect(named).toEqual(about);
    },
  );

  it.each([
    ['outermost-ink', 0.85, true],
    ['outermost-ink', 0.95, false],
    ['picture-edge', 0.85, false],
  ] as const)(
    'of an outline by %s, %d sure, all creases are named: %s; its own pieces always',
    (how, probability, all) => {
      const drawing = inputOf(makePattern('grid', 712).pattern);
      const { sheet } = drawing.input;
      const { pattern } = resolve(drawing.input);
      const found = pictureFindings(
        pattern,
        [],
        { ...sheet, outline: { ...sheet.outline, how, probability } },
        new Set(),
      );
      const named = found.filter(({ what }) => what === 'outline-assumed').flatMap(({ crease }) => crease ?? []);
      expect(named).toEqual(pattern.creases.flatMap(({ kind }, i) => (all || kind === 'B' ? [i] : [])));
    },
  );

  it('places of doubts are given on the picture, in original pixels', () => {
    const drawing = inputOf(makePattern('grid', 712).pattern);
    drawing.legend.forEach((e, i) => {
      drawing.legend[i] = { ...e, probability: 0.6 };
    });
    const half = resolve({ ...drawing.input, picture: { ...drawing.input.picture, scale: 0.5 } });
    const [x, y] = half.doubts[0].atPicture;
    // The sheet of the tests has its lower left corner at (50, 1050) and 1000 px to the side; y goes down.
    expect(x).toBeCloseTo(2 * (50 + 1000 * half.doubts[0].at[0]), 6);
    expect(y).toBeCloseTo(2 * (1050 - 1000 * half.doubts[0].at[1]), 6);
  });
});

describe('creases that cross where there is no vertex', () => {
  it('are both named: a pattern is a planar graph, whose edges meet at vertices alone (FOLD 1.2, crease patterns)', () => {
    const square: PatternPoint[] = [
      [0, 0],
      [1, 0],
      [1, 1],
      [0, 1],
    ];
    const sides = square.map((_, i): Crease => ({ from: i, to: (i + 1) % 4, kind: 'B' }));
    const creases: Crease[] = [...sides, { from: 0, to: 2, kind: 'V' }, { from: 1, to: 3, kind: 'M' }];
    const pattern: Pattern = { vertices: square, exact: square.map(() => null), creases, lattice: null };
    const found = crossingFindings(pattern, planarLaws(checkPlanarGraph(pattern)));
    expect(found.map(({ what, crease }) => [what, crease])).toEqual([
      ['law-broken', 4],
      ['law-broken', 5],
    ]);
    expect(found.map(({ at }) => at)).toEqual([
      [0.5, 0.5],
      [0.5, 0.5],
    ]);
  });
});

describe('patterns that leave lines out, as published ones do', () => {
  it.each([0.02, 0.1])('share %f left out: no clear crease is lost or turned, and proposals are right', (share) => {
    let [left, proposed, right] = [0, 0, 0];
    for (const family of ['box', 'pleat', 'miura', 'angle22'] as const) {
      for (const seed of [730, 731]) {
        const { pattern } = makePattern(family, seed);
        const drawing = inputOf(pattern, seed);
        const random = makeRandom(seed);
        const gone: (readonly [number, number])[] = [];
        const middle = ({ from, to }: { from: number; to: number }) =>
          [0, 1].map((k) => (pattern.vertices[from][k] + pattern.vertices[to][k]) / 2) as [number, number];
        for (let i = drawing.pieces.length - 1; i >= 0; i--) {
          if (drawing.pieces[i].border || !random.chance(share)) continue;
          gone.push(middle(drawing.pieces[i]));
          remove<unknown>([drawing.pieces, drawing.kinds, drawing.odds, drawing.measured], i);
        }
        left += gone.length;
        const { pattern: got, doubts } = resolve(drawing.input);
        drawing.pieces.forEach((piece, i) => {
          const kinds = got.creases
            .filter(({ from, to }) => liesOn(middle(piece), got.vertices[from], got.vertices[to]))
            .map(({ kind }) => kind);
          expect(kinds).toContain(drawing.kinds[i]);
        });
        for (const { what, crease, at } of doubts) {
          if (what !== 'crease-missing' || crease !== undefined) continue;
          proposed++;
          if (gone.some(([x, y]) => Math.hypot(x - at[0], y - at[1]) < 0.004)) right++;
        }
      }
    }
    expect(left).toBeGreaterThan(30);
    expect(proposed).toBeGreaterThan(20);
    expect(right / proposed).toBeGreaterThan(0.85);
  });
});

function liesOn(p: readonly [number, number], a: readonly [number, number], b: readonly [number, number]): boolean {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const length = Math.hypot(dx, dy);
  const along = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / length;
  const beside = Math.abs((p[0] - a[0]) * dy - (p[1] - a[1]) * dx) / length;
  return beside < 1e-3 && along > 0 && along < length;
}
