/**
 * Training needs PyTorch, which tests must not: what is checked here is that the parts which meet in files agree. The whole
 * way, from drawing to weights, is run by `python3 scripts/train/train.py --smoke` (scripts/train/README.md).
 */
import { execFileSync } from 'node:child_process';
import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('../../', import.meta.url));
const model = JSON.parse(await readFile(`${root}models/ink/model.json`, 'utf8'));

interface Spec {
  readonly name: string;
  readonly shape: readonly number[];
}

describe('model files', () => {
  it('list the layers of the training program, in its order', async () => {
    const source = await readFile(`${root}scripts/train/network.py`, 'utf8');
    const widths = JSON.parse(
      source
        .match(/WIDTHS = \(([\d, ]+)\)/)![0]
        .replace('WIDTHS = (', '[')
        .replace(')', ']'),
    );
    const rows = [...source.matchAll(/^ {4}\('(\w+)', (\d+), ([^,]+), ([^,]+), (\d), (True|False)\),$/gm)];
    const channels = (text: string): number =>
      text.startsWith('WIDTHS') ? widths[Number(text.match(/\[(\d)\]/)![1])] : Number(text);
    expect(rows).toHaveLength(18);
    expect(model.layers).toEqual(
      rows.map(([, name, kernel, from, to, stride, rectified]) => ({
        name,
        kernel: Number(kernel),
        channelsIn: channels(from),
        channelsOut: channels(to),
        stride: Number(stride),
        rectified: rectified === 'True',
      })),
    );
  });

  it('hold two bytes for every number of every layer and nothing else', async () => {
    const specs: Spec[] = model.weightsManifest[0].weights;
    const expected = model.layers.flatMap(
      (l: { name: string; kernel: number; channelsIn: number; channelsOut: number }) => [
        { name: `${l.name}/kernel`, shape: [l.kernel, l.kernel, l.channelsIn, l.channelsOut] },
        { name: `${l.name}/bias`, shape: [l.channelsOut] },
      ],
    );
    expect(specs.map(({ name, shape }) => ({ name, shape }))).toEqual(expected);
    const numbers = specs.reduce((sum, { shape }) => sum + shape.reduce((a, b) => a * b, 1), 0);
    const bytes = await readFile(`${root}models/ink/weights.bin`);
    expect(bytes.length).toBe(2 * numbers);
    // IEEE 754 half precision: an exponent of all ones is infinity or not a number.
    const halves = new Uint16Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length));
    expect(halves.some((half) => (half & 0x7c00) === 0x7c00)).toBe(false);
    expect(halves.some((half) => half !== 0)).toBe(true);
  });
});

describe('patterns for training', () => {
  it('are written as vertices in the unit square and creases between them', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'train-'));
    try {
      const file = join(folder, 'patterns.json');
      execFileSync(process.execPath, ['--import', 'tsx', join(root, 'scripts/train/exportPatterns.ts'), file, '1'], {
        cwd: root,
      });
      const patterns: { v: [number, number][]; e: [number, number, number][] }[] = JSON.parse(
        await readFile(file, 'utf8'),
      );
      expect(patterns.length).toBeGreaterThan(8);
      for (const { v, e } of patterns) {
        expect(e.length).toBeGreaterThan(0);
        for (const [x, y] of v) expect(Math.max(Math.abs(x - 0.5), Math.abs(y - 0.5))).toBeLessThanOrEqual(0.5 + 1e-5);
        for (const [from, to, kind] of e) {
          expect(from).not.toBe(to);
          expect(Math.max(from, to)).toBeLessThan(v.length);
          expect([0, 1, 2, 3]).toContain(kind);
        }
      }
    } finally {
      await rm(folder, { recursive: true });
    }
  });
});
