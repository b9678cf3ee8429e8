/** The desk's server as another program sees it. What must be refused, and why: OWASP on cross-site requests and DNS rebinding. */
import { once } from 'node:events';
import { mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { type IncomingMessage, request } from 'node:http';
import { connect } from 'node:net';
import { networkInterfaces, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { traditionalBases } from '../../datasets/patterns/patterns.ts';
import { refusalOf } from '../../pipeline/desk/guard.ts';
import { MAX_UPLOAD_BYTES, safeName } from '../../pipeline/desk/limits.ts';
import { foldText, toFold } from '../../pipeline/formats/fold.ts';
import { toPng } from '../../pipeline/formats/png.ts';
import { pngClaiming } from '../intake/pictures.ts';
import { buildPage, type RunningDesk, startDesk } from './desks.ts';

const waterbomb = traditionalBases().find(({ name }) => name === 'waterbomb')!.pattern;
let folder: string;
let temporary: string;
let page: Awaited<ReturnType<typeof buildPage>>;
let desk: RunningDesk;
let port: number;

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'plica-desk-test-'));
  await writeFile(join(folder, 'water bomb.png'), await toPng(waterbomb, { sidePx: 500 }));
  page = await buildPage();
  temporary = await mkdtemp(join(tmpdir(), 'plica-desk-passing-'));
  desk = await startDesk(page.folder, { file: join(folder, 'water bomb.png'), temporary });
  port = Number(new URL(desk.address).port);
});
afterAll(async () => {
  await desk.stop();
  await page.remove();
  for (const made of [folder, temporary]) await rm(made, { recursive: true });
});

interface Ask {
  readonly method?: string;
  readonly headers?: Record<string, string>;
  readonly body?: string | Uint8Array;
}

/** `fetch` sets Host and Origin itself. */
async function ask(path: string, { method = 'GET', headers = {}, body }: Ask = {}) {
  const own = method === 'GET' ? {} : { Origin: `http://127.0.0.1:${port}` };
  const sent = request({ host: '127.0.0.1', port, path, method, headers: { ...own, ...headers } });
  sent.end(body);
  const [response] = (await once(sent, 'response')) as [IncomingMessage];
  const parts: Buffer[] = [];
  for await (const part of response) parts.push(part as Buffer);
  return {
    status: response.statusCode,
    headers: response.headers,
    text: Buffer.concat(parts).toString('utf8'),
    bytes: Buffer.concat(parts),
  };
}

const progressOf = async (id: string) => {
  const { text } = await ask(`/api/jobs/${id}/progress`);
  return text
    .split('\n\n')
    .filter((line) => line.startsWith('data: '))
    .map((line) => JSON.parse(line.slice(6)));
};

describe('who is answered', () => {
  it.each([
    ['another name for this address', { Host: 'evil.example' }],
    ['another port', { Host: '127.0.0.1:1' }],
    ['a page elsewhere', { Origin: 'https://evil.example' }],
    ['a page without an address', { Origin: 'null' }],
    ['a request that another site caused', { 'Sec-Fetch-Site': 'cross-site' }],
    ['a page on another port of this computer', { 'Sec-Fetch-Site': 'same-site' }],
  ])('not %s', async (_, headers) => {
    for (const path of ['/', '/api/given', '/api/given/file']) {
      expect((await ask(path, { headers })).status).toBe(403);
    }
    expect((await ask('/api/pattern', { method: 'POST', headers, body: '{}' })).status).toBe(403);
  });

  it('not a change that names no origin', () => {
    const host = `127.0.0.1:${port}`;
    for (const method of ['POST', 'PUT', 'DELETE'])
      expect(refusalOf({ method, headers: { host } }, port)).not.toBeNull();
    expect(refusalOf({ method: 'POST', headers: { host, origin: `http://${host}` } }, port)).toBeNull();
    expect(refusalOf({ method: 'GET', headers: { host } }, port)).toBeNull();
    expect(refusalOf({ method: 'GET', headers: {} }, port)).not.toBeNull();
  });

  it('nobody from outside this computer', async () => {
    const others = Object.values(networkInterfaces()).flatMap((list) =>
      list!.filter((a) => !a.internal && a.family === 'IPv4'),
    );
    for (const { address } of others) {
      const socket = connect(port, address);
      const [result] = await Promise.race([once(socket, 'error'), once(socket, 'connect').then(() => ['connected'])]);
      socket.destroy();
      expect(result).toMatchObject({ code: 'ECONNREFUSED' });
    }
    // Where this computer has no other address, the server's own says the same.
    expect(new URL(desk.address).hostname).toBe('127.0.0.1');
  });
});

describe('the page', () => {
  it('allows nothing from outside and no script of its own text', async () => {
    const { status, headers, text } = await ask('/');
    expect(status).toBe(200);
    const policy = String(headers['content-security-policy']);
    expect(policy).toContain("default-src 'none'");
    expect(policy).not.toMatch(/unsafe|http|\*/);
    expect(text).not.toMatch(/https?:|<script(?![^>]* src=)|<style|style=/);
    expect(headers['x-content-type-options']).toBe('nosniff');
  });

  it.each(['/../package.json', '/%2e%2e/package.json', '/assets/../../server.js', '/api/jobs/x/y/z', '/constructor'])(
    'has nothing at %s',
    async (path) => {
      expect((await ask(path)).status).toBe(404);
    },
  );
});

describe('a picture', () => {
  it('is read stage by stage in order', async () => {
    const body = await toPng(waterbomb, { sidePx: 400 });
    const { id } = JSON.parse((await ask('/api/jobs?name=a.png', { method: 'POST', body })).text);
    const told = await progressOf(id);
    expect(told.at(-1)).toEqual({ state: 'done' });
    const shares = told.filter(({ state }) => state === 'reading').map(({ share }) => share);
    expect(shares.length).toBeGreaterThan(4);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
    const reading = JSON.parse((await ask(`/api/jobs/${id}/reading`)).text);
    expect(reading.picture.name).toBe('a.png');
    expect(reading.pattern.creases.length).toBeGreaterThan(waterbomb.creases.length / 2);
    // The mark of JPEG, ITU-T T.81.
    for (const part of ['sheet', 'picture']) {
      expect((await ask(`/api/jobs/${id}/${part}`)).bytes.subarray(0, 3).toString('hex')).toBe('ffd8ff');
    }
  });

  it('waits for those before it, and can be stopped while it waits or is being read', async () => {
    const body = await toPng(waterbomb, { sidePx: 1500 });
    const start = async () =>
      JSON.parse((await ask('/api/jobs?name=b.png', { method: 'POST', body })).text).id as string;
    const [one, two, three] = [await start(), await start(), await start()];
    const [waiting] = await Promise.all([progressOf(three), ask(`/api/jobs/${three}`, { method: 'DELETE' })]);
    expect(waiting[0]).toMatchObject({ state: 'waiting' });
    expect(waiting[0].ahead).toBeGreaterThan(0);
    expect(waiting.at(-1)).toEqual({ state: 'cancelled' });
    await ask(`/api/jobs/${one}`, { method: 'DELETE' });
    expect((await progressOf(one)).at(-1)).toEqual({ state: 'cancelled' });
    expect((await progressOf(two)).at(-1)).toEqual({ state: 'done' });
    // Nothing of the pictures is left behind.
    const left = async () => (await readdir(temporary)).filter((name) => name.startsWith('plica-'));
    await expect.poll(left).toEqual([]);
  });

  it.each([
    ['no picture', 'letter.jpg', 'dear friend', 'letter.jpg'],
    ['nothing', 'empty.png', '', 'empty.png'],
    ['too many pixels', 'huge.png', pngClaiming(40_000, 40_000), '100 megapixels'],
  ])('that is %s is refused in a line that names it', async (_, name, body, words) => {
    const { id } = JSON.parse((await ask(`/api/jobs?name=${name}`, { method: 'POST', body })).text);
    const last = (await progressOf(id)).at(-1);
    expect(last.state).toBe('failed');
    expect(last.problem).toContain(words);
    expect(last.problem).not.toContain('\n');
    expect(last.problem).not.toContain(temporary);
  });

  it('that announces too many bytes is refused before they are sent', async () => {
    const headers = { 'Content-Length': String(MAX_UPLOAD_BYTES + 1), Origin: `http://127.0.0.1:${port}` };
    const sent = request({ host: '127.0.0.1', port, path: '/api/jobs', method: 'POST', headers });
    sent.on('error', () => {});
    sent.flushHeaders();
    const [response] = (await once(sent, 'response')) as [IncomingMessage];
    expect(response.statusCode).toBe(413);
    sent.destroy();
  });

  it('has a name that names no folder and hides nothing', () => {
    expect(safeName('../../etc/passwd')).toBe('passwd');
    expect(safeName('C:\\pictures\\crane.jpg')).toBe('crane.jpg');
    expect(safeName('.profile')).toBe('profile');
    expect(safeName('a\u0000b\n.png')).toBe('a_b_.png');
    expect(safeName('..')).toBe('picture');
    expect(safeName(null)).toBe('picture');
    expect(safeName(`${'x'.repeat(500)}.png`)).toMatch(/^x{76}\.png$/);
  });
});

describe('work', () => {
  it('is kept beside the file it is about, and nowhere else', async () => {
    const text = '{"plica-desk":1,"work":{}}';
    expect((await ask('/api/kept')).text).toBe('null');
    const { status } = await ask('/api/kept', { method: 'PUT', body: text });
    expect(status).toBe(200);
    expect((await ask('/api/kept')).text).toBe(text);
    expect(await readdir(folder)).toEqual(['water bomb.png', 'water bomb.png.desk.json']);
    expect((await ask('/api/kept', { method: 'PUT', body: 'something else' })).status).toBe(400);
    expect(await readFile(join(folder, 'water bomb.png.desk.json'), 'utf8')).toBe(text);
  });

  it('never takes the place of a file that is not its own', async () => {
    const target = join(folder, 'water bomb.png.desk.json');
    await writeFile(target, 'my notes');
    expect((await ask('/api/kept')).text).toBe('null');
    const { status, text } = await ask('/api/kept', { method: 'PUT', body: '{"plica-desk":1}' });
    expect(status).toBe(409);
    expect(JSON.parse(text).problem).toContain('rename');
    expect(await readFile(target, 'utf8')).toBe('my notes');
    await rm(target);
  });
});

describe('files to save', () => {
  const fold = foldText(toFold(waterbomb));

  it('PDF and PNG carry the marks of their formats (ISO 32000-1, ISO 15948)', async () => {
    const pdf = await ask('/api/export?format=pdf&size=200&name=w.fold', { method: 'POST', body: fold });
    expect(pdf.bytes.subarray(0, 5).toString()).toBe('%PDF-');
    const png = await ask('/api/export?format=png&name=w.fold', { method: 'POST', body: fold });
    expect(png.bytes.subarray(0, 8).toString('hex')).toBe('89504e470d0a1a0a');
  });

  it.each([
    ['another kind of file', '/api/export?format=exe', fold],
    ['a size that is none', '/api/export?format=pdf&size=-1', fold],
    ['no pattern', '/api/export?format=pdf', 'nonsense'],
    ['nothing to report on', '/api/report', '{}'],
    ['no JSON', '/api/report', 'nonsense'],
    ['half a pattern', '/api/pattern?name=x.fold', '{"vertices_coords": []}'],
    ['choices that are no JSON', '/api/jobs?choices=nonsense', 'x'],
    ['choices that cannot be', '/api/jobs?choices={"divisions":-1}', 'x'],
  ])('%s is refused in words', async (_, path, body) => {
    const { status, text } = await ask(encodeURI(path), { method: 'POST', body });
    expect(status).toBe(400);
    expect(JSON.parse(text).problem).toMatch(/\w+: \w+/);
  });
});
