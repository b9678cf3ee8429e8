/** Work as one text, for the file beside the picture. */
import { WORK_VERSION, type Work } from '../work/work.ts';
import type { KeptWork } from './keep.ts';

interface KeptFile {
  readonly 'plica-desk': typeof WORK_VERSION;
  readonly work: Work;
  /** JPEGs in base 64, for each reading. */
  readonly images: readonly ({ readonly sheet: string; readonly picture: string } | null)[];
}

/** The server knows its own files by their first key. */
export async function textOfWork({ work, images }: KeptWork): Promise<string> {
  const file: KeptFile = {
    'plica-desk': WORK_VERSION,
    work,
    images: await Promise.all(
      images.map(async (pair) => pair && { sheet: await base64Of(pair.sheet), picture: await base64Of(pair.picture) }),
    ),
  };
  return JSON.stringify(file);
}

/** Null where the text is none, or none of a version that is understood. */
export function workOfText(text: string): Omit<KeptWork, 'file'> | null {
  let file: KeptFile | null;
  try {
    file = JSON.parse(text) as KeptFile | null;
  } catch {
    return null;
  }
  if (file?.['plica-desk'] !== WORK_VERSION || file.work.version !== WORK_VERSION) return null;
  const images = file.images.map((pair) => pair && { sheet: blobOf(pair.sheet), picture: blobOf(pair.picture) });
  return { work: file.work, images };
}

export async function base64Of(blob: Blob): Promise<string> {
  const bytes = new Uint8Array(await blob.arrayBuffer());
  let text = '';
  // In slices, for a call takes only so many arguments.
  for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  return btoa(text);
}

function blobOf(base64: string): Blob {
  return new Blob([Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))], { type: 'image/jpeg' });
}
