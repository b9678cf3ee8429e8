/** The file that the desk was opened with, and the work on it, which is kept beside it. */
import { access, readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { PlicaError } from '../errors.ts';
import { writeWhole } from '../formats/write-whole.ts';
import { readBytes } from '../intake/file.ts';
import { MAX_UPLOAD_BYTES } from './limits.ts';

export interface Given {
  readonly name: string;
  /** Base name of the file in which work is kept. */
  readonly keptIn: string;
  readonly bytes: () => Promise<Uint8Array>;
  /** The kept work as text; null where there is none. */
  readonly kept: () => Promise<string | null>;
  /** Keeps work, whole or not at all. @throws PlicaError where a file that is not the desk's has the name */
  readonly keep: (text: string) => Promise<void>;
}

const ENDING = '.desk.json';
/** First characters of every file that the desk keeps. */
export const KEPT_MARK = '{"plica-desk":';

/** @throws PlicaError where the file cannot be read */
export async function openGiven(path: string): Promise<Given> {
  const name = basename(path);
  await readBytes(path, name, MAX_UPLOAD_BYTES);
  const beside = path + ENDING;
  const kept = async () => {
    const text = await readFile(beside, 'utf8').catch(() => null);
    return text?.startsWith(KEPT_MARK) ? text : null;
  };
  return {
    name,
    keptIn: basename(beside),
    bytes: () => readBytes(path, name, MAX_UPLOAD_BYTES),
    kept,
    keep: async (text) => {
      if (!text.startsWith(KEPT_MARK))
        throw new PlicaError('bad-input', 'this is no work of the desk', 'reload the page');
      const there = await access(beside).then(
        () => true,
        () => false,
      );
      if (there && (await kept()) === null) {
        throw new PlicaError('exists', `${basename(beside)} is there already and not the desk's`, 'rename it');
      }
      await writeWhole([{ path: beside, content: text }], { force: true });
    },
  };
}
