/** The built program, started from another folder as a person has it: `npm test` builds before it tests. */
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { makePattern } from '../../datasets/patterns/patterns.ts';

const program = fileURLToPath(new URL('../../dist/cli/plica.js', import.meta.url));
const sample = fileURLToPath(new URL('../../datasets/samples/photo.jpg', import.meta.url));

let folder: string;
beforeAll(async () => {
  if (!existsSync(program)) throw new Error('There is no built program: run npm run build first.');
  folder = await mkdtemp(join(tmpdir(), 'plica-'));
});
afterAll(() => rm(folder, { recursive: true }));

const plica = (...args: string[]) => spawnSync(process.execPath, [program, ...args], { cwd: folder, encoding: 'utf8' });

describe('the first command of the README', () => {
  it('recovers the sample photo, whole and exactly', async () => {
    const { status, stderr, stdout } = plica('recover', sample, '--out', 'out');
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    const files = ['photo.fold', 'photo.report.html', 'photo.report.json', 'photo.svg'];
    expect((await readdir(join(folder, 'out'))).sort()).toEqual(files);
    const report = JSON.parse(await readFile(join(folder, 'out/photo.report.json'), 'utf8'));
    // datasets/samples/SAMPLES.md says which pattern was photographed.
    const { pattern } = makePattern('pleat', 8);
    const count = (kind: string) => pattern.creases.filter((crease) => crease.kind === kind).length;
    expect(report.counts).toEqual({ B: count('B'), M: count('M'), V: count('V'), F: 0, U: 0, C: 0 });
    expect(report.lattice).toMatchObject({ kind: 'square', divisionsX: 16, divisionsY: 16, fit: 1 });
    // A sheet folded step by step lies flat; a slow machine may leave that open here, but `fold` below takes its time.
    expect(report.foldability.verdict).not.toBe('does-not');
    expect(report.laws).toEqual([]);
    expect(stdout).toContain(report.foldability.summary);
    const fold = JSON.parse(await readFile(join(folder, 'out/photo.fold'), 'utf8'));
    expect(fold.vertices_coords).toHaveLength(pattern.vertices.length);
  });

  it('what it wrote is proven to fold flat, and can be folded and exported', async () => {
    const folded = plica('fold', 'out/photo.fold', '--out', 'folded');
    expect({ status: folded.status, stderr: folded.stderr }).toEqual({ status: 0, stderr: '' });
    expect(folded.stdout).toMatch(/^photo\.fold: folds flat\./);
    expect(plica('export', 'out/photo.fold', '--to', 'pdf', '--size', '35cm', '--out', 'printed').status).toBe(0);
    expect(await readdir(join(folder, 'folded'))).toContain('photo.front.png');
    expect(await readdir(join(folder, 'printed'))).toEqual(['photo.pdf']);
  });
});
