import { readdir, readFile } from 'node:fs/promises';
import { extname, join, relative, sep } from 'node:path';
import { PlicaError } from '../errors.ts';

export interface PageFile {
  readonly type: string;
  readonly bytes: Uint8Array;
}

const TYPES: Readonly<Record<string, string>> = {
  '.html': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.svg': 'image/svg+xml',
};

/**
 * The built page's files by their path in an address. They are few and small, and a request can name no other.
 *
 * @throws PlicaError where the page has not been built
 */
export async function readPageFiles(folder: string): Promise<ReadonlyMap<string, PageFile>> {
  const files = new Map<string, PageFile>();
  const entries = await readdir(folder, { withFileTypes: true, recursive: true }).catch(() => []);
  for (const entry of entries) {
    const type = TYPES[extname(entry.name)];
    if (!entry.isFile() || type === undefined) continue;
    const path = join(entry.parentPath, entry.name);
    const address = `/${relative(folder, path).split(sep).join('/')}`;
    files.set(address === '/index.html' ? '/' : address, { type, bytes: await readFile(path) });
  }
  if (!files.has('/')) throw new PlicaError('no-access', "the desk's page is not there", 'run npm run build first');
  return files;
}
