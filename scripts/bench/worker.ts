/** One process of the bench's pool: renders pictures, or recovers patterns from them, as it is told. */
import { readFile } from 'node:fs/promises';
import type { PictureKind } from '../../datasets/recipes/recipes.ts';
import { recover } from '../../pipeline/recover.ts';
import type { Kind, Pattern, RecoverOptions, Recovery } from '../../pipeline/types.ts';
import { saveFailure } from './artefacts.ts';
import { pictureFolder, type StoredPicture, storedPicture } from './pictures.ts';
import type { Row } from './rows.ts';
import { type Score, scorePattern } from './score.ts';

export interface Task {
  readonly what: 'render' | 'recover';
  readonly kind: PictureKind;
  readonly seed: number;
  readonly ink: RecoverOptions['ink'];
  readonly flat: boolean;
  /** Folder for pictures that were not recovered exactly; null for none. */
  readonly failures: string | null;
}

const folder = await pictureFolder();

async function recoverAndScore(task: Task): Promise<Row> {
  const picture = await storedPicture(folder, task.kind, task.seed);
  const bytes = await readFile(picture.file);
  const about = {
    kind: task.kind,
    seed: task.seed,
    pattern: picture.name,
    family: picture.family,
    notes: picture.notes,
  };
  const start = performance.now();
  try {
    const recovery = await recover(bytes, optionsFor(picture, task));
    const tookMs = performance.now() - start;
    const { score, truth } = fairScore(picture, recovery);
    if (task.failures && !score.exact) await saveFailure(task.failures, picture, truth, recovery, score);
    return { ...about, score, error: null, tookMs, timings: recovery.timings, peakMb: peakMb() };
  } catch (error) {
    const tookMs = performance.now() - start;
    const text = error instanceof Error ? `${error.name}: ${error.message}` : String(error);
    if (task.failures) await saveFailure(task.failures, picture, picture.truth, null, text);
    return { ...about, score: null, error: text, tookMs, timings: {}, peakMb: peakMb() };
  }
}

/** What a person would say on the command line: the ink method under test, and that the sheet is not square where it is not. */
function optionsFor(picture: StoredPicture, task: Task): RecoverOptions {
  return { ...(task.ink ? { ink: task.ink } : {}), flat: task.flat, ...(picture.square ? {} : { paper: 'auto' }) };
}

/**
 * Where custom does not tell mountain from valley, the same drawing read from the other side is as right: the better of the two
 * readings counts. Where custom tells, only the true one does.
 */
function fairScore(picture: StoredPicture, recovery: Recovery): { score: Score; truth: Pattern } {
  const doubted = recovery.doubts.flatMap((doubt) => (doubt.crease === undefined ? [] : [doubt.crease]));
  const straight = scorePattern(picture.truth, recovery.pattern, doubted);
  if (picture.customary) return { score: straight, truth: picture.truth };
  const over = turnedOver(picture.truth);
  const turned = scorePattern(over, recovery.pattern, doubted);
  return turned.f1 > straight.f1 ? { score: turned, truth: over } : { score: straight, truth: picture.truth };
}

function turnedOver(pattern: Pattern): Pattern {
  const other = (kind: Kind): Kind => (kind === 'M' ? 'V' : kind === 'V' ? 'M' : kind);
  return { ...pattern, creases: pattern.creases.map((crease) => ({ ...crease, kind: other(crease.kind) })) };
}

function peakMb(): number {
  return process.resourceUsage().maxRSS / 1024;
}

process.on('message', async (task: Task) => {
  try {
    const row =
      task.what === 'render'
        ? (await storedPicture(folder, task.kind, task.seed)) && null
        : await recoverAndScore(task);
    process.send?.({ row });
  } catch (error) {
    process.send?.({ broken: error instanceof Error ? (error.stack ?? error.message) : String(error) });
  }
});
process.send?.({ ready: true });
