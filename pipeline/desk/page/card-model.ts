/** What the card beside the pattern says and asks about the thing selected. */
import { doubtTitle, doubtWhy, KIND_NAMES, lawTitle, lawWhy, placeWords } from '../../report/words.ts';
import type { Doubt, Kind, PatternPoint } from '../../types.ts';
import type { Repair } from '../../validity/validity.ts';
import type { DoubtItem } from '../work/doubts.ts';
import { gridOf, nearestGridPoint } from '../work/grid.ts';
import { stateNow } from '../work/history.ts';
import type { DeskState, Edit } from '../work/work.ts';
import type { Deskful, Shown } from './store.ts';
import { ODDS_KINDS, repairWords, stakesWords } from './words.ts';

export interface Answer {
  /** The key that gives this answer. */
  readonly key: string;
  readonly label: string;
  /** Drawn as a sample of its line. */
  readonly kind?: Kind | null;
  /** Odds, 0..1; undefined where it is no kind. */
  readonly share?: number;
  /** The answer as it stands. */
  readonly shown: boolean;
  /** Creases that it would change, to be pointed out. */
  readonly about?: readonly number[];
  readonly does: { readonly edit: Edit } | { readonly opens: 'outline' | 'reading' | 'draw' };
}

export interface Card {
  readonly title: string;
  readonly lines: readonly string[];
  /** Middle of the cut-out, pattern units. */
  readonly at: PatternPoint;
  /** It is about the whole sheet, not a place on it. */
  readonly whole: boolean;
  readonly crease: number | null;
  readonly vertex: number | null;
  readonly answers: readonly Answer[];
  readonly settled: boolean;
  /** Its place in the list and the list's length; null for a crease that a person picked. */
  readonly place: readonly [number, number] | null;
}

export function cardOf({ desk, selection }: Shown): Card | null {
  if (!desk || !selection) return null;
  const state = stateNow(desk.history);
  if (selection.what === 'crease') return creaseCard(state, selection.crease);
  const index = desk.items.findIndex(({ key }) => key === selection.key);
  if (index < 0) return null;
  const item = desk.items[index];
  const place = [index + 1, desk.items.length] as const;
  return item.from === 'laws' ? { ...lawCard(desk, state, item), place } : { ...doubtCard(state, item), place };
}

function creaseCard(state: DeskState, crease: number): Card {
  const { pattern, evidence } = state;
  const { kind } = pattern.creases[crease];
  const { origin, coverage } = evidence[crease];
  const from =
    origin === 'edited'
      ? 'You decided this.'
      : origin === 'inferred'
        ? 'No ink was found here; the folding laws ask for it.'
        : `Ink along ${Math.round(coverage * 100)} % of its length.`;
  return {
    title: capital(`${KIND_NAMES[kind]} crease`.replace('edge crease', 'edge').replace('guide crease', 'guide')),
    lines: [from],
    at: middleOf(state, crease),
    whole: false,
    crease,
    vertex: null,
    answers: kindAnswers(state, crease),
    settled: false,
    place: null,
  };
}

function doubtCard(state: DeskState, item: DoubtItem & { from: 'reading' }): Omit<Card, 'place'> {
  const { doubt } = item;
  const { crease = null, vertex = null } = doubt;
  const shown = crease === null ? undefined : state.pattern.creases[crease].kind;
  return {
    title: doubtTitle(doubt.what, crease !== null),
    lines: [doubtWhy(doubt, shown), stakesWords(item)].filter((line) => line !== '').map(forThePage),
    at: crease === null ? (vertex === null ? doubt.at : state.pattern.vertices[vertex]) : middleOf(state, crease),
    whole: item.stakes.everything,
    crease,
    vertex,
    answers: crease === null ? otherAnswers(state, doubt, item) : kindAnswers(state, crease),
    settled: item.settled,
  };
}

/** On the page the inks are told in a window, not by an option of the command. */
function forThePage(line: string): string {
  return line.replace('; --legend settles it.', '.');
}

function lawCard({ judgement }: Deskful, state: DeskState, item: DoubtItem & { from: 'laws' }): Omit<Card, 'place'> {
  const [law] = item.laws;
  const repairs =
    typeof judgement === 'string'
      ? []
      : judgement.repairs.filter(({ mends }) =>
          mends.some((i) => item.vertex !== null && judgement.broken[i].vertex === item.vertex),
        );
  const answers = repairs.slice(0, MOST_REPAIRS).map(
    (repair, i): Answer => ({
      key: String(i + 1),
      label:
        capital(repairWords(repair, state.pattern, item.vertex)) +
        (repair.result === 'folds' ? ': then it folds flat' : ''),
      shown: false,
      about: creasesOf(repair),
      does: { edit: editOf(repair, state) },
    }),
  );
  return {
    title:
      lawTitle(law) === 'Kawasaki' || lawTitle(law) === 'Maekawa' ? `${lawTitle(law)}’s law is broken` : lawTitle(law),
    lines: item.laws.map(lawWhy),
    at: item.vertex === null ? law.at : state.pattern.vertices[item.vertex],
    whole: false,
    crease: null,
    vertex: item.vertex,
    answers: [
      ...answers,
      ...(law.law === 'planar' ? [JOIN] : []),
      { key: 'd', label: 'Draw a missing crease', shown: false, does: { opens: 'draw' } },
      ...(item.vertex === null ? [] : [leaveAnswer(item.vertex, item.settled)]),
    ],
    settled: item.settled,
  };
}

const leaveAnswer = (vertex: number, shown: boolean): Answer => ({
  key: 'y',
  label: 'Leave it as it is',
  shown,
  does: { edit: { what: 'leave', vertex } },
});

const JOIN: Answer = {
  key: 'j',
  label: 'Put vertices where lines cross',
  shown: false,
  does: { edit: { what: 'join' } },
};

/** More choice than this is no help. */
const MOST_REPAIRS = 4;

function creasesOf({ change }: Repair): number[] {
  if (change.what === 'swap-kind') return [...change.creases];
  if (change.what === 'drop-crease') return [change.crease];
  return change.what === 'set-kinds' ? change.kinds.map(([crease]) => crease) : [];
}

function editOf({ change }: Repair, state: DeskState): Edit {
  switch (change.what) {
    case 'swap-kind':
      return { what: 'kinds', kinds: change.creases.map((c) => [c, change.to] as const) };
    case 'set-kinds':
      return { what: 'kinds', kinds: change.kinds };
    case 'drop-crease':
      return { what: 'erase', crease: change.crease };
    case 'add-crease':
      return { what: 'draw', from: placeAt(state, change.from), to: placeAt(state, change.to), kind: change.kind };
    case 'move-vertex':
      return { what: 'move', vertex: change.vertex, to: placeAt(state, change.to) };
  }
}

/** With the exact coordinates of the vertex or grid point that is there. */
function placeAt({ pattern }: DeskState, at: PatternPoint) {
  const near = (p: PatternPoint) => Math.hypot(p[0] - at[0], p[1] - at[1]) < 1e-9;
  const vertex = pattern.vertices.findIndex(near);
  if (vertex >= 0) return { at: pattern.vertices[vertex], exact: pattern.exact[vertex] };
  const grid = gridOf(pattern);
  const point = grid && nearestGridPoint(grid, at);
  return point && near(point.at) ? point : { at, exact: null };
}

/** The five kinds with their odds; answering with the kind that is shown confirms it. */
function kindAnswers({ pattern, evidence }: DeskState, crease: number): Answer[] {
  const { kind: now } = pattern.creases[crease];
  const { odds, origin, coverage } = evidence[crease];
  // A crease that a person drew has no odds but that person's word.
  const told = !(origin === 'edited' && coverage === 0);
  return ODDS_KINDS.map(({ name, kind, label, key }) => ({
    key,
    label,
    kind,
    ...(told && { share: odds[name] }),
    shown: kind === now,
    does: { edit: kind === null ? { what: 'erase', crease } : { what: 'kinds', kinds: [[crease, kind]] } },
  }));
}

function otherAnswers(
  { pattern }: DeskState,
  doubt: Doubt & { readonly id: number },
  { settled }: DoubtItem,
): Answer[] {
  const accept = (label: string): Answer => ({
    key: 'y',
    label,
    shown: settled,
    does: { edit: { what: 'accept', doubt: doubt.id } },
  });
  const draw: Answer = { key: 'd', label: 'Draw the missing crease', shown: false, does: { opens: 'draw' } };
  switch (doubt.what) {
    case 'outline-assumed':
      return [
        accept('The outline is right'),
        { key: 'o', label: 'Set its corners', shown: false, does: { opens: 'outline' } },
      ];
    case 'mountain-valley-swap':
    case 'convention-unknown':
      return [
        accept('It is right as shown'),
        { key: 's', label: 'Swap mountains and valleys', shown: false, does: { edit: { what: 'swap' } } },
        { key: 'i', label: 'Say what each ink means', shown: false, does: { opens: 'reading' } },
      ];
    case 'off-lattice': {
      const grid = gridOf(pattern);
      const { vertex } = doubt;
      if (!grid || vertex === undefined) return [accept('It belongs where it is')];
      const to = nearestGridPoint(grid, pattern.vertices[vertex]);
      return [
        accept('It belongs where it is'),
        {
          key: 's',
          label: `Move it onto the grid: ${placeWords(to.at, pattern.lattice)}`,
          shown: false,
          does: { edit: { what: 'move', vertex, to } },
        },
      ];
    }
    case 'stray-ink':
      return [accept('It is no crease'), draw];
    default:
      return [accept('It is right as shown'), draw];
  }
}

function middleOf({ pattern }: DeskState, crease: number): PatternPoint {
  const [a, b] = [pattern.creases[crease].from, pattern.creases[crease].to].map((v) => pattern.vertices[v]);
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
