import { chmod, mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { writeWhole } from '../../pipeline/formats/write-whole.ts';

/** Makes one later operation fail as a real disk does. */
const failures = vi.hoisted(() => ({ rename: 0, link: 0, sync: 0, code: 'ENOSPC' }));
vi.mock('node:fs/promises', async (original) => {
  const fs = await original<typeof import('node:fs/promises')>();
  const failing = <A extends unknown[], R>(name: 'rename' | 'link' | 'sync', run: (...args: A) => Promise<R>) => {
    return async (...args: A): Promise<R> => {
      if (failures[name] > 0 && --failures[name] === 0) throw Object.assign(new Error('no'), { code: failures.code });
      return run(...args);
    };
  };
  return {
    ...fs,
    rename: failing('rename', fs.rename),
    link: failing('link', fs.link),
    open: async (...args: Parameters<typeof fs.open>) => {
      const file = await fs.open(...args);
      file.sync = failing('sync', file.sync.bind(file));
      return file;
    },
  };
});

let folder: string;
beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'plica-'));
  Object.assign(failures, { rename: 0, link: 0, sync: 0, code: 'ENOSPC' });
});
afterEach(() => rm(folder, { recursive: true }));

const at = (name: string) => join(folder, name);
const files = (...names: string[]) => names.map((name) => ({ path: at(name), content: `new ${name}` }));
const text = (name: string) => readFile(at(name), 'utf8');

describe('all is well', () => {
  it('writes all files, makes folders, leaves nothing else', async () => {
    await writeWhole([...files('a', 'b'), { path: at('deep/er/c'), content: Uint8Array.of(1, 2) }]);
    expect((await readdir(folder)).sort()).toEqual(['a', 'b', 'deep']);
    expect(await text('b')).toBe('new b');
    expect([...(await readFile(at('deep/er/c')))]).toEqual([1, 2]);
  });

  it('replaces with force', async () => {
    await writeFile(at('a'), 'old');
    await writeWhole(files('a', 'b'), { force: true });
    expect(await text('a')).toBe('new a');
    expect((await readdir(folder)).sort()).toEqual(['a', 'b']);
  });
});

describe('nothing is overwritten', () => {
  it('refuses without force and touches nothing', async () => {
    await writeFile(at('b'), 'old');
    await expect(writeWhole(files('a', 'b'))).rejects.toMatchObject({ code: 'exists' });
    expect(await readdir(folder)).toEqual(['b']);
    expect(await text('b')).toBe('old');
  });

  it('refuses a file that appears while it writes', async () => {
    failures.link = 2;
    failures.code = 'EEXIST';
    await expect(writeWhole(files('a', 'b'))).rejects.toMatchObject({ code: 'exists' });
    expect(await readdir(folder)).toEqual([]);
  });

  it('never replaces a folder, not even with force', async () => {
    await mkdir(at('a'));
    await expect(writeWhole(files('a'), { force: true })).rejects.toThrow('a is a folder');
  });
});

describe('whole or not at all', () => {
  it.each(['sync', 'link'] as const)('a disk that is full at the second %s leaves nothing', async (operation) => {
    failures[operation] = 2;
    const inside = files('new/a', 'new/b', 'new/c');
    await expect(writeWhole(inside)).rejects.toThrow(
      'the disk is full, b was not written: free some space and try again',
    );
    expect(await readdir(folder)).toEqual([]);
  });

  it.each([1, 2, 3, 4])('a failure at rename %i restores what was there', async (nth) => {
    await writeFile(at('a'), 'old a');
    await writeFile(at('b'), 'old b');
    failures.rename = nth;
    await expect(writeWhole(files('a', 'b'), { force: true })).rejects.toMatchObject({ code: 'no-access' });
    expect((await readdir(folder)).sort()).toEqual(['a', 'b']);
    expect(await text('a')).toBe('old a');
    expect(await text('b')).toBe('old b');
  });

  it('disks without hard links are written all the same', async () => {
    failures.link = 1;
    failures.code = 'EPERM';
    await writeWhole(files('a'));
    expect(await text('a')).toBe('new a');
    expect(await readdir(folder)).toEqual(['a']);
  });
});

describe('places that cannot be written', () => {
  it('a path through a file', async () => {
    await writeFile(at('file'), '');
    await expect(writeWhole(files('file/a'))).rejects.toThrow('the folder for a is not a folder');
  });

  it.runIf(process.platform !== 'win32')('a folder without permission', async () => {
    await mkdir(at('closed'));
    await chmod(at('closed'), 0o555);
    await chmod(folder, 0o755);
    const asRoot = process.getuid?.() === 0;
    // Root may write anywhere, so the attempt is made as nobody.
    if (asRoot) process.seteuid?.(65534);
    try {
      await expect(writeWhole(files('closed/a'))).rejects.toThrow('a may not be written there: choose a folder');
    } finally {
      if (asRoot) process.seteuid?.(0);
    }
    expect(await readdir(at('closed'))).toEqual([]);
  });
});
