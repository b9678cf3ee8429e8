/** The rules of the house that a reader relies on (DEVELOPERS.md): imports run one way, and nothing is tied to one machine. */
import { describe, expect, it } from 'vitest';
import { circles, importsOf, projectFiles, textOf } from './sources.ts';

const files = projectFiles();
const sources = files.filter((path) => /^pipeline\/.*(?<!\.d)\.ts$/.test(path));
const imports = new Map(sources.map((path) => [path, importsOf(path, textOf(path))]));

/** The order in which parts may build on each other, first to last, as DEVELOPERS.md draws it. */
const order = /^ {4}(types .*?> cli)$/ms
  .exec(textOf('DEVELOPERS.md'))![1]
  .split('>')
  .map((step) => step.trim().split(/\s+/));
const rankOf = (path: string): number => {
  const part = path.split('/')[1].replace(/\.ts$/, '');
  return order.findIndex((step) => step.includes(part));
};

describe('reading imports', () => {
  it.each([
    ["import { a } from './b.ts';", ['pipeline/x/b.ts']],
    ["import type { A } from '../y/b.ts';", ['pipeline/y/b.ts']],
    [
      "import {\n  a,\n  type B,\n} from './b.ts';\nexport type * from './c.ts';",
      ['pipeline/x/b.ts', 'pipeline/x/c.ts'],
    ],
    ["import './b.ts';", ['pipeline/x/b.ts']],
    ["const { a } = await import('../b.ts');", ['pipeline/b.ts']],
    ["new Worker(new URL('./b.ts', import.meta.url))", ['pipeline/x/b.ts']],
    ["import sharp from 'sharp';\nconst text = 'from';", []],
  ])('%j', (text, expected) => expect(importsOf('pipeline/x/a.ts', text)).toEqual(expected));

  it('misses none: every file but the programs is named by another, and every name is a file', () => {
    expect(sources.length).toBeGreaterThan(150);
    const named = new Set([...imports.values()].flat());
    expect([...named].filter((path) => !files.includes(path))).toEqual([]);
    // `plica.ts` and the library's entry are started from outside; the page's program is named by its HTML.
    const roots = ['pipeline/cli/plica.ts', 'pipeline/desk/page/main.ts'];
    expect(sources.filter((path) => !named.has(path)).sort()).toEqual(roots);
  });
});

describe('imports run one way', () => {
  it('circles are found where there are some', () => {
    const graph = new Map([
      ['a', ['b']],
      ['b', ['c', 'd']],
      ['c', ['a']],
      ['d', ['d']],
      ['e', ['a']],
    ]);
    expect(circles(graph)).toEqual([['d'], ['a', 'b', 'c']]);
  });

  it('no file reaches itself, type imports counted', () => {
    expect(circles(imports)).toEqual([]);
  });

  it('every part has its place in the order', () => {
    expect(order.flat()).toEqual(
      expect.arrayContaining(['intake', 'rectify', 'resolve', 'validity', 'report', 'desk']),
    );
    expect(sources.filter((path) => rankOf(path) < 0)).toEqual([]);
    const parts = new Set(sources.map((path) => path.split('/')[1].replace(/\.ts$/, '')));
    expect(order.flat().filter((part) => !parts.has(part))).toEqual([]);
  });

  it('a part imports itself and earlier ones only', () => {
    const part = (path: string): string => path.split('/')[1];
    const wrong = sources.flatMap((path) =>
      imports
        .get(path)!
        .filter((other) => part(other) !== part(path) && rankOf(other) >= rankOf(path))
        .map((other) => `${path} -> ${other}`),
    );
    expect(wrong).toEqual([]);
  });
});

describe('nothing is tied to one machine', () => {
  // Put together here, so that this file does not hold what it looks for.
  const folders = ['work', 'home', 'root', 'Users', 'tmp'].join('|');
  const places = new RegExp(`(?<![\\w.$})/~-])/(${folders})/[\\w.]`);
  const names = ['npmjs.', 'yarnpkg.', 'pypi.', 'artifactory', 'verdaccio', 'npmmirror'];
  const registries = names.map((name) => name.replace('.', '\\.')).join('|');
  const hosts = new RegExp(`//[\\w.-]*(${registries})`);
  const texts = files.filter((path) => !/\.(png|jpe?g|webp|bin|heic|tiff?|gif|avif|pdf)$/.test(path));

  it.each([
    [`cd ${'/'}work/main`, true],
    [`"${'/'}tmp/x.png"`, true],
    ['the work/main folder', false],
    ['https://example.org/work/one', false],
  ])('finds machine paths: %s', (text, found) => expect(places.test(text)).toBe(found));

  it('no text names a folder of somebody’s machine', () => {
    expect(texts.length).toBeGreaterThan(250);
    expect(texts.filter((path) => places.test(textOf(path)))).toEqual([]);
  });

  it.each([
    [`https:${'/'}/registry.npmjs.org/x`, true],
    ['https://example.org/npmjs.', false],
  ])('finds registries: %s', (text, found) => expect(hosts.test(text)).toBe(found));

  it('no text names a package registry', () => {
    expect(texts.filter((path) => hosts.test(textOf(path)))).toEqual([]);
  });
});
