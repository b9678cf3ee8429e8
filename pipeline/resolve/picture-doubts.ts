import type { LeftOut } from '../lattice/fit.ts';
/** What is doubtful about the picture as a whole, and ink that was left out. */
import type { Kind, LegendEntry, Outline, Pattern, Sheet } from '../types.ts';
import { type Finding, middleOf } from './doubt-list.ts';
import type { Draft } from './draft.ts';
import type { StructureChange } from './structure.ts';

/** A reading of the inks, an outline surer than this needs no question. */
const SURE_MEANING = 0.9;
const SURE_OUTLINE = 0.9;
/** A reading no surer than this is a guess: then every crease that has its kind from it is named. */
const GUESSED_MEANING = 0.8;
/** Faint or short ink is left out without a word; this much or more is reported, stroke widths. */
const STRAY_WIDTHS = 6;
/** How often a line that was left out was rightly left out. */
const STRAY_RIGHT = 0.8;

/** @param named creases that have a doubt of their own */
export function pictureFindings(
  pattern: Pattern,
  legend: readonly LegendEntry[],
  sheet: Pick<Sheet, 'width' | 'height' | 'outline'>,
  named: ReadonlySet<number>,
): Finding[] {
  const middle = [sheet.width / 2, sheet.height / 2] as const;
  const found: Finding[] = [];
  const folds = legend.filter(({ kind, count }) => kind !== 'B' && kind !== 'F' && count > 0);
  pattern.creases.forEach(({ kind }, crease) => {
    if (kind !== 'U' || named.has(crease)) return;
    // Mountain and valley are as likely as each other until the laws or a person say more.
    const at = middleOf(pattern, crease);
    found.push({ what: 'convention-unknown', crease, at, probability: 0.5, instead: null });
  });
  const told = folds.filter(({ kind }) => kind === 'M' || kind === 'V');
  const probability = Math.min(1, ...told.map((entry) => entry.probability));
  if (told.length > 0 && probability < SURE_MEANING) {
    const swap: Finding = { what: 'mountain-valley-swap', at: middle, probability, instead: 'other' };
    const guessed = pattern.creases.flatMap(({ kind }, crease): Finding[] =>
      (kind === 'M' || kind === 'V') && !named.has(crease) ? [{ ...swap, crease, at: middleOf(pattern, crease) }] : [],
    );
    found.push(...(probability > GUESSED_MEANING || guessed.length === 0 ? [swap] : guessed));
  }
  return [
    ...found,
    ...(endsWithin(pattern, sheet.outline, named) ?? outlineFindings(pattern, sheet.outline, middle, named)),
  ];
}

/** So many creases that end nowhere, more than reach the sides, leave the outline this likely. */
const FEWEST_LOOSE = 4;
const LOOSE_OUTLINE = 0.2;

/** Names every crease where more of them end within the outline than at it: their sheet is another one. Null where they do not. */
function endsWithin(pattern: Pattern, { how }: Outline, named: ReadonlySet<number>): Finding[] | null {
  const { creases, vertices } = pattern;
  const ends = new Int32Array(vertices.length);
  const sides = new Int32Array(vertices.length);
  for (const { from, to, kind } of creases) for (const v of [from, to]) (kind === 'B' ? sides : ends)[v]++;
  const loose = ends.filter((count, v) => count === 1 && sides[v] === 0).length;
  const reaching = ends.filter((count, v) => count > 0 && sides[v] > 0).length;
  if (how === 'given' || loose < FEWEST_LOOSE || loose <= reaching) return null;
  const facts = { how, looseEnds: loose };
  return outlineOf(pattern, { facts, probability: LOOSE_OUTLINE }, (_, crease) => !named.has(crease));
}

/**
 * What is said of an outline that was not drawn as such, and of each piece of the sheet's edge with it: of every crease where a side lies where creases end, for if it is
 * another one all places are.
 */
function outlineFindings(
  pattern: Pattern,
  { how, probability }: Outline,
  at: readonly [number, number],
  named: ReadonlySet<number>,
): Finding[] {
  const isAssumed = how === 'outermost-ink' || how === 'picture-edge' || how === 'sheet-edge';
  if (how === 'given' || (!isAssumed && probability >= SURE_OUTLINE)) return [];
  const about = { facts: { how }, probability };
  return [
    { what: 'outline-assumed', at, ...about, instead: 'other' },
    ...outlineOf(
      pattern,
      about,
      (kind, crease) => (kind === 'B' || (how === 'outermost-ink' && probability < SURE_OUTLINE)) && !named.has(crease),
    ),
  ];
}

/** The doubt in the outline, named with each of those creases. */
function outlineOf(
  pattern: Pattern,
  about: Pick<Finding, 'facts' | 'probability'>,
  isAbout: (kind: Kind, crease: number) => boolean,
): Finding[] {
  return pattern.creases.flatMap(({ kind }, crease): Finding[] =>
    isAbout(kind, crease)
      ? [{ what: 'outline-assumed', crease, at: middleOf(pattern, crease), ...about, instead: 'other' }]
      : [],
  );
}

/** Strokes that were seen and left out, one finding a stroke. */
export function strayFindings(draft: Draft, changes: readonly StructureChange[]): Finding[] {
  const byLine = new Map<number, { at: readonly [number, number]; length: number }>();
  for (const { part, what } of changes) {
    if (what !== 'dropped') continue;
    const { carrier, from, to, t0, t1 } = draft.parts[part];
    const [a, b] = [draft.vertices[from], draft.vertices[to]];
    const known = byLine.get(carrier);
    const length = (known?.length ?? 0) + t1 - t0;
    byLine.set(carrier, { at: known?.at ?? [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], length });
  }
  return [...byLine.values()]
    .filter(({ length }) => length >= STRAY_WIDTHS * draft.strokeWidth)
    .map(({ at }) => ({ what: 'stray-ink', at, probability: STRAY_RIGHT, instead: 'other' }));
}

/** Ink that was left out before the lattice was sought, one finding a place. */
export function leftOutFindings(leftOut: readonly LeftOut[]): Finding[] {
  return leftOut.map(({ at, how }) => ({
    what: 'stray-ink',
    at,
    facts: { how },
    probability: STRAY_RIGHT,
    instead: 'other',
  }));
}
