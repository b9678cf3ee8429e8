/** A verdict on foldability as plain lines for people. */
import { ordersWords } from '../report/folding-words.ts';
import { KIND_NAMES, lawTitle, lawWhy, placeWords, shortNumber } from '../report/words.ts';
import type { BrokenLaw, LawName, Pattern, PatternPoint } from '../types.ts';
import type { Repair, Undecided, Verdict } from '../validity/verdict.ts';

/** Where each law is published. */
const SOURCES: Readonly<Record<LawName, string>> = {
  planar: 'a crease pattern is a planar graph (FOLD specification 1.2)',
  'closed-outline': 'a sheet has one closed edge (FOLD specification 1.2)',
  'even-degree': 'follows from Maekawa and Justin 1986',
  kawasaki: 'Kawasaki 1989, Justin 1989',
  maekawa: 'Maekawa; Justin 1986; Kasahara and Takahama 1987',
  'big-little-big': 'Kawasaki 1989; Hull 2003',
  crimp: 'Bern and Hayes 1996',
  'loop-closure': 'Justin 1997; Hull 2002',
  'layer-order': 'Justin 1997; Akitaya, Demaine and Ku 2017',
};

/** Positions uncertain by more than this share of the side are worth a word. */
const WORTH_SAYING = 2e-4;
/** Places printed in full; the rest is counted. */
const MOST_LISTED = 12;

export interface VerdictLinesOptions {
  /** Name of the pattern's file. */
  readonly name: string;
}

/** What was found out, most important first. */
export function verdictLines(pattern: Pattern, verdict: Verdict, { name }: VerdictLinesOptions): string[] {
  const { broken, repairs } = verdict;
  const lines = [`${name}: ${headline(verdict)}`];
  broken.slice(0, MOST_LISTED).forEach((law, i) => {
    lines.push(...lawLines(pattern, law, i));
    const own = repairs.filter(({ mends }) => mends[0] === i);
    for (const repair of own) lines.push(`     Tried: ${repairWords(pattern, repair, broken.length)}`);
  });
  if (broken.length > MOST_LISTED) lines.push(`  and ${broken.length - MOST_LISTED} more (--json lists all)`);
  if (broken.length > 0 && repairs.length === 0) lines.push('  No single change was found that mends any of this.');
  lines.push(...kindLines(pattern, verdict));
  return lines;
}

function headline({ verdict, broken, states, undecided, facts }: Verdict): string {
  if (verdict === 'does-not') return `does not fold flat. ${count(broken.length, 'law is', 'laws are')} broken:`;
  if (verdict === 'undecided') return `undecided. ${undecidedWords(undecided!)}`;
  const orders = ordersWords({ count: String(states?.count ?? 1n), atLeast: states?.atLeast ?? true });
  const measured =
    facts.tolerance > WORTH_SAYING
      ? ` Points nearer than ${shortNumber(facts.tolerance)} of the side were taken as one.`
      : '';
  return `folds flat. ${count(facts.faces, 'face', 'faces')}, ${orders} with the largest face up.${measured}`;
}

export function undecidedWords({ why, faces, certainPairs, pairs }: Undecided): string {
  switch (why) {
    case 'coarse':
      return 'The vertices are not placed well enough for creases this short: a sharper picture or exact coordinates would settle it.';
    case 'parts':
      return 'Cuts part the sheet, and how the parts lie to each other is not known.';
    case 'size':
      return 'Every law holds, but more layers overlap than can be sorted out here.';
    case 'time':
      return `The time given did not suffice. Of ${pairs} pairs of layers the order of ${certainPairs} is certain; it is open between ${count(faces.length, 'face', 'faces')}. Give more with --seconds.`;
  }
}

function lawLines(pattern: Pattern, law: BrokenLaw, index: number): string[] {
  const vertex = law.vertex === undefined ? '' : `, vertex ${law.vertex}`;
  const creases = law.creases && law.creases.length > 0 ? `, ${listed('crease', law.creases)}` : '';
  const faces = law.faces ? `, ${listed('face', law.faces)}` : '';
  return [
    `  ${index + 1}. ${lawTitle(law)}: ${placeWords(law.at, pattern.lattice)}${squareWords(pattern, law.at)}${vertex}${creases}${faces}`,
    `     ${lawWhy(law)} (${SOURCES[law.law]})`,
  ];
}

/** The grid square that a place lies in, counted from the bottom left. */
function squareWords({ lattice }: Pattern, [x, y]: PatternPoint): string {
  if (lattice?.kind !== 'square' || lattice.divisionsX === 0) return '';
  const divisions = Math.max(lattice.divisionsX, lattice.divisionsY);
  const square = (value: number): number => Math.max(1, Math.ceil(value * divisions - 1e-9));
  return ` (grid square ${square(x)}, ${square(y)})`;
}

/** One repair as a sentence; `places` is the number of broken places altogether. */
export function repairWords(pattern: Pattern, { change, result, mends }: Repair, places: number): string {
  const outcome =
    result === 'folds'
      ? 'then the whole sheet folds flat.'
      : mends.length < places
        ? `then ${count(mends.length, 'place is', 'places are')} mended; others stay broken.`
        : 'then the laws hold at every vertex, but the whole sheet was not shown to fold.';
  return `${changeWords(pattern, change)}; ${outcome}`;
}

function changeWords(pattern: Pattern, change: Repair['change']): string {
  const { lattice } = pattern;
  switch (change.what) {
    case 'swap-kind':
      return `make ${listed('crease', change.creases)} ${KIND_NAMES[change.to]}`;
    case 'set-kinds':
      return `change ${count(change.kinds.length, 'kind', 'kinds')}: ${kindsListed(change.kinds)}`;
    case 'drop-crease':
      return `leave out crease ${change.crease}`;
    case 'move-vertex':
      return `move vertex ${change.vertex} to ${placeWords(change.to, lattice)}`;
    case 'add-crease': {
      const [dx, dy] = [change.to[0] - change.from[0], change.to[1] - change.from[1]];
      const degrees = (((Math.atan2(dy, dx) * 180) / Math.PI + 360) % 180).toFixed(1).replace(/\.0$/, '');
      const length = lengthWords(Math.hypot(dx, dy), lattice);
      return `a ${KIND_NAMES[change.kind]} is missing from ${placeWords(change.from, lattice)} at ${degrees} degrees, ${length} long`;
    }
  }
}

function lengthWords(length: number, lattice: Pattern['lattice']): string {
  if (lattice?.kind !== 'square' || lattice.divisionsX === 0) return `${shortNumber(length)} of the side`;
  return `${shortNumber(length * Math.max(lattice.divisionsX, lattice.divisionsY))} units`;
}

function kindLines(pattern: Pattern, { kinds }: Verdict): string[] {
  if (kinds.length === 0) return [];
  const forced = kinds.filter(({ how }) => how === 'forced');
  const free = kinds.filter(({ how }) => how === 'free');
  const unclear = kinds.length - forced.length - free.length;
  const lines = [
    `  ${count(kinds.length, 'crease was', 'creases were')} undecided: ${forced.length} can only be of one kind, ${free.length} may be either${unclear > 0 ? `, ${unclear} not settled in the time given` : ''}.`,
  ];
  for (const { crease, kind } of forced.slice(0, MOST_LISTED)) {
    const { from, to } = pattern.creases[crease];
    const [a, b] = [pattern.vertices[from], pattern.vertices[to]];
    const middle: PatternPoint = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    lines.push(`     crease ${crease} (${placeWords(middle, pattern.lattice)}) must be a ${KIND_NAMES[kind]}`);
  }
  if (forced.length > MOST_LISTED) lines.push(`     and ${forced.length - MOST_LISTED} more (--json lists all)`);
  return lines;
}

function kindsListed(kinds: readonly (readonly [number, 'M' | 'V'])[]): string {
  const shown = kinds.slice(0, 6).map(([crease, kind]) => `crease ${crease} ${KIND_NAMES[kind]}`);
  return `${shown.join(', ')}${kinds.length > 6 ? ` and ${kinds.length - 6} more (--json lists all)` : ''}`;
}

/** Names of up to six things. */
function listed(what: string, numbers: readonly number[]): string {
  const shown = numbers.slice(0, 6).join(', ');
  const more = numbers.length > 6 ? ` and ${numbers.length - 6} more` : '';
  return `${what}${numbers.length === 1 ? '' : 's'} ${shown}${more}`;
}

function count(n: number, one: string, more: string): string {
  return `${n} ${n === 1 ? one : more}`;
}
