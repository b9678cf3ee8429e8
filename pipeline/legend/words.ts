import type { LegendRule } from '../types.ts';

export type LegendWord = LegendRule['kind'];

/** Words for kinds of folds, small and without accents, in the trade's common languages (common practice, no source). */
const WORDS: Readonly<Record<LegendWord, readonly string[]>> = {
  mountain: [
    ...['mountain', 'mountains', 'berg', 'bergfalte', 'bergfalz', 'montagne', 'montagna'],
    ...['monte', 'montana', 'montanha', 'bergvouw'],
  ],
  valley: ['valley', 'valleys', 'tal', 'talfalte', 'talfalz', 'vallee', 'valle', 'vale', 'dal', 'dalvouw'],
  edge: ['edge', 'edges', 'border', 'boundary', 'outline', 'rand', 'kante', 'bord', 'borde', 'bordo'],
  guide: ['guide', 'guides', 'auxiliary', 'reference', 'construction', 'hilfslinie', 'guida', 'guia'],
};

/** What a label says. */
export interface Reading {
  readonly kind: LegendWord;
  /** The word that says it, as it is spelled right. */
  readonly word: string;
  /** Letters that were read wrong. */
  readonly wrong: number;
}

/** One letter in so many may be read wrong. */
const LETTERS_PER_ERROR = 4;
/** A label is no sentence. */
const MOST_WORDS = 6;

/** The kind that a label names; null where it names none, or more than one. */
export function readLabel(text: string): Reading | null {
  const words = wordsOf(text);
  if (words.length > MOST_WORDS) return null;
  const found = words.flatMap((word) => {
    const best = nearest(word);
    return best && best.wrong <= Math.floor(best.word.length / LETTERS_PER_ERROR) ? [best] : [];
  });
  const sure = found.sort((a, b) => a.wrong - b.wrong)[0];
  return sure && found.every(({ kind }) => kind === sure.kind) ? sure : null;
}

/** M or V alone, which Tesseract likes to read twice. */
export function readLetter(text: string): Reading | null {
  const [word, ...rest] = wordsOf(text);
  if (word === undefined || rest.length > 0) return null;
  if (/^m{1,2}$/.test(word)) return { kind: 'mountain', word: 'M', wrong: 0 };
  return /^v{1,2}$/.test(word) ? { kind: 'valley', word: 'V', wrong: 0 } : null;
}

/** Whether a label that could not be read may say this kind: half of a word's letters are right. */
export function maySay(text: string, kind: LegendWord): boolean {
  return wordsOf(text).some((word) =>
    WORDS[kind].some((known) => known.length > LETTERS_PER_ERROR && lettersWrong(word, known) <= known.length / 2),
  );
}

function wordsOf(text: string): string[] {
  return text
    .normalize('NFD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .split(/[^a-z]+/)
    .filter((word) => word.length > 0);
}

function nearest(word: string): Reading | null {
  let best: Reading | null = null;
  for (const kind of Object.keys(WORDS) as LegendWord[]) {
    for (const known of WORDS[kind]) {
      const wrong = lettersWrong(word, known);
      if (best === null || wrong < best.wrong) best = { kind, word: known, wrong };
    }
  }
  return best;
}

/** Letters put in, left out or replaced (Levenshtein 1966). */
function lettersWrong(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, i) => i);
  for (let i = 0; i < a.length; i++) {
    const next = [i + 1];
    for (let k = 0; k < b.length; k++) {
      next.push(Math.min(row[k] + (a[i] === b[k] ? 0 : 1), row[k + 1] + 1, next[k] + 1));
    }
    row = next;
  }
  return row[b.length];
}
