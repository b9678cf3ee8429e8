import type { ReadNote, ReadNoteCode } from './raw-lines.ts';

const many = (count: number, one: string, more: string) => (count === 1 ? `1 ${one}` : `${count} ${more}`);

const WORDS: Readonly<Record<ReadNoteCode, (count: number) => string>> = {
  scaled: () => 'The drawing was moved and scaled so that its longest side is 1.',
  'crossings-split': (n) => `${many(n, 'vertex was', 'vertices were')} added where lines crossed without one.`,
  'creases-cut': (n) => `${many(n, 'line was', 'lines were')} cut at a vertex lying on it.`,
  'vertices-joined': (n) => `${many(n, 'vertex was', 'vertices were')} joined to another on the same spot.`,
  'creases-dropped': (n) => `${many(n, 'line', 'lines')} of no length or drawn twice left out.`,
  'kinds-conflict': (n) => `${many(n, 'line was', 'lines were')} drawn twice with different kinds: left undecided.`,
  'kinds-from-angles': () => 'Kinds were taken from the fold angles.',
  'kinds-from-classes': () => 'Kinds were taken from the names of classes and groups.',
  'kinds-from-dashes': () =>
    'Kinds were taken from the dashes: valley dashed, mountain dash-dot (or solid beside dashes).',
  'kinds-from-colours': () =>
    'Kinds were taken from the colours: red as mountain, blue as valley. Swap them if your drawing means the opposite.',
  'kinds-unknown': () => 'Nothing says which creases are mountains and which are valleys: they are undecided.',
  'frame-chosen': (n) => `The crease pattern was found in frame ${n} of the file.`,
  'joins-dropped': (n) => `${many(n, 'join was', 'joins were')} left out: joins are not creases.`,
  'curves-skipped': (n) => `${many(n, 'curve was', 'curves were')} left out: only straight lines are read.`,
  'exact-ignored': () => 'The exact coordinates in the file do not agree with its decimal ones and were not used.',
};

/** One sentence for a person. */
export function readNoteText({ what, count = 0 }: ReadNote): string {
  return WORDS[what](count);
}
