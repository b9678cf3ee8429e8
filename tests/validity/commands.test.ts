import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Command } from 'commander';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { traditionalBases } from '../../datasets/patterns/patterns.ts';
import { addCheckCommand } from '../../pipeline/cli/check.ts';
import { addFoldCommand } from '../../pipeline/cli/fold.ts';
import { tellError } from '../../pipeline/cli/terminal.ts';
import { FOLDED_ENDINGS } from '../../pipeline/fold/fold.ts';
import { foldText, toFold } from '../../pipeline/formats/fold.ts';
import { toSvg } from '../../pipeline/formats/svg.ts';
import type { Pattern } from '../../pipeline/types.ts';
import { mapOf, withKinds } from './patterns.ts';

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'plica-'));
});
afterEach(() => rm(folder, { recursive: true }));

async function run(...args: readonly string[]): Promise<{ code: number; out: string; err: string }> {
  const out: string[] = [];
  const err: string[] = [];
  const terminal = {
    out: (l: string) => out.push(l),
    err: (l: string) => err.push(l),
    interactive: false,
    debug: false,
  };
  const program = new Command('plica').exitOverride();
  let code = -1;
  addCheckCommand(program, terminal, (c) => {
    code = c;
  });
  addFoldCommand(program, terminal, (c) => {
    code = c;
  });
  try {
    await program.parseAsync(args, { from: 'user' });
  } catch (error) {
    code = tellError(error, terminal);
  }
  return { code, out: out.join('\n'), err: err.join('\n') };
}

async function file(name: string, pattern: Pattern): Promise<string> {
  const path = join(folder, name);
  await writeFile(path, foldText(toFold(pattern)));
  return path;
}
const bird = traditionalBases().find(({ name }) => name === 'bird')!.pattern;
const oneOff = withKinds(bird, (kind, c) => (c === 12 ? (kind === 'M' ? 'V' : 'M') : kind));

describe('check', () => {
  it('exit 0 for a pattern that folds, with the number of layer orders', async () => {
    const { code, out } = await run('check', await file('bird.fold', bird));
    expect(code).toBe(0);
    expect(out).toMatch(/^bird\.fold: folds flat\. 12 faces, \d+ layer orders/);
  });

  it('exit 1 for one that does not: where, which law with its source, and a proven repair', async () => {
    const { code, out } = await run('check', await file('wrong.fold', oneOff));
    expect(code).toBe(1);
    expect(out).toContain('Maekawa');
    expect(out).toContain('Justin 1986');
    expect(out).toMatch(/vertex \d+, creases/);
    expect(out).toMatch(/Tried: make crease 12 (valley|mountain); then the whole sheet folds flat\./);
  });

  it('exit 2 for bad input, in one line', async () => {
    await writeFile(join(folder, 'bad.fold'), '{"vertices_coords": [[0,0]');
    for (const path of [join(folder, 'bad.fold'), join(folder, 'nowhere.fold'), folder]) {
      const { code, err } = await run('check', path);
      expect(code).toBe(2);
      expect(err.split('\n')).toHaveLength(1);
    }
    expect((await run('check', await file('a.fold', bird), '--seconds', 'soon')).code).toBe(2);
  });

  it('exit 3 where the time does not suffice, saying what is open', async () => {
    const { code, out } = await run('check', await file('map.fold', mapOf(40, 40, 'U')), '--seconds', '0.001');
    expect(code).toBe(3);
    expect(out).toContain('undecided');
    expect(out).toContain('--seconds');
  });

  it('prints JSON that carries everything', async () => {
    const { out } = await run('check', await file('wrong.fold', oneOff), '--json');
    const json = JSON.parse(out);
    expect(json).toMatchObject({ pattern: 'wrong.fold', verdict: 'does-not', states: null });
    expect(json.broken[0]).toMatchObject({ law: 'maekawa', vertex: 4 });
    expect(json.repairs.length).toBeGreaterThan(0);
  });

  it('reads SVG as well', async () => {
    await writeFile(join(folder, 'bird.svg'), toSvg(bird));
    expect(await run('check', join(folder, 'bird.svg'))).toMatchObject({ code: 0 });
  });
});

describe('fold', () => {
  it('writes all views and the folded FOLD, and never over a file', async () => {
    const path = await file('bird.fold', bird);
    const out = join(folder, 'out');
    expect((await run('fold', path, '--out', out)).code).toBe(0);
    expect((await readdir(out)).sort()).toEqual(FOLDED_ENDINGS.map((ending) => `bird.${ending}`).sort());
    const again = await run('fold', path, '--out', out);
    expect(again.code).toBe(2);
    expect(again.err).toContain('--force');
    expect((await run('fold', path, '--out', out, '--force')).code).toBe(0);
  });

  it('shows another layer order on request', async () => {
    const path = await file('bird.fold', bird);
    const orders = new Set<string>();
    for (const state of ['1', '2', '9']) {
      const out = join(folder, state);
      expect((await run('fold', path, '--out', out, '--state', state)).code).toBe(0);
      const fold = JSON.parse(await readFile(join(out, 'bird.folded.fold'), 'utf8'));
      expect(fold.file_frames[0].frame_classes).toEqual(['foldedForm']);
      orders.add(JSON.stringify(fold.file_frames[0].faceOrders));
    }
    expect(orders.size).toBe(3);
    const none = await run('fold', path, '--out', join(folder, 'none'), '--state', '10');
    expect(none).toMatchObject({ code: 2, err: expect.stringContaining('states 1 to 9') });
    expect(await readdir(folder)).not.toContain('none');
  });

  it('writes nothing for a pattern that does not fold', async () => {
    const { code, out } = await run('fold', await file('wrong.fold', oneOff), '--out', join(folder, 'out'));
    expect(code).toBe(1);
    expect(out).toContain('does not fold flat');
    expect(await readdir(folder)).toEqual(['wrong.fold']);
  });

  it('gives undecided creases the kinds of the state shown', async () => {
    const path = await file('map.fold', mapOf(3, 1, 'U'));
    expect((await run('fold', path, '--out', folder)).code).toBe(0);
    const fold = JSON.parse(await readFile(join(folder, 'map.folded.fold'), 'utf8'));
    expect(fold.edges_assignment).not.toContain('U');
    expect(fold.file_frames[0].edges_assignment).not.toContain('U');
  });
});
