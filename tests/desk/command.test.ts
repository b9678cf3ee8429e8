/** The command as a person starts it. */
import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { PAGE_FOLDER } from '../../pipeline/desk/places.ts';
import { buildPage } from './desks.ts';

const root = fileURLToPath(new URL('../..', import.meta.url));
const args = (...more: string[]) => [
  '--import',
  'tsx',
  fileURLToPath(new URL('./command.ts', import.meta.url)),
  'desk',
  '--no-open',
  ...more,
];
let folder: string;
beforeAll(async () => {
  await buildPage(PAGE_FOLDER);
  folder = await mkdtemp(join(tmpdir(), 'plica-desk-command-'));
});
afterAll(() => rm(folder, { recursive: true }));

it('says where the page is, serves it, and stops when asked, with exit code 0', async () => {
  const pattern = join(folder, 'sheet.fold');
  await writeFile(pattern, '{"vertices_coords":[[0,0],[1,0]],"edges_vertices":[[0,1]],"edges_assignment":["B"]}');
  const taken = createServer().listen(0, '127.0.0.1');
  await once(taken, 'listening');
  const { port } = taken.address() as { port: number };
  // The port is taken, so that another one is found.
  const desk = spawn(process.execPath, args('--port', String(port), pattern), { cwd: root });
  let text = '';
  desk.stdout.on('data', (part) => {
    text += part;
  });
  await expect.poll(() => text, { timeout: 20_000 }).toMatch(/beside it\n$/);
  const [, address] = /open at (http:\/\/127\.0\.0\.1:\d+\/)/.exec(text)!;
  expect(new URL(address).port).not.toBe(String(port));
  expect(text).toContain('sheet.fold.desk.json');
  const page = await fetch(address);
  expect(await page.text()).toContain('<title>Plica desk</title>');
  const exit = once(desk, 'exit');
  desk.kill('SIGTERM');
  expect(await exit).toEqual([0, null]);
  taken.close();
});

it.each([
  ['a file that is not there', ['missing.jpg'], 'plica: missing.jpg was not found: check the name and the folder'],
  ['a folder', ['.'], 'plica: . is a folder: name the pictures inside it'],
  ['a port that is none', ['--port', '70000'], 'plica: "70000" is no port: give a whole number from 0 (any) to 65535'],
])('%s is refused in one line', (_, more, line) => {
  const { status, stdout, stderr } = spawnSync(process.execPath, args(...more), { cwd: root, encoding: 'utf8' });
  expect({ status, stdout, stderr }).toEqual({ status: 2, stdout: '', stderr: `${line}\n` });
});
