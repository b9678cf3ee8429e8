import { randomBytes } from 'node:crypto';
import { access, link, lstat, mkdir, open, rename, rm } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { PlicaError } from '../errors.ts';

export interface WholeFile {
  readonly path: string;
  readonly content: string | Uint8Array;
}

export interface WriteWholeOptions {
  /** Replace files that are there; default false. */
  readonly force?: boolean;
}

/**
 * Writes files so that all of them appear, each whole, or none: to a temporary name beside each, onto the disk, then
 * renamed. Folders that are missing are made. After an error everything is as it was before.
 *
 * @throws PlicaError `exists` where a file is there and `force` is not set; `no-access` for a full disk, no permission,
 *   or a path through something that is no folder
 */
export async function writeWhole(files: readonly WholeFile[], options: WriteWholeOptions = {}): Promise<void> {
  const { force = false } = options;
  await refuseExisting(
    files.map(({ path }) => path),
    force,
  );
  const undo: (() => Promise<void>)[] = [];
  const leftovers: string[] = [];
  let at = files[0]?.path ?? '';
  try {
    const written: { temporary: string; path: string }[] = [];
    for (const { path, content } of files) {
      at = path;
      const firstMade = await mkdir(dirname(resolve(path)), { recursive: true });
      if (firstMade !== undefined) undo.push(() => rm(firstMade, { recursive: true, force: true }));
      const temporary = besideName(path);
      undo.push(() => rm(temporary, { force: true }));
      await writeOut(temporary, content);
      written.push({ temporary, path });
    }
    for (const { temporary, path } of written) {
      at = path;
      await putInPlace(temporary, path, force, undo, leftovers);
    }
  } catch (error) {
    for (const step of undo.reverse()) await step().catch(() => {});
    throw error instanceof PlicaError ? error : writeError(error, at);
  }
  for (const path of leftovers) await rm(path, { force: true });
}

/** Without `force` a hard link is used, which fails where a file has appeared meanwhile; renaming would replace it. */
async function putInPlace(
  temporary: string,
  path: string,
  force: boolean,
  undo: (() => Promise<void>)[],
  leftovers: string[],
): Promise<void> {
  if (!force) {
    try {
      await link(temporary, path);
      undo.push(() => rm(path, { force: true }));
      await rm(temporary);
      return;
    } catch (error) {
      const code = (error as NodeJS.ErrnoException).code;
      if (code === 'EEXIST') throw existsError(path);
      // Some disks know no hard links; there the check made before has to do.
      if (!['EPERM', 'ENOTSUP', 'EOPNOTSUPP', 'ENOSYS', 'EMLINK'].includes(code ?? '')) throw error;
    }
  }
  if (await isThere(path)) {
    const old = besideName(path);
    await rename(path, old);
    undo.push(() => rename(old, path));
    leftovers.push(old);
  } else {
    undo.push(() => rm(path, { force: true }));
  }
  await rename(temporary, path);
}

async function writeOut(path: string, content: string | Uint8Array): Promise<void> {
  const file = await open(path, 'wx');
  try {
    await file.writeFile(content);
    await file.sync();
  } finally {
    await file.close();
  }
}

/**
 * Refuses targets that are there already (folders even with `force`). Worth calling before long work.
 *
 * @throws PlicaError `exists`
 */
export async function refuseExisting(paths: readonly string[], force: boolean): Promise<void> {
  for (const path of paths) {
    const stat = await lstat(path).catch(() => null);
    if (stat?.isDirectory()) {
      throw new PlicaError('exists', `${basename(path)} is a folder`, 'choose another name or folder for the results');
    }
    if (stat && !force) throw existsError(path);
  }
}

function existsError(path: string): PlicaError {
  return new PlicaError(
    'exists',
    `${basename(path)} is there already`,
    'add --force to replace it, or choose another folder',
  );
}

function besideName(path: string): string {
  return join(dirname(resolve(path)), `.${basename(path)}.${randomBytes(6).toString('hex')}`);
}

function isThere(path: string): Promise<boolean> {
  return access(path).then(
    () => true,
    () => false,
  );
}

function writeError(error: unknown, path: string): PlicaError {
  const code = (error as NodeJS.ErrnoException).code;
  const name = basename(path);
  if (code === 'ENOSPC' || code === 'EDQUOT') {
    return new PlicaError('no-access', `the disk is full, ${name} was not written`, 'free some space and try again');
  }
  if (code === 'EACCES' || code === 'EPERM' || code === 'EROFS') {
    return new PlicaError('no-access', `${name} may not be written there`, 'choose a folder that you may write to');
  }
  if (code === 'ENOTDIR' || code === 'EEXIST') {
    return new PlicaError('no-access', `the folder for ${name} is not a folder`, 'choose another folder');
  }
  return new PlicaError(
    'no-access',
    `${name} cannot be written (${code ?? 'unknown reason'})`,
    'choose another folder',
  );
}
