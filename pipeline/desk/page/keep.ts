/** Work kept in the browser (IndexedDB): steps, pictures and the file itself, so that a reload finds everything. */
import { WORK_VERSION, type Work } from '../work/work.ts';

/** Pictures that belong to a reading. */
export interface ReadingImages {
  readonly sheet: Blob;
  readonly picture: Blob;
}

export interface KeptWork {
  readonly work: Work;
  readonly images: readonly (ReadingImages | null)[];
  readonly file: Blob | null;
}

export interface KeptLine {
  readonly id: string;
  readonly name: string;
  readonly savedAt: number;
}

/** Pictures are large, and what was left for so long is rarely missed. */
const MOST_KEPT = 10;
const STORES = ['works', 'images', 'files'] as const;

function open(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open('plica-desk', 1);
    request.onupgradeneeded = () => {
      for (const name of STORES) request.result.createObjectStore(name);
    };
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function asked<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

function finished(transaction: IDBTransaction): Promise<void> {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = transaction.onerror = () => reject(transaction.error);
  });
}

const imageKey = (id: string, reading: number) => `${id}/${reading}`;

export interface Keeper {
  /** Keeps the work; pictures only once. */
  readonly keep: (kept: KeptWork) => Promise<void>;
  readonly find: (id: string) => Promise<KeptWork | null>;
  /** Latest first. */
  readonly list: () => Promise<KeptLine[]>;
  readonly forget: (id: string) => Promise<void>;
}

/** @throws DOMException where the browser keeps nothing, as in some private windows */
export async function openKeeper(): Promise<Keeper> {
  const database = await open();
  const forget = async (id: string): Promise<void> => {
    const transaction = database.transaction(STORES, 'readwrite');
    const work = (await asked(transaction.objectStore('works').get(id))) as Work | undefined;
    transaction.objectStore('works').delete(id);
    transaction.objectStore('files').delete(id);
    work?.readings.forEach((_, reading) => {
      transaction.objectStore('images').delete(imageKey(id, reading));
    });
    await finished(transaction);
  };
  const list = async (): Promise<KeptLine[]> => {
    const works = (await asked(database.transaction('works').objectStore('works').getAll())) as Work[];
    return works
      .filter(({ version }) => version === WORK_VERSION)
      .map(({ id, name, savedAt }) => ({ id, name, savedAt }))
      .sort((a, b) => b.savedAt - a.savedAt);
  };
  return {
    forget,
    list,
    async keep({ work, images, file }) {
      const transaction = database.transaction(STORES, 'readwrite');
      const known = new Set(await asked(transaction.objectStore('images').getAllKeys()));
      transaction.objectStore('works').put(work, work.id);
      images.forEach((pair, reading) => {
        const key = imageKey(work.id, reading);
        if (pair && !known.has(key)) transaction.objectStore('images').put(pair, key);
      });
      if (file && (await asked(transaction.objectStore('files').count(work.id))) === 0) {
        transaction.objectStore('files').put(file, work.id);
      }
      await finished(transaction);
      for (const { id } of (await list()).slice(MOST_KEPT)) await forget(id);
    },
    async find(id) {
      const transaction = database.transaction(STORES);
      const work = (await asked(transaction.objectStore('works').get(id))) as Work | undefined;
      if (!work || work.version !== WORK_VERSION) return null;
      const images = await Promise.all(
        work.readings.map(
          async (_, reading) =>
            ((await asked(transaction.objectStore('images').get(imageKey(id, reading)))) as ReadingImages) ?? null,
        ),
      );
      const file = ((await asked(transaction.objectStore('files').get(id))) as Blob | undefined) ?? null;
      return { work, images, file };
    },
  };
}
