/** The program as a person starts it: a process of its own, its streams and its exit code. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { pngClaiming } from '../intake/pictures.ts';

const program = fileURLToPath(new URL('../../pipeline/cli/plica.ts', import.meta.url));
const root = fileURLToPath(new URL('../..', import.meta.url));
let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'plica-'));
});
afterAll(() => rmSync(folder, { recursive: true }));

const plica = (...args: string[]) =>
  spawnSync(process.execPath, ['--import', 'tsx', program, ...args], { cwd: root, encoding: 'utf8' });

it('refuses each bad picture in a line of its own, exit code 2, no file, no stack', () => {
  const put = (name: string, content: string | Uint8Array) => {
    writeFileSync(join(folder, name), content);
    return join(folder, name);
  };
  const pictures = [
    put('letter.jpg', 'dear friend'),
    put('empty.png', ''),
    put('huge.png', pngClaiming(40_000, 40_000)),
    put('dot.png', pngClaiming(1, 1)),
    folder,
    join(folder, 'missing.png'),
  ];
  const out = join(folder, 'results');
  const { status, stdout, stderr } = plica('recover', ...pictures, '--out', out);
  expect(status).toBe(2);
  expect(stdout).toBe('');
  const lines = stderr.trimEnd().split('\n');
  expect(lines).toHaveLength(pictures.length);
  for (const line of lines) expect(line).toMatch(/^plica: .+: .+$/);
  expect(stderr).not.toMatch(/\n\s+at |node:internal/);
  expect(readdirSync(folder)).not.toContain('results');
});

it('prints help on standard output with exit code 0', () => {
  const { status, stdout, stderr } = plica('--help');
  expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
  expect(stdout).toContain('Usage: plica');
});
