/** A thread that reads lines of text: Tesseract (Smith 2007) with its network for English print, whose letters are those of most legends. */
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { parentPort } from 'node:worker_threads';
import { gunzipSync } from 'node:zlib';
import type startTesseract from 'tesseract.js-core/tesseract-core-simd-lstm';

/** A line of dark text on light ground, grey 0..255. */
export interface TextLine {
  readonly width: number;
  readonly height: number;
  readonly grey: Uint8Array;
  /** True where it is as narrow as a single letter. */
  readonly isLetter: boolean;
}

export type FromTextThread = { readonly texts: readonly string[] } | { readonly failed: string };

/** Tesseract's numbers for its network alone, and for a page that is one line or one letter. */
const NETWORK_ONLY = 1;
const ONE_LINE = '7';
const ONE_LETTER = '10';

const port = parentPort!;
// Required, for an import would search the megabyte of its source for the names that it exports.
const require = createRequire(import.meta.url);

async function start() {
  const load = require('tesseract.js-core/tesseract-core-simd-lstm') as typeof startTesseract;
  // What goes wrong is told by what comes back.
  const tesseract = await load({ print: () => {}, printErr: () => {} });
  const letters = await readFile(require.resolve('@tesseract.js-data/eng/4.0.0_best_int/eng.traineddata.gz'));
  tesseract.FS.writeFile('./eng.traineddata', gunzipSync(letters));
  const reader = new tesseract.TessBaseAPI();
  if (reader.Init(null, 'eng', NETWORK_ONLY) !== 0) throw new Error('Tesseract does not start');
  return ({ width, height, grey, isLetter }: TextLine): string => {
    reader.SetVariable('tessedit_pageseg_mode', isLetter ? ONE_LETTER : ONE_LINE);
    const head = Buffer.from(`P5 ${width} ${height} 255\n`);
    tesseract.FS.writeFile('/input', Buffer.concat([head, grey]));
    if (reader.SetImageFile(0, false) === 1) throw new Error('Tesseract does not take the image');
    reader.Recognize(null);
    return reader.GetUTF8Text().trim();
  };
}

const reading = start();
// Whoever asks is told; until then nobody has to know.
reading.catch(() => {});

port.on('message', async (lines: readonly TextLine[]) => {
  try {
    port.postMessage({ texts: lines.map(await reading) } satisfies FromTextThread);
  } catch (error) {
    port.postMessage({ failed: String(error) } satisfies FromTextThread);
  }
});
