import { constants } from 'node:fs';
import { type FileHandle, open } from 'node:fs/promises';
import { PlicaError } from '../errors.ts';
import { MAX_FILE_BYTES } from './limits.ts';

/**
 * Reads a whole file, refusing what is no ordinary file and what is too large before reading a byte of it.
 *
 * @param name how messages call the file
 * @throws PlicaError `no-access`, `bad-input`, `too-large`
 */
export async function readBytes(path: string, name: string, maxBytes: number = MAX_FILE_BYTES): Promise<Uint8Array> {
  let file: FileHandle;
  try {
    // Without O_NONBLOCK, opening a named pipe waits for a writer that may never come.
    file = await open(path, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
  } catch (error) {
    throw accessError(error, name);
  }
  try {
    const stat = await file.stat();
    if (stat.isDirectory()) {
      throw new PlicaError('bad-input', `${name} is a folder`, 'name the pictures inside it');
    }
    if (!stat.isFile()) throw new PlicaError('bad-input', `${name} is not a file`, 'name a file on disk');
    if (stat.size === 0) throw new PlicaError('bad-input', `${name} is empty (0 bytes)`, 'copy or download it again');
    if (stat.size > maxBytes) {
      const limit = Math.round(maxBytes / 2 ** 20);
      throw new PlicaError('too-large', `${name} is larger than ${limit} MB`, 'give a smaller copy');
    }
    return await file.readFile();
  } catch (error) {
    throw error instanceof PlicaError ? error : accessError(error, name);
  } finally {
    await file.close();
  }
}

function accessError(error: unknown, name: string): PlicaError {
  const code = (error as NodeJS.ErrnoException).code;
  if (code === 'ENOENT' || code === 'ENOTDIR') {
    return new PlicaError('no-access', `${name} was not found`, 'check the name and the folder');
  }
  if (code === 'EACCES' || code === 'EPERM') {
    return new PlicaError(
      'no-access',
      `${name} may not be read`,
      'ask for permission to read it, or copy it elsewhere',
    );
  }
  if (code === 'EISDIR') return new PlicaError('bad-input', `${name} is a folder`, 'name the pictures inside it');
  return new PlicaError('no-access', `${name} cannot be opened (${code ?? 'unknown reason'})`, 'check the name');
}
