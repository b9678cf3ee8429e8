import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { main } from '../../pipeline/cli/main.ts';
import { PlicaError } from '../../pipeline/errors.ts';
import { foldText, toFold } from '../../pipeline/formats/fold.ts';
import { parsePattern } from '../../pipeline/formats/read-pattern.ts';
import type { RecoverOptions } from '../../pipeline/types.ts';
import { SQUARE } from '../formats/patterns.ts';
import { fullRecovery } from '../report/recoveries.ts';
import { fakeTerminal } from './terminals.ts';

/** The main job is replaced: what it does with a picture has tests of its own. */
const calls = vi.hoisted(() => [] as { picture: string; options: Record<string, unknown> }[]);
vi.mock('../../pipeline/recover.ts', () => ({
  recover: async (picture: string, options: RecoverOptions) => {
    calls.push({ picture, options: { ...options } });
    if (picture.includes('blank')) throw new PlicaError('no-pattern', 'no crease pattern found', 'try another picture');
    if (picture.includes('crash')) throw new TypeError('x is\nundefined');
    options.onProgress?.('intake', 0);
    if (picture.includes('slow')) await new Promise((done) => setTimeout(done, 1100));
    options.onProgress?.('kinds', 0.6);
    return fullRecovery();
  },
}));

let folder: string;
beforeEach(async () => {
  calls.length = 0;
  folder = await mkdtemp(join(tmpdir(), 'plica-'));
});
afterEach(() => rm(folder, { recursive: true }));

async function plica(args: readonly string[], changes = {}) {
  const { terminal, out, err } = fakeTerminal(changes);
  const code = await main(args, terminal);
  return { code, out: out.join('\n'), err, files: (await readdir(folder)).sort() };
}

const FOUR = ['crane.fold', 'crane.report.html', 'crane.report.json', 'crane.svg'];

describe('recover', () => {
  it('writes four files named after the picture and prints a summary', async () => {
    const { code, out, err, files } = await plica(['recover', 'pictures/crane.jpg', '--out', folder]);
    expect({ code, err, files }).toEqual({ code: 0, err: [], files: FOUR });
    expect(out).toContain('5 edge, 2 mountain, 1 valley, 1 undecided, 1 guide');
    expect(out).toContain(join(folder, 'crane.fold'));
    const read = (name: string) => readFile(join(folder, name), 'utf8');
    expect(parsePattern(await read('crane.fold'), 'crane.fold').pattern.creases).toEqual(SQUARE.creases);
    expect(JSON.parse(await read('crane.report.json')).doubts).toHaveLength(15);
    expect(await read('crane.report.html')).toMatch(/^<!doctype html>/);
    expect(await read('crane.svg')).toMatch(/^<svg/);
  });

  it('doubts and creases of the report number the edges of the FOLD file', async () => {
    await plica(['recover', 'crane.jpg', '--out', folder]);
    const fold = JSON.parse(await readFile(join(folder, 'crane.fold'), 'utf8'));
    const report = JSON.parse(await readFile(join(folder, 'crane.report.json'), 'utf8'));
    expect(report.creases.map((c: { kind: string }) => c.kind)).toEqual(fold.edges_assignment);
    const named = report.doubts.filter((d: { crease?: number }) => d.crease !== undefined);
    expect(named.length).toBeGreaterThan(0);
    for (const { crease } of named) expect(crease).toBeLessThan(fold.edges_vertices.length);
  });

  it('hands every option on', async () => {
    const options = [
      '--legend',
      'mountain=red',
      '--paper',
      '2:1',
      '--page',
      '3',
      '--ink',
      'classical',
      '--divisions',
      '16',
    ];
    await plica(['recover', 'a.pdf', '--out', folder, ...options, '--corners', '0,0 9,0 9,9 0,9', '--trace', 'seen']);
    expect(calls[0].options).toMatchObject({
      legend: [{ kind: 'mountain', colour: '#ff0000' }],
      paper: { width: 2, height: 1 },
      page: 3,
      ink: 'classical',
      divisions: 16,
      corners: [
        [0, 0],
        [9, 0],
        [9, 9],
        [0, 9],
      ],
      trace: join('seen', 'a'),
    });
  });

  it('--json prints the report alone, one line a picture, and writes nothing', async () => {
    const { code, out, files } = await plica(['recover', 'a.jpg', 'b.jpg', '--json']);
    expect({ code, files }).toEqual({ code: 0, files: [] });
    const reports = out.split('\n').map((line) => JSON.parse(line));
    expect(reports.map(({ version }) => version)).toEqual([1, 1]);
  });

  it('--json with --out writes, too', async () => {
    const { out, files } = await plica(['recover', 'crane.jpg', '--json', '--out', folder]);
    expect(files).toEqual(FOUR);
    expect(JSON.parse(out).picture.format).toBe('jpeg');
  });

  it('overwrites nothing without --force, and says so before the work', async () => {
    await writeFile(join(folder, 'crane.svg'), 'mine');
    const refused = await plica(['recover', 'crane.jpg', '--out', folder]);
    expect(refused).toMatchObject({ code: 2, out: '', files: ['crane.svg'] });
    expect(refused.err).toEqual([
      'plica: crane.svg is there already: add --force to replace it, or choose another folder',
    ]);
    expect(calls).toHaveLength(0);
    expect((await plica(['recover', 'crane.jpg', '--out', folder, '--force'])).files).toEqual(FOUR);
  });

  it('one failure does not stop the rest, and the exit code says so', async () => {
    const { code, err, files } = await plica(['recover', 'blank.jpg', 'crane.jpg', '--out', folder]);
    expect({ code, files }).toEqual({ code: 2, files: FOUR });
    expect(err).toEqual(['plica: blank.jpg: no crease pattern found: try another picture']);
  });

  it('pictures of one name do not write over each other', async () => {
    const { code, err, files } = await plica(['recover', 'a/crane.jpg', 'b/crane.png', '--out', folder, '--force']);
    expect({ code, files }).toEqual({ code: 2, files: FOUR });
    expect(err[0]).toContain('crane.png and crane.jpg would write the same files');
  });

  it('an error inside is one line without a stack, exit code 1, no file', async () => {
    const { code, err, files } = await plica(['recover', 'crash.jpg', '--out', folder]);
    expect({ code, files }).toEqual({ code: 1, files: [] });
    expect(err).toHaveLength(1);
    expect(err[0]).toMatch(/^plica: an error inside Plica \(TypeError: x is undefined\); [^\n]*$/);
    const debugged = await plica(['recover', 'crash.jpg', '--out', folder], { debug: true });
    expect(debugged.err[0]).toMatch(/\n\s+at /);
  });

  it('shows progress only to a person, and only when it takes more than a second', async () => {
    expect((await plica(['recover', 'slow.jpg', '--json'])).err).toEqual([]);
    expect((await plica(['recover', 'fast.jpg', '--json'], { interactive: true })).err).toEqual([]);
    const { err, out } = await plica(['recover', 'slow.jpg', '--json'], { interactive: true });
    expect(err).toEqual(['  slow:  60 %  telling mountains from valleys']);
    expect(JSON.parse(out).version).toBe(1);
  });
});

describe('export', () => {
  const given = async (name: string, text: string) => {
    await writeFile(join(folder, name), text);
    return join(folder, name);
  };

  it.each([
    ['svg', '<svg'],
    ['dxf', '999'],
    ['pdf', '%PDF'],
    ['png', '\x89PNG'],
  ])('--to %s', async (format, mark) => {
    const path = await given('square.fold', foldText(toFold(SQUARE)));
    const { code, out, files } = await plica(['export', path, '--to', format, '--out', folder, '--size', '20cm']);
    expect({ code, out, files }).toEqual({
      code: 0,
      out: join(folder, `square.${format}`),
      files: ['square.fold', `square.${format}`].sort(),
    });
    expect((await readFile(join(folder, `square.${format}`), 'latin1')).startsWith(mark)).toBe(true);
  });

  it('cautions whoever exports for a cutter, and nobody who prints', async () => {
    const path = await given('square.fold', foldText(toFold(SQUARE)));
    const cutter = await plica(['export', path, '--to', 'dxf', '--out', folder]);
    expect(cutter.err.join(' ')).toMatch(/maker's instructions and your local rules/);
    expect((await plica(['export', path, '--to', 'pdf', '--out', folder])).err).toEqual([]);
  });

  it('says what it made of a drawing', async () => {
    const path = await given('lines.svg', '<svg><path d="M0 0H9V9H0ZM0 0L9 9M9 0L0 9" stroke="red"/></svg>');
    const { err, files } = await plica(['export', path, '--to', 'fold', '--out', folder]);
    expect(files).toEqual(['lines.fold', 'lines.svg']);
    expect(err).toContain('lines.svg: 1 vertex was added where lines crossed without one.');
  });

  it('bad files and options are one line and exit code 2', async () => {
    const path = await given('bad.fold', '{"vertices_coords": [[0, 0]], "edges_vertices": [[0, 7]]}');
    for (const args of [
      ['export', path, '--to', 'pdf'],
      ['export', join(folder, 'none.fold'), '--to', 'pdf'],
      ['export', path, '--to', 'stl'],
      ['export', path],
      ['export', path, '--to', 'pdf', '--size', 'big'],
      ['export', path, '--to', 'pdf', '--paper-size', 'a0'],
    ]) {
      const { code, err, out, files } = await plica([...args, ...(args.length > 2 ? ['--out', folder] : [])]);
      expect({ code, out, files }, args.join(' ')).toEqual({ code: 2, out: '', files: ['bad.fold'] });
      expect(err, args.join(' ')).toHaveLength(1);
      expect(err[0]).toMatch(/^plica: [^\n]+$/);
    }
  });
});

describe('the program', () => {
  it('help is printed and is no error', async () => {
    const { code, out, err } = await plica(['--help']);
    expect({ code, err }).toEqual({ code: 0, err: [] });
    expect(out).toMatch(/recover .*picture/);
  });

  it.each([
    ['an unknown command', ['crumple']],
    ['an unknown option', ['recover', 'a.jpg', '--fast']],
    ['no picture', ['recover']],
  ])('%s is exit code 2 in one line', async (_, args) => {
    const { code, err } = await plica(args);
    expect(code).toBe(2);
    expect(err).toHaveLength(1);
    expect(err[0]).toMatch(/^plica: [^\n]+$/);
  });
});
