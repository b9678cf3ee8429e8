/**
 * FOLD 1.2 as its specification states it: https://github.com/edemaine/fold/blob/main/doc/spec.md (read on the page; the
 * rules checked here are the fields' names, ranges, letters, signs and orientation); Demaine, Ku, Lang 2016, "A new file
 * standard to represent folded structures". The checks read the written text only, not the writer's types.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { foldText, toFold } from '../../pipeline/formats/fold.ts';
import { parsePattern } from '../../pipeline/formats/read-pattern.ts';
import type { Pattern } from '../../pipeline/types.ts';
import { gridPattern, SQUARE } from '../formats/patterns.ts';

const base = (name: string) => {
  const text = readFileSync(new URL(`../../datasets/bases/${name}.fold`, import.meta.url), 'utf8');
  return parsePattern(text, name).pattern;
};
const written = (pattern: Pattern) => JSON.parse(foldText(toFold(pattern)));

describe.each<[string, Pattern]>([
  ['a square with every kind', SQUARE],
  ['a grid of 8 by 5', gridPattern(8, 5)],
  ['the bird base', base('bird')],
  ['the fish base', base('fish')],
])('the file of %s', (_, pattern) => {
  const file = written(pattern);
  const edges: [number, number][] = file.edges_vertices;

  it('says which version, class and unit', () => {
    expect(file.file_spec).toBe(1.2);
    expect(file.file_classes).toEqual(['singleModel']);
    expect(file.frame_classes).toEqual(['creasePattern']);
    expect(file.frame_attributes).toContain('2D');
    expect(file.frame_unit).toBe('unit');
  });

  it('uses only names of the standard, or names with a colon', () => {
    const standard =
      /^(file_(spec|creator|author|title|description|classes|frames)|frame_(author|title|description|classes|attributes|unit|parent|inherit)|vertices_(coords|vertices|edges|faces)|edges_(vertices|faces|assignment|foldAngle|length)|faces_(vertices|edges|faces)|faceOrders|edgeOrders)$/;
    for (const key of Object.keys(file)) expect(key).toMatch(key.includes(':') ? /^\w+:\w+$/ : standard);
  });

  it('has arrays of equal length, ids in range, finite coordinates, known letters', () => {
    expect(file.vertices_coords).toHaveLength(pattern.vertices.length);
    expect(edges).toHaveLength(pattern.creases.length);
    expect(file.edges_assignment).toHaveLength(edges.length);
    for (const point of file.vertices_coords) {
      expect(point).toHaveLength(2);
      expect(point.every(Number.isFinite)).toBe(true);
    }
    for (const v of edges.flat()) expect(v >= 0 && v < file.vertices_coords.length && Number.isInteger(v)).toBe(true);
    for (const letter of file.edges_assignment) expect('BMVFUCJ').toContain(letter);
  });

  it('gives fold angles in degrees, positive for valley, negative for mountain, zero else', () => {
    if (file.edges_assignment.includes('U')) {
      expect(file.edges_foldAngle).toBeUndefined();
      return;
    }
    const signs: Record<string, number> = { V: 1, M: -1, B: 0, F: 0, C: 0 };
    expect(file.edges_foldAngle).toHaveLength(edges.length);
    file.edges_foldAngle.forEach((angle: number, i: number) => {
      expect(Math.sign(angle)).toBe(signs[file.edges_assignment[i]]);
      expect(Math.abs(angle)).toBeLessThanOrEqual(180);
    });
  });

  it('lists faces counterclockwise along edges, without the outer one (Euler: V - E + F = 1)', () => {
    const known = new Set(edges.flatMap(([u, v]) => [`${u},${v}`, `${v},${u}`]));
    for (const face of file.faces_vertices as number[][]) {
      let twice = 0;
      face.forEach((v, i) => {
        const w = face[(i + 1) % face.length];
        expect(known.has(`${v},${w}`)).toBe(true);
        const [a, b] = [file.vertices_coords[v], file.vertices_coords[w]];
        twice += a[0] * b[1] - a[1] * b[0];
      });
      expect(twice).toBeGreaterThan(0);
    }
    expect(file.vertices_coords.length - edges.length + file.faces_vertices.length).toBe(1);
  });

  it('is the unit sheet: longest side 1, nothing below 0', () => {
    const flat: number[] = file.vertices_coords.flat();
    expect(Math.min(...flat)).toBe(0);
    expect(Math.max(...flat)).toBe(1);
  });
});

it('an undecided crease stays U, and its file gives no fold angle to anything', () => {
  const file = written(SQUARE);
  expect(file.edges_assignment[7]).toBe('U');
  expect(file).not.toHaveProperty('edges_foldAngle');
});

it('a minimal file of the standard alone is read: the key frame without class or letters', () => {
  const text = '{"vertices_coords":[[0,0],[1,0],[1,1],[0,1]],"edges_vertices":[[0,1],[1,2],[2,3],[3,0],[0,2]]}';
  const { pattern } = parsePattern(text, 'minimal.fold');
  expect(pattern.creases.map(({ kind }) => kind)).toEqual(['U', 'U', 'U', 'U', 'U']);
});
