import { readFileSync } from 'node:fs';
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { traditionalBases } from '../../datasets/patterns/patterns.ts';
import { PlicaError } from '../../pipeline/errors.ts';
import { foldText, toFold } from '../../pipeline/formats/fold.ts';
import { readNoteText } from '../../pipeline/formats/read-notes.ts';
import { parsePattern, readPattern } from '../../pipeline/formats/read-pattern.ts';
import { toSvg } from '../../pipeline/formats/svg.ts';
import { exact } from '../../pipeline/geometry/exact.ts';
import { checkPlanarGraph } from '../../pipeline/graph/check.ts';
import type { Kind, Pattern } from '../../pipeline/types.ts';
import { creaseList, gridPattern, patternOf, SQUARE } from './patterns.ts';

const fold = (fields: Record<string, unknown>) => JSON.stringify({ file_spec: 1.2, ...fields });
const notesOf = (text: string) => parsePattern(text, 'x').notes.map(({ what }) => what);

const UNIT = [
  [0, 0],
  [1, 0],
  [1, 1],
  [0, 1],
];
const RING = [
  [0, 1],
  [1, 2],
  [2, 3],
  [3, 0],
];

describe('FOLD in', () => {
  it('what Plica writes comes back the same, without remarks', () => {
    for (const pattern of [SQUARE, gridPattern(8, 5)]) {
      const { pattern: back, notes } = parsePattern(foldText(toFold(pattern)), 'x.fold');
      expect(notes).toEqual([]);
      expect(back.vertices).toEqual(pattern.vertices);
      expect(back.creases).toEqual(pattern.creases);
    }
  });

  it('keeps exact coordinates and the lattice', () => {
    const half = exact(1, 2);
    const root = exact(2, 2, -1);
    const pattern: Pattern = {
      ...SQUARE,
      vertices: [...SQUARE.vertices.slice(0, 5), [(2 - Math.SQRT2) / 2, 0]],
      exact: [null, null, null, null, [half, half], [root, exact(0)]],
      lattice: { kind: 'angle22', divisionsX: 0, divisionsY: 0, halfUnits: false, residual: 0.001, fit: 0.9 },
    };
    const back = parsePattern(foldText(toFold(pattern)), 'x.fold').pattern;
    expect(back.exact).toEqual(pattern.exact);
    expect(back.lattice).toEqual(pattern.lattice);
  });

  // FOLD 1.2: names of a program's own arrays for each vertex begin with vertices_ and hold a colon.
  it.each(traditionalBases())('datasets/bases/$name.fold brings its exact coordinates, without remarks', (base) => {
    const text = readFileSync(new URL(`../../datasets/bases/${base.name}.fold`, import.meta.url), 'utf8');
    const { pattern, notes } = parsePattern(text, base.name);
    expect(notes).toEqual([]);
    expect(pattern.exact).not.toContain(null);
    expect(pattern).toMatchObject({ exact: base.pattern.exact, creases: base.pattern.creases });
  });

  it('leaves out exact coordinates that contradict the decimal ones, and says so', () => {
    const file = { ...toFold(SQUARE), 'vertices_plica:exact': [null, null, null, null, ['1/3', '1/2'], null] };
    const { pattern, notes } = parsePattern(JSON.stringify(file), 'x.fold');
    expect(pattern.exact.every((e) => e === null)).toBe(true);
    expect(notes).toEqual([{ what: 'exact-ignored' }]);
  });

  it.each([1e-3, 1, 400, 1e6])('any unit and place comes to longest side 1 (side %f)', (side) => {
    const vertices_coords = SQUARE.vertices.map(([x, y]) => [x * side - 7 * side, y * side + 3 * side]);
    const { pattern, notes } = parsePattern(JSON.stringify({ ...toFold(SQUARE), vertices_coords }), 'x');
    expect(creaseList(pattern)).toEqual(creaseList(SQUARE));
    expect(notes).toEqual([{ what: 'scaled' }]);
  });

  it('splits creases that cross without a vertex, and reports how many', () => {
    const text = fold({
      vertices_coords: UNIT,
      edges_vertices: [...RING, [0, 2], [1, 3]],
      edges_assignment: ['B', 'B', 'B', 'B', 'M', 'V'],
    });
    const { pattern, notes } = parsePattern(text, 'x');
    expect(notes).toEqual([{ what: 'crossings-split', count: 1 }]);
    expect(pattern.vertices).toHaveLength(5);
    expect(pattern.vertices[4]).toEqual([0.5, 0.5]);
    expect(pattern.creases.filter(({ kind }) => kind === 'M')).toHaveLength(2);
    expect(checkPlanarGraph(pattern)).toEqual([]);
  });

  it('cuts a crease at a vertex that lies on it; drops doubles; settles an edge over a fold', () => {
    const text = fold({
      vertices_coords: [...UNIT, [0.5, 0], [0.5, 1], [1, 0]],
      edges_vertices: [...RING, [4, 5], [5, 4], [6, 2], [3, 3]],
      edges_assignment: ['B', 'B', 'B', 'B', 'M', 'V', 'F', 'M'],
    });
    const { pattern, notes } = parsePattern(text, 'x');
    expect(notes).toEqual([
      { what: 'creases-cut', count: 2 },
      { what: 'vertices-joined', count: 1 },
      { what: 'creases-dropped', count: 3 },
      { what: 'kinds-conflict', count: 1 },
    ]);
    expect(creaseList(pattern, 1)).toEqual([
      '0.0,0.0 0.0,1.0 B',
      '0.0,0.0 0.5,0.0 B',
      '0.0,1.0 0.5,1.0 B',
      '0.5,0.0 0.5,1.0 U',
      '0.5,0.0 1.0,0.0 B',
      '0.5,1.0 1.0,1.0 B',
      '1.0,0.0 1.0,1.0 B',
    ]);
  });

  it('any lines at all become a planar graph, by a checker written apart', () => {
    const coordinate = fc.integer({ min: 0, max: 12 }).map((n) => n / 12);
    const line = fc.tuple(
      coordinate,
      coordinate,
      coordinate,
      coordinate,
      fc.constantFrom<Kind>('M', 'V', 'B', 'F', 'U'),
    );
    fc.assert(
      fc.property(fc.array(line, { minLength: 3, maxLength: 30 }), (lines) => {
        const vertices_coords = lines.flatMap(([a, b, c, d]) => [
          [a, b],
          [c, d],
        ]);
        fc.pre(lines.some(([a, b, c, d]) => a !== c || b !== d));
        const edges_vertices = lines.map((_, i) => [2 * i, 2 * i + 1]);
        const text = fold({ vertices_coords, edges_vertices, edges_assignment: lines.map((l) => l[4]) });
        expect(checkPlanarGraph(parsePattern(text, 'x').pattern)).toEqual([]);
      }),
      { seed: 5, numRuns: 300 },
    );
  });

  it('takes kinds from fold angles, old name too, where no letters are given', () => {
    for (const key of ['edges_foldAngle', 'edges_foldAngles']) {
      const text = fold({ vertices_coords: UNIT, edges_vertices: RING, [key]: [180, -180, 0, null] });
      const { pattern, notes } = parsePattern(text, 'x');
      expect(pattern.creases.map(({ kind }) => kind)).toEqual(['V', 'M', 'F', 'U']);
      expect(notes).toEqual([{ what: 'kinds-from-angles' }]);
    }
    expect(notesOf(fold({ vertices_coords: UNIT, edges_vertices: RING }))).toEqual(['kinds-unknown']);
  });

  it('finds the crease pattern among frames, with what it inherits', () => {
    const text = fold({
      frame_classes: ['foldedForm'],
      vertices_coords: UNIT.map(([x, y]) => [x / 2, y, 0.5]),
      edges_vertices: RING,
      edges_assignment: ['B', 'B', 'B', 'B'],
      file_frames: [{ frame_classes: ['creasePattern'], frame_parent: 0, frame_inherit: true, vertices_coords: UNIT }],
    });
    const { pattern, notes } = parsePattern(text, 'x');
    expect(notes).toEqual([{ what: 'frame-chosen', count: 1 }]);
    expect(pattern.creases.every(({ kind }) => kind === 'B')).toBe(true);
    expect(pattern.vertices[2]).toEqual([1, 1]);
  });

  it('drops joins, which are no creases', () => {
    const text = fold({
      vertices_coords: UNIT,
      edges_vertices: [...RING, [0, 2]],
      edges_assignment: ['B', 'B', 'B', 'B', 'J'],
    });
    expect(parsePattern(text, 'x').pattern.creases).toHaveLength(4);
    expect(notesOf(text)).toEqual(['joins-dropped']);
  });

  it.each<[string, string, RegExp]>([
    ['not JSON', '{"vertices_coords": [', /not valid JSON/],
    ['neither', 'hello', /neither FOLD nor SVG/],
    ['a list', '[]', /neither FOLD nor SVG/],
    ['no creases', fold({ vertices_coords: UNIT }), /no edges_vertices/],
    ['no coordinates', fold({ edges_vertices: RING }), /vertices_coords is missing/],
    ['empty lists', fold({ vertices_coords: [], edges_vertices: [] }), /no creases/],
    [
      'a number out of range',
      fold({ vertices_coords: UNIT, edges_vertices: [[0, 4]] }),
      /edges_vertices\[0\] names vertex 4/,
    ],
    ['a negative number', fold({ vertices_coords: UNIT, edges_vertices: [[-1, 0]] }), /names vertex -1/],
    ['half a number', fold({ vertices_coords: UNIT, edges_vertices: [[0.5, 0]] }), /names vertex 0.5/],
    ['three ends', fold({ vertices_coords: UNIT, edges_vertices: [[0, 1, 2]] }), /must be two vertex numbers/],
    [
      'text as a coordinate',
      fold({
        vertices_coords: [
          ['0', 0],
          [1, 1],
        ],
        edges_vertices: [[0, 1]],
      }),
      /vertices_coords\[0\]/,
    ],
    [
      'an overflowing number',
      '{"vertices_coords": [[1e999, 0], [0, 0]], "edges_vertices": [[0, 1]]}',
      /vertices_coords\[0\]/,
    ],
    ['null', fold({ vertices_coords: [null], edges_vertices: [[0, 0]] }), /vertices_coords\[0\]/],
    [
      'a wrong letter',
      fold({ vertices_coords: UNIT, edges_vertices: RING, edges_assignment: ['B', 'X', 'B', 'B'] }),
      /edges_assignment\[1\] is "X"/,
    ],
    [
      'too few letters',
      fold({ vertices_coords: UNIT, edges_vertices: RING, edges_assignment: ['B'] }),
      /1 entries for 4 edges/,
    ],
    [
      'an angle too large',
      fold({ vertices_coords: UNIT, edges_vertices: RING, edges_foldAngle: [0, 0, 0, 181] }),
      /edges_foldAngle\[3\]/,
    ],
    [
      'a folded form in space',
      fold({ vertices_coords: UNIT.map(([x, y], i) => [x, y, i]), edges_vertices: RING }),
      /folded form/,
    ],
    [
      'one spot',
      fold({
        vertices_coords: [
          [2, 2],
          [2, 2],
        ],
        edges_vertices: [[0, 1]],
      }),
      /one spot/,
    ],
    [
      'a circle of frames',
      fold({ file_frames: [{ frame_inherit: true, frame_parent: 1, edges_vertices: RING }] }),
      /inherits/,
    ],
    ['a missing parent', fold({ file_frames: [{ frame_inherit: true, frame_parent: 9 }] }), /inherits/],
  ])('refuses %s in one line', (_, text, message) => {
    const read = () => parsePattern(text, 'bad.fold');
    expect(read).toThrow(PlicaError);
    expect(read).toThrow(message);
    expect(read).toThrow(/^[^\n]*bad\.fold[^\n]*$/);
  });
});

describe('SVG in', () => {
  const svg = (body: string) => `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">${body}</svg>`;
  const frame = '<rect width="100" height="100" fill="none" stroke="#000"/>';

  it('what Plica writes comes back the same', () => {
    for (const pattern of [SQUARE, gridPattern(16, 9)]) {
      const { pattern: back, notes } = parsePattern(toSvg(pattern), 'x.svg');
      expect(creaseList(back)).toEqual(creaseList(pattern));
      expect(notes.map(({ what }) => what)).toEqual(['kinds-from-classes', 'scaled']);
    }
  });

  it('reads every straight shape, y up, with red mountains and blue valleys', () => {
    const text = svg(`${frame}
      <line x1="0" y1="0" x2="50" y2="50" stroke="red"/>
      <polyline points="50,50 100,0" style="stroke:#22c;fill:none"/>
      <path d="m 50 50 l50 50 M50,50 L0 100" stroke="rgb(200,30,30)"/>
      <path d="M50 50V100" stroke="#999"/>
      <path d="M50 50H100" stroke="none" fill="red"/>
      <text x="3" y="3">23</text>`);
    const { pattern, notes } = parsePattern(text, 'x.svg');
    const wanted = patternOf(
      [
        [0, 0],
        [1, 0],
        [1, 1],
        [0, 1],
        [0.5, 0.5],
        [0.5, 0],
      ],
      [
        [0, 5, 'B'],
        [5, 1, 'B'],
        [1, 2, 'B'],
        [2, 3, 'B'],
        [3, 0, 'B'],
        [3, 4, 'M'],
        [2, 4, 'V'],
        [1, 4, 'M'],
        [0, 4, 'M'],
        [4, 5, 'F'],
      ],
    );
    expect(creaseList(pattern)).toEqual(creaseList(wanted));
    expect(notes.map(({ what }) => what)).toEqual(['kinds-from-colours', 'scaled', 'creases-cut']);
  });

  it('reads dashes as the notation has them (Yoshizawa-Randlett)', () => {
    const text = svg(`${frame}<g stroke="#000">
      <path d="M0 0L50 50" stroke-dasharray="6 2 1 2"/><path d="M50 50L100 0" stroke-dasharray="6,3"/>
      <path d="M0 100L50 50" style="stroke-dasharray: 6 2 1 2 1 2"/><path d="M100 100L50 50"/></g>`);
    const { pattern } = parsePattern(text, 'x.svg');
    const inside = pattern.creases.filter(({ kind }) => kind !== 'B').map(({ kind }) => kind);
    expect(inside).toEqual(['M', 'V', 'M', 'U']);
  });

  it('a solid line beside dashed ones is the mountain', () => {
    const text = svg(
      `${frame}<path d="M0 0L50 50" stroke="#000"/><path d="M50 50L100 0" stroke="#000" stroke-dasharray="4"/>`,
    );
    const kinds = parsePattern(text, 'x.svg').pattern.creases.map(({ kind }) => kind);
    expect(kinds).toEqual(['B', 'B', 'B', 'B', 'M', 'V']);
  });

  it('obeys transforms, inheritance and style sheets', () => {
    const plain = parsePattern(
      svg(`${frame}<path d="M0 0L100 100" stroke="red"/><path d="M20 0L20 20" stroke="blue"/>`),
      'x',
    );
    const turned = parsePattern(
      svg(`<style>/* a */ .m, .none { stroke: red } path.v{stroke:#00f}</style>
        <g transform="translate(5 -3) rotate(90 50,50) scale(2)"><g transform="matrix(0 -1 1 0 0 100)">
        <rect width="100" height="100" fill="none" stroke="#000"/><path class="m" d="M0 0L100 100"/><path class="v" d="M20 0v20"/>
        <path class="m" display="none" d="M0 50L50 50"/></g></g><defs><path d="M0 0L500 500" stroke="red"/></defs>`),
      'x',
    );
    // Class names m and v are the letters of the kinds: names win over colours, and agree with them here.
    expect(creaseList(turned.pattern).filter((c) => !c.endsWith('U'))).toEqual(
      creaseList(plain.pattern).filter((c) => !c.endsWith('B')),
    );
    expect(turned.pattern.creases).toHaveLength(plain.pattern.creases.length);
  });

  it('joins ends within a tenth of a stroke and no further', () => {
    const near = (gap: number) =>
      svg(
        `${frame}<path d="M0 0L50 50" stroke="red" stroke-width="1"/><path d="M${50 + gap} 50L100 0" stroke="blue"/>`,
      );
    expect(parsePattern(near(0.05), 'x').pattern.vertices).toHaveLength(5);
    expect(parsePattern(near(0.5), 'x').pattern.vertices).toHaveLength(6);
  });

  it('counts curves that it leaves out', () => {
    const { pattern, notes } = parsePattern(
      svg(`${frame}<path d="M0 0C1 1 2 2 3 3A5 5 0 0110 10L20 20" stroke="red"/><circle r="3" stroke="red"/>`),
      'x',
    );
    expect(notes).toContainEqual({ what: 'curves-skipped', count: 3 });
    expect(creaseList(pattern)).toContain('0.100000,0.900000 0.200000,0.800000 M');
  });

  it.each<[string, string]>([
    ['nothing drawn', svg('')],
    ['tags that do not close', '<svg><g><path d="M0 0L1 1" stroke="red"/></svg>'],
    ['cut off', '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0L1 1" stroke="red"'],
    ['another kind of XML', '<?xml version="1.0"?><html><body/></html>'],
    ['only fills', svg('<path d="M0 0L9 9L0 9Z" fill="red"/>')],
    ['nested beyond reason', `<svg>${'<g>'.repeat(1000)}${'</g>'.repeat(1000)}</svg>`],
  ])('refuses %s', (_, text) => {
    expect(() => parsePattern(text, 'bad.svg')).toThrow(PlicaError);
  });
});

describe('from disk', () => {
  it('reads by content whatever the name is', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'plica-'));
    try {
      const path = join(folder, 'pattern.txt');
      await writeFile(path, foldText(toFold(SQUARE)));
      expect((await readPattern(path)).name).toBe('pattern.txt');
      await expect(readPattern(folder)).rejects.toThrow('is a folder');
      await expect(readPattern(join(folder, 'none'))).rejects.toThrow('was not found');
    } finally {
      await rm(folder, { recursive: true });
    }
  });

  it('reads the traditional bases of the data set without a remark', async () => {
    const bases = new URL('../../datasets/bases/', import.meta.url);
    const names = (await readdir(bases)).filter((name) => name.endsWith('.fold'));
    expect(names.length).toBeGreaterThanOrEqual(8);
    for (const name of names) {
      const { pattern, notes } = parsePattern(await readFile(new URL(name, bases), 'utf8'), name);
      expect(notes, name).toEqual([]);
      expect(checkPlanarGraph(pattern), name).toEqual([]);
    }
  });
});

it('every remark has words', () => {
  for (const what of ['scaled', 'crossings-split', 'creases-cut', 'frame-chosen'] as const) {
    expect(readNoteText({ what, count: 1 })).toMatch(/^[A-Z1].*\.$/);
  }
});
