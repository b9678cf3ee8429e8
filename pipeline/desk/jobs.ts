/** Pictures to be read: one at a time, in a process of its own, the others waiting. */
import { type ChildProcess, fork } from 'node:child_process';
import { randomUUID } from 'node:crypto';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { PlicaError } from '../errors.ts';
import { READER } from './places.ts';
import type { FromReader, ReadPicture, ToReader } from './reader.ts';
import type { JobProgress, ReadingChoices } from './work/work.ts';

export interface Job {
  readonly id: string;
  readonly progress: JobProgress;
  /** Calls back at once and after every change; returns the way to stop it. */
  readonly watch: (tell: (progress: JobProgress) => void) => () => void;
  readonly result: ReadPicture | null;
}

export interface Jobs {
  /** @throws PlicaError where too many wait already */
  readonly add: (bytes: Uint8Array, name: string, choices: ReadingChoices) => Promise<Job>;
  readonly get: (id: string) => Job | undefined;
  readonly cancel: (id: string) => void;
  readonly close: () => Promise<void>;
}

/** A folder dropped by mistake must not fill the disk. */
const MOST_WAITING = 12;
/** Results are fetched at once; a few are kept for a page that lost its connection. */
const MOST_KEPT = 4;

interface Entry extends Job {
  progress: JobProgress;
  result: ReadPicture | null;
  readonly folder: string;
  readonly path: string;
  readonly choices: ReadingChoices;
  readonly tell: Set<(progress: JobProgress) => void>;
}

const isOver = ({ progress: { state } }: Entry) => state === 'done' || state === 'failed' || state === 'cancelled';

export function makeJobs(): Jobs {
  const entries = new Map<string, Entry>();
  let reader: ChildProcess | null = null;
  let current: Entry | null = null;

  const set = (entry: Entry, progress: JobProgress): void => {
    entry.progress = progress;
    for (const tell of entry.tell) tell(progress);
  };
  const waiting = (): Entry[] => [...entries.values()].filter(({ progress }) => progress.state === 'waiting');
  const tellQueue = (): void => {
    waiting().forEach((entry, i) => {
      set(entry, { state: 'waiting', ahead: i + (current ? 1 : 0) });
    });
  };
  const finish = (entry: Entry, progress: JobProgress): void => {
    if (current === entry) current = null;
    set(entry, progress);
    void rm(entry.folder, { recursive: true, force: true });
    const over = [...entries.values()].filter(isOver);
    for (const { id } of over.slice(0, Math.max(0, over.length - MOST_KEPT))) entries.delete(id);
    startNext();
  };
  const startNext = (): void => {
    const [next] = current ? [] : waiting();
    if (next) {
      current = next;
      set(next, { state: 'reading', stage: null, share: 0 });
      reader ??= startReader();
      reader.send({ path: next.path, choices: next.choices } satisfies ToReader);
    }
    tellQueue();
  };
  const startReader = (): ChildProcess => {
    const child = fork(READER, { serialization: 'advanced', stdio: ['ignore', 'inherit', 'inherit', 'ipc'] });
    child.on('message', (message: FromReader) => {
      if (child !== reader || !current) return;
      if (message.what === 'stage') set(current, { state: 'reading', stage: message.stage, share: message.share });
      else if (message.what === 'failed') finish(current, { state: 'failed', problem: message.problem });
      else {
        current.result = message.read;
        finish(current, { state: 'done' });
      }
    });
    child.on('exit', () => {
      if (child !== reader) return;
      reader = null;
      const problem = 'the reading broke down, perhaps for want of memory: try a smaller copy of the picture';
      if (current) finish(current, { state: 'failed', problem });
    });
    return child;
  };
  const stopReader = (): void => {
    const child = reader;
    reader = null;
    child?.kill('SIGKILL');
  };

  return {
    async add(bytes, name, choices) {
      if (waiting().length >= MOST_WAITING) {
        throw new PlicaError('too-large', 'too many pictures are waiting', 'wait until some of them are read');
      }
      const folder = await mkdtemp(join(tmpdir(), 'plica-desk-'));
      const path = join(folder, name);
      await writeFile(path, bytes);
      const tell = new Set<(progress: JobProgress) => void>();
      const entry: Entry = {
        id: randomUUID(),
        progress: { state: 'waiting', ahead: 0 },
        result: null,
        folder,
        path,
        choices,
        tell,
        watch: (listener) => {
          tell.add(listener);
          listener(entry.progress);
          return () => tell.delete(listener);
        },
      };
      entries.set(entry.id, entry);
      startNext();
      return entry;
    },
    get: (id) => entries.get(id),
    cancel(id) {
      const entry = entries.get(id);
      if (!entry || isOver(entry)) return;
      // Long steps do not look up from their work: the process is ended, and a new one started for the next picture.
      if (entry === current) stopReader();
      finish(entry, { state: 'cancelled' });
    },
    async close() {
      stopReader();
      current = null;
      const folders = [...entries.values()].map(({ folder }) => folder);
      entries.clear();
      await Promise.all(folders.map((folder) => rm(folder, { recursive: true, force: true })));
    },
  };
}
