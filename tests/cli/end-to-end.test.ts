/** Draw, then recover: the bird base as a picture, through the whole command, with nothing replaced. */
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Ajv2020 } from 'ajv/dist/2020.js';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { main } from '../../pipeline/cli/main.ts';
import { toPng } from '../../pipeline/formats/png.ts';
import { parsePattern } from '../../pipeline/formats/read-pattern.ts';
import type { Pattern } from '../../pipeline/types.ts';
import { fakeTerminal } from './terminals.ts';

describe('the bird base', () => {
  let folder: string;
  let code: number;
  let truth: Pattern;
  const { terminal, out, err } = fakeTerminal();
  const read = (name: string) => readFile(join(folder, name), 'utf8');
  beforeAll(async () => {
    folder = await mkdtemp(join(tmpdir(), 'plica-'));
    const base = new URL('../../datasets/bases/bird.fold', import.meta.url);
    truth = parsePattern(await readFile(base, 'utf8'), 'bird.fold').pattern;
    await writeFile(join(folder, 'bird.png'), await toPng(truth, { sidePx: 900 }));
    code = await main(
      ['recover', join(folder, 'bird.png'), '--out', folder, '--trace', join(folder, 'seen')],
      terminal,
    );
  });
  afterAll(() => rm(folder, { recursive: true }));

  it('is recovered without a complaint', () => {
    expect({ code, err }).toEqual({ code: 0, err: [] });
    expect(out.join('\n')).toContain('4 edge, 12 mountain, 4 valley');
  });

  it('has the same creases and kinds, vertices within 0.6 % of the side', async () => {
    const { pattern } = parsePattern(await read('bird.fold'), 'bird.fold');
    expect(pattern.vertices).toHaveLength(truth.vertices.length);
    const near = pattern.vertices.map(([x, y]) =>
      truth.vertices.findIndex(([u, v]) => Math.hypot(x - u, y - v) < 0.006),
    );
    const named = (from: number, to: number, kind: string) => `${[from, to].sort((a, b) => a - b)} ${kind}`;
    const found = pattern.creases.map(({ from, to, kind }) => named(near[from], near[to], kind));
    expect(found.sort()).toEqual(truth.creases.map(({ from, to, kind }) => named(from, to, kind)).sort());
  });

  it('is proven to fold flat, and the report tells it', async () => {
    const { foldability, laws } = JSON.parse(await read('bird.report.json'));
    expect(laws).toEqual([]);
    expect(foldability).toMatchObject({ verdict: 'folds', undecided: null });
    expect(out.join('\n')).toContain(foldability.summary);
  });

  it('leaves a picture of what each stage found, in order, which a second run does not replace unasked', async () => {
    const stages = ['intake', 'rectify', 'ink', 'strokes', 'lattice', 'graph', 'kinds', 'resolve'];
    const pictures = (await readdir(join(folder, 'seen/bird'))).sort();
    expect(pictures).toEqual(stages.map((stage, i) => `${i + 1}-${stage}.png`));
    for (const name of pictures) {
      const { channels } = await sharp(join(folder, 'seen/bird', name)).stats();
      // No picture is empty: there is light and dark on it.
      expect(Math.max(...channels.map(({ max, min }) => max - min)), name).toBeGreaterThan(60);
    }
    const again = fakeTerminal();
    const args = ['recover', join(folder, 'bird.png'), '--json', '--trace', join(folder, 'seen')];
    expect(await main(args, again.terminal)).toBe(2);
    expect(again.err).toEqual([expect.stringContaining('bird in the folder for the trace holds files already')]);
  });

  it('has a report that obeys the schema', async () => {
    const schema = JSON.parse(
      await readFile(new URL('../../pipeline/report/report.schema.json', import.meta.url), 'utf8'),
    );
    const validate = new Ajv2020({ strictRequired: false, allowUnionTypes: true }).compile(schema);
    expect(validate(JSON.parse(await read('bird.report.json'))), JSON.stringify(validate.errors)).toBe(true);
  });
});
