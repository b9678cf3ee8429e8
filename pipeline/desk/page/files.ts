/** How pictures and patterns come onto the desk, and how work on them is kept. */
import { openHistory, readAgain } from '../work/history.ts';
import { type Reading, type ReadingChoices, WORK_VERSION, type Work } from '../work/work.ts';
import { textOfWork, workOfText } from './beside.ts';
import { type Keeper, type KeptWork, openKeeper } from './keep.ts';
import { derive, firstOpen } from './mending.ts';
import {
  askGiven,
  cancelJob,
  type GivenFile,
  givenFile,
  isServerThere,
  jobResult,
  keepBeside,
  keptBeside,
  readPatternFile,
  ServerProblem,
  startJob,
  watchJob,
} from './server.ts';
import type { Deskful, Incoming, Store } from './store.ts';

export interface Files {
  /** Opens what the address or the server names; else the start page. */
  readonly begin: () => Promise<void>;
  readonly open: (file: File | Blob, name: string) => Promise<void>;
  readonly readAgain: (choices: ReadingChoices) => Promise<void>;
  readonly cancel: () => Promise<void>;
  readonly keeper: () => Promise<Keeper | null>;
  readonly resume: (id: string) => Promise<void>;
  /** Keeps the work soon; edits in a row are kept once. */
  readonly keepSoon: () => void;
  readonly leave: () => void;
}

/** Bytes kept beside the picture are many: not at every key. ms */
const PAUSE_MS = 700;
const RETRY_MS = 3000;

export function makeFiles(store: Store, changed: () => void): Files {
  let keeperOnce: Promise<Keeper | null> | null = null;
  const keeper = () => {
    keeperOnce ??= openKeeper().catch(() => null);
    return keeperOnce;
  };
  let given: GivenFile | null = null;
  /** The work that is kept beside the given file. */
  let givenWork: string | null = null;
  let besideTaken = false;
  let pause = 0;

  const showDesk = (desk: Omit<Deskful, keyof ReturnType<typeof derive>>, work: Work): void => {
    const derived = derive(openHistory(work));
    store.set({
      screen: 'desk',
      problem: null,
      reading: null,
      desk: { ...desk, ...derived },
      selection: firstOpen(derived.items),
      tool: 'look',
      held: null,
      mix: desk.images[0] ? 0.5 : 1,
      kept: null,
      keptIn: given && work.id === givenWork ? given.keptIn : null,
    });
    history.replaceState(null, '', `#${work.id}`);
    changed();
  };

  const startWork = (name: string, reading: Reading): Work => ({
    version: WORK_VERSION,
    id: crypto.randomUUID(),
    name,
    readings: [reading],
    edits: [],
    done: 0,
    savedAt: Date.now(),
  });

  /** The first work on the given file is kept beside it, unless something else is kept there. */
  const takeBeside = (work: Work): void => {
    if (given?.name === work.name && givenWork === null && !besideTaken) givenWork = work.id;
  };

  const failed = (error: unknown): void => {
    const gone = error instanceof ServerProblem && error.gone;
    const problem = error instanceof Error ? error.message : String(error);
    store.set({ problem, reading: null, screen: store.get().desk ? 'desk' : 'start', ...(gone && { server: 'gone' }) });
    if (gone) awaitServer();
  };

  let waiting = false;
  const awaitServer = (): void => {
    if (waiting) return;
    waiting = true;
    const look = async () => {
      if (await isServerThere()) {
        waiting = false;
        store.set({ server: 'there', problem: null });
        keepSoon();
      } else setTimeout(look, RETRY_MS);
    };
    setTimeout(look, RETRY_MS);
  };

  /** Has a picture read; null where the person stopped it or brought another. */
  const readPicture = async (file: Blob, name: string, choices: ReadingChoices) => {
    const before = store.get().reading;
    if (before?.job) void cancelJob(before.job).catch(() => {});
    const preview = URL.createObjectURL(file);
    store.set({ screen: 'reading', problem: null, reading: { name, job: null, progress: null, preview } });
    const isMeant = () => store.get().reading?.preview === preview;
    try {
      const job = await startJob(file, name, choices);
      const update = (changes: Partial<Incoming>) => {
        const { reading } = store.get();
        if (reading && isMeant()) store.set({ reading: { ...reading, job, ...changes } });
      };
      // Stopped while it was being sent.
      if (!isMeant()) await cancelJob(job);
      update({});
      const end = await watchJob(job, (progress) => update({ progress }));
      if (end.state === 'cancelled' || !isMeant()) return null;
      if (end.state === 'failed') throw new ServerProblem(end.problem, false);
      return await jobResult(job);
    } catch (error) {
      if (isMeant()) throw error;
      return null;
    } finally {
      URL.revokeObjectURL(preview);
    }
  };

  const open = async (file: Blob, name: string): Promise<void> => {
    try {
      const pattern = await maybePattern(file, name);
      if (pattern) {
        const work = startWork(name, pattern.reading);
        takeBeside(work);
        // A drawing of lines may be read as a picture after all.
        showDesk({ images: [null], file: pattern.drawing ? file : null }, work);
        return;
      }
      const read = await readPicture(file, name, {});
      if (!read) return;
      const work = startWork(name, read.reading);
      takeBeside(work);
      showDesk({ images: [{ sheet: read.sheet, picture: read.picture }], file }, work);
    } catch (error) {
      failed(error);
    }
  };

  const keepNow = async (): Promise<void> => {
    const { desk } = store.get();
    if (!desk) return;
    const { images, file, history: steps } = desk;
    const kept: KeptWork = { work: { ...steps.work, savedAt: Date.now() }, images, file };
    const inBrowser = await keeper().then(
      (k) =>
        k?.keep(kept).then(
          () => true,
          () => false,
        ) ?? false,
    );
    if (kept.work.id === givenWork) {
      try {
        await keepBeside(await textOfWork(kept));
        store.set({ kept: 'beside' });
        return;
      } catch (error) {
        const gone = error instanceof ServerProblem && error.gone;
        store.set({ problem: error instanceof Error ? error.message : String(error), ...(gone && { server: 'gone' }) });
        if (gone) awaitServer();
      }
    }
    store.set({ kept: inBrowser ? 'browser' : 'not' });
  };

  const keepSoon = (): void => {
    clearTimeout(pause);
    pause = window.setTimeout(() => void keepNow(), PAUSE_MS);
  };

  const openKept = (kept: KeptWork): void => showDesk({ images: kept.images, file: kept.file }, kept.work);

  return {
    open,
    keeper,
    keepSoon,
    async begin() {
      try {
        given = await askGiven();
        const k = await keeper();
        const named = location.hash.slice(1);
        const inBrowser = named && k ? await k.find(named).catch(() => null) : null;
        if (!given) {
          if (inBrowser) openKept(inBrowser);
          else store.set({ screen: 'start' });
          return;
        }
        const text = await keptBeside();
        const beside = workOfText(text);
        besideTaken = beside === null && text !== 'null';
        if (beside) {
          givenWork = beside.work.id;
          const same = await k?.find(beside.work.id).catch(() => null);
          const newer = same && same.work.savedAt > beside.work.savedAt ? same : null;
          if (inBrowser && inBrowser.work.id !== givenWork) openKept(inBrowser);
          else openKept({ ...(newer ?? beside), file: await pictureOf(beside.images, givenFile) });
          return;
        }
        if (inBrowser) {
          takeBeside(inBrowser.work);
          openKept(inBrowser);
          return;
        }
        await open(await givenFile(), given.name);
        if (besideTaken) {
          const why = `${given.keptIn} is from another version and was left alone: rename it to keep work there.`;
          store.set({ problem: why });
        }
      } catch (error) {
        failed(error);
      }
    },
    async readAgain(choices) {
      const { desk } = store.get();
      if (!desk?.file) return;
      const { name } = desk.history.work;
      try {
        const read = await readPicture(desk.file, name, choices);
        if (!read) return;
        const next = derive(readAgain(desk.history, read.reading));
        // Readings that were taken back for good are not held on to.
        const images = [...desk.images, { sheet: read.sheet, picture: read.picture }];
        store.set({
          screen: 'desk',
          reading: null,
          desk: { ...desk, images, ...next },
          selection: firstOpen(next.items),
          held: null,
        });
        changed();
      } catch (error) {
        failed(error);
      }
    },
    async cancel() {
      const { reading } = store.get();
      if (!reading) return;
      store.set({ reading: null, screen: store.get().desk ? 'desk' : 'start' });
      if (reading.job) await cancelJob(reading.job).catch(failed);
    },
    async resume(id) {
      try {
        const kept = await keeper().then((k) => k?.find(id) ?? null);
        if (!kept) throw new Error('This work is no longer kept here.');
        openKept(kept);
      } catch (error) {
        failed(error);
      }
    },
    leave() {
      store.set({ screen: 'start', desk: null, selection: null, problem: null });
      history.replaceState(null, '', location.pathname);
    },
  };
}

/** A pattern file is read as such; an SVG that holds no lines of a pattern is a picture. */
async function maybePattern(file: Blob, name: string): Promise<{ reading: Reading; drawing: boolean } | null> {
  const start = (await file.slice(0, 4096).text()).replace(/^\uFEFF/, '').trimStart();
  if (start.startsWith('{')) return { reading: await readPatternFile(file, name), drawing: false };
  if (!start.startsWith('<')) return null;
  try {
    return { reading: await readPatternFile(file, name), drawing: true };
  } catch (error) {
    if (error instanceof ServerProblem && !error.gone) return null;
    throw error;
  }
}

/** The file behind kept work: only a picture can be read again. */
async function pictureOf(images: KeptWork['images'], ask: () => Promise<Blob>): Promise<Blob | null> {
  return images.some((pair) => pair !== null) ? ask() : null;
}
