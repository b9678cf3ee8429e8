/** `plica check` and `plica fold` through the program itself, on the traditional bases of `datasets/bases`. */
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import sharp from 'sharp';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { main } from '../../pipeline/cli/main.ts';
import { FOLDED_ENDINGS } from '../../pipeline/fold/fold.ts';
import { fakeTerminal } from './terminals.ts';

const bases = fileURLToPath(new URL('../../datasets/bases/', import.meta.url));
const names = (await readdir(bases)).filter((name) => name.endsWith('.fold'));
const bird = join(bases, 'bird.fold');

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'plica-'));
});
afterEach(() => rm(folder, { recursive: true }));

async function plica(...args: string[]) {
  const { terminal, out, err } = fakeTerminal();
  const code = await main(args, terminal);
  return { code, out: out.join('\n'), err, files: (await readdir(folder)).sort() };
}

/** The bird base with one kind turned over, or without a crease: Maekawa counts are off by two or by one. */
async function spoiled(change: (file: { edges_vertices: unknown[]; edges_assignment: string[] }, at: number) => void) {
  const file = JSON.parse(await readFile(bird, 'utf8'));
  change(file, file.edges_assignment.indexOf('V'));
  const path = join(folder, 'spoiled.fold');
  await writeFile(path, JSON.stringify(file));
  return path;
}

describe('check', () => {
  it('there are bases to check', () => expect(names.length).toBeGreaterThanOrEqual(8));

  // Traditional bases; each has been folded from paper for generations.
  it.each(names)('%s folds flat: exit 0', async (name) => {
    const { code, out, err } = await plica('check', join(bases, name));
    expect({ code, err }).toEqual({ code: 0, err: [] });
    expect(out).toMatch(new RegExp(`^${name}: folds flat\\.`));
  });

  it.each<[string, Parameters<typeof spoiled>[0], RegExp]>([
    ['a valley made a mountain', (file, at) => file.edges_assignment.splice(at, 1, 'M'), /Maekawa/],
    [
      'a crease left out',
      (file, at) => {
        file.edges_assignment.splice(at, 1);
        file.edges_vertices.splice(at, 1);
      },
      /Even number of creases/,
    ],
  ])('%s: exit 1, and the law is named', async (_, change, law) => {
    const { code, out } = await plica('check', await spoiled(change));
    expect(code).toBe(1);
    expect(out).toMatch(/^spoiled\.fold: does not fold flat/);
    expect(out).toMatch(law);
  });

  it.each([
    ['half a file', '{"vertices_coords": [[0,0]'],
    ['an edge to nowhere', '{"vertices_coords": [[0,0]], "edges_vertices": [[0,7]]}'],
    ['no picture either', 'dear friend'],
    ['nothing', ''],
  ])('%s: exit 2 in one line', async (_, text) => {
    await writeFile(join(folder, 'bad.fold'), text);
    const { code, out, err } = await plica('check', join(folder, 'bad.fold'));
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toHaveLength(1);
    expect(err[0]).toMatch(/^plica: bad\.fold[^\n]+$/);
  });
});

describe('fold', () => {
  const files = FOLDED_ENDINGS.map((ending) => `bird.${ending}`).sort();

  it('writes the folded form as SVG, PNG and FOLD, and names each', async () => {
    const done = await plica('fold', bird, '--out', folder);
    expect(done).toMatchObject({ code: 0, err: [], files });
    for (const file of files) expect(done.out).toContain(join(folder, file));
    expect(await readFile(join(folder, 'bird.front.svg'), 'utf8')).toMatch(/^<svg/);
    expect((await sharp(join(folder, 'bird.back.png')).metadata()).format).toBe('png');
    const fold = JSON.parse(await readFile(join(folder, 'bird.folded.fold'), 'utf8'));
    const classes = [fold, ...fold.file_frames].flatMap(({ frame_classes }) => frame_classes);
    expect(classes.sort()).toEqual(['creasePattern', 'foldedForm']);
  });

  it('replaces nothing without --force, and then says so before the work', async () => {
    await writeFile(join(folder, 'bird.through.png'), 'mine');
    const refused = await plica('fold', bird, '--out', folder);
    expect(refused).toMatchObject({ code: 2, out: '', files: ['bird.through.png'] });
    expect(refused.err).toEqual([
      'plica: bird.through.png is there already: add --force to replace it, or choose another folder',
    ]);
    expect(await readFile(join(folder, 'bird.through.png'), 'utf8')).toBe('mine');
    expect(await plica('fold', bird, '--out', folder, '--force')).toMatchObject({ code: 0, files });
  });

  it('writes nothing for a pattern that does not fold: exit 1', async () => {
    const path = await spoiled((file, at) => file.edges_assignment.splice(at, 1, 'M'));
    expect(await plica('fold', path, '--out', folder)).toMatchObject({ code: 1, files: ['spoiled.fold'] });
  });
});

it('help names every command', async () => {
  const { code, out } = await plica('--help');
  expect(code).toBe(0);
  for (const command of ['recover', 'check', 'fold', 'desk', 'export']) {
    expect(out).toMatch(new RegExp(`^  ${command} `, 'm'));
  }
});
