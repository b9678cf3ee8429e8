/** Sentences of the page. Those about findings are made in report/words.ts. */
import { placeWords } from '../../report/words.ts';
import type { Kind, KindOfOdds, Pattern, StageName } from '../../types.ts';
import type { Repair } from '../../validity/validity.ts';
import type { DoubtItem } from '../work/doubts.ts';
import type { Judgement } from '../work/judge.ts';

export const STAGES: readonly (readonly [StageName, string])[] = [
  ['intake', 'Opening the picture'],
  ['rectify', 'Finding the sheet and laying it flat'],
  ['ink', 'Telling ink from paper'],
  ['strokes', 'Following the lines'],
  ['lattice', 'Looking for the grid'],
  ['graph', 'Joining lines where they meet'],
  ['kinds', 'Telling mountains from valleys'],
  ['resolve', 'Weighing ink against folding laws'],
  ['validity', 'Trying whether it folds flat'],
  ['report', 'Laying the pattern over the picture'],
];

export const ODDS_KINDS: readonly {
  readonly name: KindOfOdds;
  readonly kind: Kind | null;
  readonly label: string;
  readonly key: string;
}[] = [
  { name: 'mountain', kind: 'M', label: 'Mountain', key: 'm' },
  { name: 'valley', kind: 'V', label: 'Valley', key: 'v' },
  { name: 'guide', kind: 'F', label: 'Guide', key: 'g' },
  { name: 'edge', kind: 'B', label: 'Edge', key: 'e' },
  { name: 'absent', kind: null, label: 'Not there', key: 'x' },
];

const WITH_ARTICLE: Readonly<Record<KindOfOdds, string>> = {
  mountain: 'a mountain',
  valley: 'a valley',
  guide: 'a guide',
  edge: 'an edge',
  absent: 'not there at all',
};

export function count(n: number, one: string, more: string): string {
  return n === 1 ? `1 ${one}` : `${n} ${more}`;
}

/** What hangs on a doubt, in one sentence. */
export function stakesWords({ stakes, ...item }: DoubtItem): string {
  if (stakes.everything) return 'The whole sheet hangs on this.';
  if (item.from === 'laws') return 'The sheet cannot fold flat while this stands.';
  const { instead, crease } = item.doubt;
  const now =
    stakes.now === 0
      ? ''
      : crease === undefined
        ? 'A law of folding is broken here.'
        : `${ends(stakes.now)} a law of folding now.`;
  if (stakes.otherwise === null || instead === null || instead === 'other') return now;
  const case_ = `If it is ${WITH_ARTICLE[instead]}`;
  const then =
    stakes.otherwise === 0
      ? `${case_}, the laws hold at its ends, too: they cannot tell.`
      : `${case_}, ${ends(stakes.otherwise).toLowerCase()} one.`;
  return now ? `${now} ${then}` : then;
}

function ends(n: number): string {
  return n === 1 ? 'One of its ends breaks' : 'Both its ends break';
}

/** The same in two words, for the list. */
export function stakesShort({ stakes }: DoubtItem): string {
  if (stakes.now > 0) return 'breaks a law';
  if (stakes.otherwise) return `${count(stakes.otherwise, 'vertex', 'vertices')} at stake`;
  return '';
}

const NAMES: Readonly<Record<Kind, string>> = {
  M: 'a mountain',
  V: 'a valley',
  F: 'a guide',
  B: 'an edge',
  U: 'undecided',
  C: 'a cut',
};

/** @param vertex that the repair is offered at: creases are named by their other end */
export function repairWords(
  { change }: Repair,
  { vertices, creases, lattice }: Pattern,
  vertex: number | null,
): string {
  const place = (at: readonly [number, number]) => placeWords(at, lattice).replace(' on the grid', '');
  const crease = (c: number) => {
    const { from, to } = creases[c];
    return `the crease to ${place(vertices[to === vertex ? from : to])}`;
  };
  switch (change.what) {
    case 'swap-kind':
      return change.creases.length === 1
        ? `Make ${crease(change.creases[0])} ${NAMES[change.to]}`
        : `Make ${change.creases.length} creases ${NAMES[change.to].replace(/^an? /, '')}s`;
    case 'add-crease':
      return `Add ${NAMES[change.kind]} to ${place(change.to)}`;
    case 'drop-crease':
      return `Take away ${crease(change.crease)}`;
    case 'move-vertex':
      return `Move the vertex to ${place(change.to)}`;
    case 'set-kinds':
      return `Change ${count(change.kinds.length, 'crease', 'creases')} to kinds that fold`;
  }
}

/** The headline: does it fold? */
export function verdictWords(
  brokenVertices: number,
  judgement: Judgement | 'working' | 'failed',
): {
  readonly tone: 'good' | 'bad' | 'open';
  readonly text: string;
} {
  if (brokenVertices > 0) {
    return { tone: 'bad', text: `${count(brokenVertices, 'vertex does', 'vertices do')} not fold flat` };
  }
  if (judgement === 'working') return { tone: 'open', text: 'Checking whether it folds…' };
  if (judgement === 'failed') return { tone: 'open', text: 'The check of the whole sheet broke down' };
  if (judgement.verdict === 'folds') return { tone: 'good', text: 'Folds flat' };
  if (judgement.verdict === 'undecided') return { tone: 'open', text: 'Each vertex folds; the whole is undecided' };
  return { tone: 'bad', text: 'Does not fold flat' };
}

const UNDECIDED: Readonly<Record<NonNullable<Judgement['undecided']>, string>> = {
  size: 'The sheet has too many overlapping layers to be decided here.',
  time: 'An order of layers was not found in the time there was.',
  coarse: 'Positions are too uncertain for creases this small.',
  parts: 'Cuts part the sheet, so there is no one folded form.',
};

/** Below the folded sheet: one or two sentences. */
export function foldedWords(judgement: Judgement | 'working' | 'failed', broken: number): string {
  if (judgement === 'working') return 'Folding…';
  if (judgement === 'failed') return 'The sheet could not be folded here.';
  const { verdict, states, drawing, undecided } = judgement;
  if (verdict === 'folds') {
    if (!states || (states.count === '1' && states.atLeast)) {
      return 'The layers can be put in order without the paper passing through itself.';
    }
    if (states.count === '1') return 'The layers can lie in one order only.';
    return `The layers can lie in ${states.atLeast ? 'at least ' : ''}${grouped(states.count)} orders; one of them is shown.`;
  }
  if (verdict === 'undecided') return undecided ? UNDECIDED[undecided] : 'The whole sheet is undecided.';
  if (!drawing) return 'Lines cross without a vertex, or the edge is open: there is nothing to fold yet.';
  if (broken > 0) return 'Faces are laid down as far as they agree; where a law is broken, they do not meet.';
  return 'There is no order of layers in which the paper does not pass through itself.';
}

/** 1234567 as 1 234 567; a number of many digits as a power of ten. */
function grouped(digits: string): string {
  if (digits.length > 12) return `about 10 to the power ${digits.length - 1}`;
  return digits.replace(/\B(?=(\d{3})+$)/g, '\u202f');
}

export function percentWords(share: number): string {
  if (share > 0 && share < 0.01) return '< 1 %';
  if (share < 1 && share > 0.99) return '> 99 %';
  return `${Math.round(share * 100)} %`;
}

export function agoWords(then: number, now: number): string {
  const minutes = (now - then) / 60_000;
  if (minutes < 1) return 'just now';
  if (minutes < 60) return `${count(Math.round(minutes), 'minute', 'minutes')} ago`;
  if (minutes < 60 * 24) return `${count(Math.round(minutes / 60), 'hour', 'hours')} ago`;
  return `${count(Math.round(minutes / 60 / 24), 'day', 'days')} ago`;
}
