import { describe, expect, it } from 'vitest';
import { vertexFolds } from '../../datasets/patterns/assign.ts';
import { checkPattern, type PatternFault } from '../../datasets/patterns/check.ts';
import { makePattern, patternFamilies } from '../../datasets/patterns/patterns.ts';
import type { Kind, Pattern, PatternPoint } from '../../pipeline/types.ts';

function bird(): Pattern {
  let seed = 0;
  while (makePattern('base', seed).name !== 'bird') seed++;
  return makePattern('base', seed).pattern;
}

function moved(pattern: Pattern, vertex: number, to: PatternPoint): Pattern {
  return {
    ...pattern,
    vertices: pattern.vertices.map((p, i) => (i === vertex ? to : p)),
    exact: pattern.exact.map((e, i) => (i === vertex ? null : e)),
  };
}

const names = (pattern: Pattern): Set<PatternFault> => new Set(checkPattern(pattern).map((f) => f.what));
const inner = (pattern: Pattern): number =>
  pattern.vertices.findIndex(([x, y]) => x > 0.01 && x < 0.99 && y > 0.01 && y < 0.99);
const sample = bird();
const hub = inner(sample);

describe('the checker finds seeded defects', () => {
  it('starts from a sound pattern', () => {
    expect(checkPattern(sample)).toEqual([]);
  });

  // Maekawa: M - V = ±2, so one changed letter breaks both its inner ends.
  it.each(patternFamilies.filter((f) => f !== 'base'))('%s: one wrong letter breaks Maekawa', (family) => {
    let seed = 300;
    const touchesInside = (p: Pattern) =>
      p.creases.findIndex((c) => {
        const onBorder = new Set(p.creases.filter((b) => b.kind === 'B').flatMap((b) => [b.from, b.to]));
        return c.kind === 'M' && !(onBorder.has(c.from) && onBorder.has(c.to));
      });
    while (touchesInside(makePattern(family, seed).pattern) < 0) seed++;
    const { pattern } = makePattern(family, seed);
    const wrong = touchesInside(pattern);
    const creases = pattern.creases.map((c, i) => (i === wrong ? { ...c, kind: 'V' as Kind } : c));
    expect(names({ ...pattern, creases })).toContain('maekawa');
  });

  it('a missing crease leaves an odd degree', () => {
    const gone = sample.creases.findIndex((c) => c.kind !== 'B' && (c.from === hub || c.to === hub));
    expect(names({ ...sample, creases: sample.creases.toSpliced(gone, 1) })).toContain('odd-degree');
  });

  it('a moved vertex breaks Kawasaki, by far less than a drawn line is wide', () => {
    const [x, y] = sample.vertices[hub];
    expect(names(moved(sample, hub, [x + 0.001, y + 0.0005]))).toContain('kawasaki');
  });

  it('two creases that cross without a vertex', () => {
    const ends = [
      sample.vertices.findIndex((p) => p[0] === 0 && p[1] === 0),
      sample.vertices.findIndex((p) => p[0] === 1 && p[1] === 1),
    ];
    const shifted: Pattern = {
      vertices: [...sample.vertices, [0.3, 0.31], [0.7, 0.69]],
      exact: [...sample.exact, null, null],
      creases: [...sample.creases, { from: sample.vertices.length, to: sample.vertices.length + 1, kind: 'F' }],
      lattice: null,
    };
    expect(names(shifted)).toContain('crossing');
    const across = [...sample.creases, { from: ends[0], to: ends[1], kind: 'F' as Kind }];
    expect(names({ ...sample, creases: across })).toContain('vertex-on-crease');
  });

  it('a loose end, a needless vertex, a double vertex, an open border, a point outside', () => {
    const n = sample.vertices.length;
    const plus = (at: PatternPoint, from: number, kind: Kind): Pattern => ({
      ...sample,
      vertices: [...sample.vertices, at],
      exact: [...sample.exact, null],
      creases: [...sample.creases, { from, to: n, kind }],
    });
    expect(names(plus([0.5, 0.53], hub, 'M'))).toContain('loose-end');
    expect(names(plus([0.5, -0.2], 0, 'M'))).toContain('outside');
    expect(names(plus(sample.vertices[hub], 0, 'M'))).toContain('same-vertex');
    const border = sample.creases.findIndex((c) => c.kind === 'B');
    expect(names({ ...sample, creases: sample.creases.toSpliced(border, 1) })).toContain('border-open');
    const { from, to } = sample.creases[border];
    const [p, q] = [sample.vertices[from], sample.vertices[to]];
    const halved: Pattern = {
      ...sample,
      vertices: [...sample.vertices, [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2]],
      exact: [...sample.exact, null],
      creases: [...sample.creases.toSpliced(border, 1), { from, to: n, kind: 'B' }, { from: n, to, kind: 'B' }],
    };
    expect(names(halved)).toContain('needless-vertex');
  });

  it('exact coordinates that differ from the floating ones', () => {
    const exactPoints = sample.exact.map((e, i): typeof e => (i === hub && e ? [e[1], { ...e[0], p: e[0].p + 1 }] : e));
    expect(names({ ...sample, exact: exactPoints })).toContain('exact-differs');
  });
});

// Numbers of valid letterings of a vertex: Hull 2003, Ars Combin. 67, 175-188; possible values OEIS A156209; all equal
// angles 2·C(2n, n-1). The worked cases were computed for this project by trying every order of layers.
describe('letterings of a single vertex', () => {
  const count = (degrees: readonly number[]): number => {
    const sectors = degrees.map((d) => (d * Math.PI) / 180);
    let total = 0;
    for (let bits = 0; bits < 1 << sectors.length; bits++) {
      if (
        vertexFolds(
          sectors,
          sectors.map((_, k) => ((bits >> k) & 1) === 1),
        )
      )
        total++;
    }
    return total;
  };

  it.each([
    [[60, 70, 120, 110], 4],
    [[60, 60, 120, 120], 6],
    [[60, 90, 120, 90], 4],
    [[90, 90, 90, 90], 8],
    [[60, 60, 60, 60, 60, 60], 30],
    [[30, 50, 70, 60, 80, 70], 8],
    [[50, 50, 50, 70, 80, 60], 12],
    [[45, 45, 45, 45, 90, 90], 20],
    [[45, 45, 45, 45, 45, 45, 45, 45], 112],
    [[36, 36, 36, 36, 36, 36, 36, 36, 36, 36], 420],
  ])('sectors %j have %i', (degrees, expected) => {
    expect(count(degrees)).toBe(expected);
  });

  it('none where alternate angles do not add up to half a turn', () => {
    expect(count([100, 90, 70, 100])).toBe(0);
  });
});
