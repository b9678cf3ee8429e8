/** The list of doubts, and where points that a person shows are put. */
import { describe, expect, it } from 'vitest';
import { makePattern, traditionalBases } from '../../datasets/patterns/patterns.ts';
import { checkChoices } from '../../pipeline/desk/work/choices.ts';
import { nextPlace } from '../../pipeline/desk/work/cursor.ts';
import { listDoubts, wholeLaws } from '../../pipeline/desk/work/doubts.ts';
import { isOnSheet } from '../../pipeline/desk/work/grid.ts';
import { snapTo } from '../../pipeline/desk/work/snap.ts';
import { fitted, panned, zoomed } from '../../pipeline/desk/work/view.ts';
import { checkVertices } from '../../pipeline/laws/laws.ts';
import type { Pattern } from '../../pipeline/types.ts';
import { deskWith, squareLattice } from './readings.ts';

const base = (name: string): Pattern => traditionalBases().find((one) => one.name === name)!.pattern;
const list = (pattern: Pattern, doubts: Parameters<typeof deskWith>[1]) =>
  listDoubts(deskWith(pattern, doubts), checkVertices(pattern));

describe('the order of doubts', () => {
  // Maekawa (Kasahara & Takahama 1987): with one crease the other way, mountains and valleys differ by two no more.
  const sound = base('waterbomb');
  const folds = sound.creases.flatMap(({ kind }, c) => (kind === 'M' || kind === 'V' ? [c] : []));
  const [wrong, right] = folds;
  const broken: Pattern = {
    ...sound,
    creases: sound.creases.map((c, i) => (i === wrong ? { ...c, kind: c.kind === 'M' ? 'V' : 'M' } : c)),
  };

  it('has what decides about the whole sheet first, then broken places, then by risk; settled ones last', () => {
    const pattern = makePattern('grid', 3).pattern;
    const [a, b] = pattern.creases.flatMap(({ kind }, c) => (kind === 'M' ? [c] : []));
    const items = list(pattern, [
      { crease: a, probability: 0.9 },
      { crease: b, probability: 0.5 },
      { what: 'outline-assumed', probability: 0.99 },
    ]);
    expect(items.map(({ key }) => key)).toEqual(['d2', 'd1', 'd0']);
    const state = deskWith(pattern, [{ crease: a, probability: 0.1 }, { crease: b }]);
    const settled = { ...state, doubts: state.doubts.map((d) => ({ ...d, settled: d.id === 0 })) };
    expect(listDoubts(settled, []).map(({ key }) => key)).toEqual(['d1', 'd0']);
  });

  it('says how many vertices would break if the alternative were true', () => {
    const [doubt] = list(sound, [
      { crease: right, instead: sound.creases[right].kind === 'M' ? 'valley' : 'mountain' },
    ]);
    expect(doubt.stakes).toMatchObject({ now: 0, otherwise: 1 });
    const [mended] = list(broken, [
      { crease: wrong, instead: sound.creases[wrong].kind === 'M' ? 'mountain' : 'valley' },
    ]);
    expect(mended.stakes).toMatchObject({ now: 1, otherwise: 0 });
  });

  it('lists a broken vertex by itself unless a doubt asks about it', () => {
    expect(list(broken, []).map(({ from }) => from)).toEqual(['laws']);
    expect(list(broken, [{ crease: right }]).map(({ from }) => from)).toEqual(['reading']);
    expect(list(sound, [])).toEqual([]);
  });

  it('lists laws of the whole sheet that no vertex shows', () => {
    const laws = [
      { law: 'layer-order', at: [0.5, 0.5], amount: 3 },
      { law: 'maekawa', at: [0.5, 0.5], amount: 0, vertex: 4 },
    ] as const;
    expect(wholeLaws(laws).map(({ law }) => law)).toEqual(['layer-order']);
    expect(listDoubts(deskWith(sound), [], wholeLaws(laws))).toMatchObject([{ key: 'w0', vertex: null }]);
  });
});

describe('a point shown', () => {
  const pattern = { ...base('waterbomb'), lattice: squareLattice(8) };

  it('is a vertex within reach, else a grid point with its fraction', () => {
    const [x, y] = pattern.vertices[0];
    expect(snapTo(pattern, [x + 0.01, y + 0.01], { reach: 0.02 })).toMatchObject({ what: 'vertex', vertex: 0 });
    expect(snapTo(pattern, [0.36, 0.14], { reach: 0.02 })).toEqual({
      what: 'grid',
      place: {
        at: [3 / 8, 1 / 8],
        exact: [
          { p: 3, r: 0, q: 8, root: 2 },
          { p: 1, r: 0, q: 8, root: 2 },
        ],
      },
    });
  });

  it('off the sheet is nowhere', () => {
    expect(snapTo(pattern, [1.2, 0.5], { reach: 0.02 })).toBeNull();
    expect(isOnSheet(pattern, [1, 0.3], 1e-9)).toBe(true);
    expect(isOnSheet(pattern, [1.001, 0.3], 1e-9)).toBe(false);
  });

  it('without a grid lies at a multiple of 22.5 degrees from the start, exactly', () => {
    // tan 22.5° = √2 - 1: the line from the corner meets the right edge at height √2 - 1.
    const bare: Pattern = { ...base('diagonal'), lattice: null };
    const corner = bare.vertices.findIndex(([x, y]) => x === 0 && y === 0);
    const from = { at: bare.vertices[corner], exact: bare.exact[corner] };
    const snap = snapTo(bare, [1.004, 0.409], { reach: 0.02, from });
    expect(snap?.what).toBe('ray');
    expect(snap?.place.at[0]).toBe(1);
    expect(snap?.place.at[1]).toBeCloseTo(Math.SQRT2 - 1, 12);
    expect(snap?.place.exact?.[1]).toEqual({ p: -1, r: 1, q: 1, root: 2 });
  });

  it('by keys goes from grid point to grid point, and to vertices off the grid', () => {
    expect(nextPlace(pattern, [0.25, 0.25], 'right')).toEqual([0.375, 0.25]);
    expect(nextPlace(pattern, [0.25, 0.25], 'up')).toEqual([0.25, 0.375]);
    const off: Pattern = {
      ...pattern,
      vertices: [...pattern.vertices, [0.3, 0.25]],
      exact: [...pattern.exact, null],
      creases: [...pattern.creases, { from: 0, to: pattern.vertices.length, kind: 'F' }],
    };
    expect(nextPlace(off, [0.25, 0.25], 'right')).toEqual([0.3, 0.25]);
    expect(nextPlace(pattern, [1, 0.5], 'right')).toEqual([1, 0.5]);
  });
});

describe('the view', () => {
  const box = { left: 0, top: 0, width: 1000, height: 500 };
  const stage = { width: 800, height: 600 };

  it('fits the sheet in the middle', () => {
    const view = fitted(box, stage);
    expect(view.left + 500 * view.scale).toBeCloseTo(400);
    expect(view.top + 250 * view.scale).toBeCloseTo(300);
    expect(1000 * view.scale).toBeLessThan(800);
  });

  it('zooms around the pointer, which stays over the same place of the paper', () => {
    const view = fitted(box, stage);
    const at = [200, 250] as const;
    const place = (v: typeof view) => [(at[0] - v.left) / v.scale, (at[1] - v.top) / v.scale];
    const closer = zoomed(view, 3, at, box, stage);
    expect(closer.scale).toBeCloseTo(3 * view.scale);
    expect(place(closer)[0]).toBeCloseTo(place(view)[0]);
    expect(place(closer)[1]).toBeCloseTo(place(view)[1]);
  });

  it('never loses the sheet', () => {
    const view = panned(fitted(box, stage), 1e6, -1e6, box, stage);
    expect(view.left).toBeLessThan(stage.width);
    expect(view.top + 500 * view.scale).toBeGreaterThan(0);
  });
});

describe('choices sent to the server', () => {
  it('are taken as they are where they are sound', () => {
    const choices = {
      corners: [
        [0, 0],
        [9, 0],
        [9, 9],
        [0, 9],
      ],
      divisions: 16,
      legend: [{ kind: 'mountain', colour: '#dd2222', rhythm: 'solid' }],
      page: 2,
    };
    expect(checkChoices(choices)).toEqual(choices);
    expect(checkChoices({})).toEqual({});
  });

  it.each([
    [null],
    [[]],
    [{ divisions: 0 }],
    [{ divisions: '8' }],
    [{ divisions: 1e9 }],
    [{ corners: [[0, 0]] }],
    [
      {
        corners: [
          [0, 0],
          [1, 0],
          [1, 1],
          [0, 'x'],
        ],
      },
    ],
    [{ legend: [{ kind: 'fold' }] }],
    [{ legend: [{ kind: 'valley', colour: 'url(evil)' }] }],
    [{ page: -1 }],
  ])('are refused where they are not: %j', (choices) => {
    expect(() => checkChoices(choices)).toThrow(expect.objectContaining({ code: 'bad-option' }));
  });
});
