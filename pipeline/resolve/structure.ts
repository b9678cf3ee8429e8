/** Which lines belong to the pattern, judged by ink and by whether the vertices can fold flat at all. */
import type { Draft } from './draft.ts';
import { folds, isSound, type Ray, rayOf, sortRays } from './soundness.ts';

/**
 * What was changed, by part: dropped although it was seen, or added although it was hardly seen; and by how many vertices
 * that mended less it broke.
 */
export interface StructureChange {
  readonly part: number;
  readonly what: 'dropped' | 'added';
  readonly mended: number;
}

/** Odds are never believed beyond this, natural log. */
const MOST_LOG_ODDS = 9;
/**
 * A whole stroke that has nothing to do with the pattern, a crack, a wrinkle, a pen's slip: natural log of one in so many.
 * Likelier for lines off the lattice where nearly all others are on it, unlikely for lines on it.
 */
const STRAY_STROKE = 8;
const STRAY_OFF_LATTICE = 2.5;
const STRAY_ON_LATTICE = 12;
/** Share of exact vertices that makes a lattice the rule. */
const ON_LATTICE = 0.8;
/** Prices of a vertex that cannot fold flat are not raised above or below this, natural log. */
const MOST_PRICE = 4.5;
const LEAST_PRICE = 0.8;
/** Missed lines are the usual reason where many vertices cannot fold: taking one up is always worth this at each end. */
const ADDING_PRICE = 2;
/** For the same reason dropping a line is never worth more than this: something else may be missing there. */
const DROPPING_PRICE = 3.5;
/** Below this share of sound vertices the drawing is not understood, and laws say nothing. */
const LEAST_SOUND = 0.3;
/** Prior sound and unsound vertices, so that few vertices say little. */
const PRIOR_SOUND = 3;
const PRIOR_UNSOUND = 1;
/** A change must be this much better, natural log. */
const LEAST_GAIN = 1;
/** Longest run of pieces on one line that is tried as one, to either side. */
const LONGEST_RUN = 8;
const MOST_PASSES = 6;
/** Parts of the largest figure that is dropped as one. */
const LARGEST_FIGURE = 24;

/** Spread of a measured vertex's place about the true one, px. */
const PLACE_PX = 0.7;

export function placeSpreadOf(draft: Draft, residual: number): number {
  return Math.max(PLACE_PX * draft.px, residual);
}

interface Move {
  readonly flips: readonly number[];
  readonly gain: number;
  readonly mended: number;
}

/** A drawing is lawful if the vertices' price reaches this once it is mended. */
const LAWFUL_PRICE = 1.9;

/**
 * Drops and adds lines where that mends more than it costs. A vertex that cannot fold flat has a price; a line has the
 * price of its ink; a whole stroke never costs more than a stray stroke. At first the drawing is taken to be lawful, with
 * a high price; if mending does not bear that out, all is taken back and the price is what the drawing itself shows.
 */
export function mendStructure(draft: Draft, placeSpread: number): StructureChange[] {
  const table = tableOf(draft, placeSpread);
  const own = vertexPrice(table);
  let changes = mend(table, MOST_PRICE);
  let price = vertexPrice(table);
  if (price < LAWFUL_PRICE && own < MOST_PRICE) {
    for (const p of changes.keys()) draft.parts[p].present = !draft.parts[p].present;
    refresh(table);
    changes = mend(table, own);
    price = vertexPrice(table);
  }
  believePresence(table, changes, price);
  return [...changes.values()];
}

/** The draft with what is looked up often. */
interface Table {
  readonly draft: Draft;
  /** Parts at each vertex, present or not. */
  readonly all: readonly (readonly number[])[];
  readonly rays: readonly (readonly Ray[])[];
  readonly isEdge: Uint8Array;
  /** 1 for vertices that can fold flat by their directions, and those on an edge. */
  readonly sound: Uint8Array;
  readonly onLine: readonly (readonly number[])[];
  /** Whether nearly all vertices lie on a lattice. */
  readonly isRule: boolean;
}

function tableOf(draft: Draft, placeSpread: number): Table {
  const all: number[][] = draft.vertices.map(() => []);
  const isEdge = new Uint8Array(draft.vertices.length);
  draft.parts.forEach(({ from, to, border }, i) => {
    all[from].push(i);
    all[to].push(i);
    if (border) isEdge[from] = isEdge[to] = 1;
  });
  // Directions do not change while lines come and go: each vertex is sorted once.
  const rays = all.map((own, v) => sortRays(own.map((p) => rayOf(draft, p, v, placeSpread))));
  const sound = new Uint8Array(draft.vertices.length);
  const table: Table = { draft, all, rays, isEdge, sound, onLine: runsOf(draft), isRule: isOnLattice(draft) };
  refresh(table);
  return table;
}

function isSoundAt({ draft, rays, isEdge }: Table, v: number): boolean {
  return isEdge[v] === 1 || isSound(rays[v], (p) => folds(draft, p));
}

function refresh(table: Table): void {
  for (let v = 0; v < table.sound.length; v++) table.sound[v] = isSoundAt(table, v) ? 1 : 0;
}

function flip({ draft }: Table, parts: readonly number[]): void {
  for (const p of parts) draft.parts[p].present = !draft.parts[p].present;
}

function mend(table: Table, startPrice: number): Map<number, StructureChange> {
  const { draft, sound } = table;
  const changes = new Map<number, StructureChange>();
  let price = startPrice;
  for (let pass = 0; pass < MOST_PASSES; pass++) {
    const moves: Move[] = [];
    for (let v = 0; v < sound.length; v++) {
      const move = sound[v] ? null : bestMove(table, v, price);
      if (move) moves.push(move);
    }
    // What is likelier no stroke at all goes where nothing speaks for it.
    draft.parts.forEach(({ odds, present, border }, p) => {
      if (!present || border || odds.absent < 0.5) return;
      for (const { run, isWhole } of runsThrough(table, p)) {
        const move = weigh(table, run, isWhole, price);
        if (move.mended >= 0 && move.gain > LEAST_GAIN) moves.push(move);
      }
    });
    moves.sort((a, b) => b.gain - a.gain);
    const touched = new Set<number>();
    let applied = 0;
    for (const { flips, mended } of moves) {
      const ends = flips.flatMap((p) => [draft.parts[p].from, draft.parts[p].to]);
      if (ends.some((v) => touched.has(v))) continue;
      flip(table, flips);
      for (const p of flips) {
        if (changes.has(p)) changes.delete(p);
        else changes.set(p, { part: p, what: draft.parts[p].present ? 'added' : 'dropped', mended });
      }
      for (const v of ends) {
        touched.add(v);
        sound[v] = isSoundAt(table, v) ? 1 : 0;
      }
      applied++;
    }
    if (applied === 0) break;
    // What was mended shows how well the laws hold here.
    price = Math.max(startPrice, vertexPrice(table));
  }
  return changes;
}

/** The change at an unsound vertex that gains most; null where none gains enough. */
function bestMove(table: Table, v: number, price: number): Move | null {
  const { draft, all, isRule } = table;
  let best: Move | null = null;
  const take = (move: Move) => {
    if (move.gain > LEAST_GAIN && (!best || move.gain > best.gain)) best = move;
  };
  for (const p of all[v]) {
    if (draft.parts[p].border) continue;
    for (const { run, isWhole } of runsThrough(table, p)) take(weigh(table, run, isWhole, price));
    const figure = isRule ? strayFigure(table, p) : [];
    if (figure.length > 1) take(weigh(table, figure, true, price));
  }
  return best;
}

function weigh(table: Table, flips: readonly number[], isWhole: boolean, price: number): Move {
  const { draft, sound } = table;
  const touched = new Set<number>();
  let cost = 0;
  for (const p of flips) {
    const { from, to, odds, present } = draft.parts[p];
    touched.add(from);
    touched.add(to);
    const log = Math.log((1 - odds.absent) / Math.max(odds.absent, 1e-9));
    cost += (present ? 1 : -1) * Math.max(-MOST_LOG_ODDS, Math.min(MOST_LOG_ODDS, log));
  }
  if (isWhole) cost = Math.min(cost, strayPrice(table, flips, [...touched]));
  flip(table, flips);
  let mended = 0;
  for (const v of touched) mended += (isSoundAt(table, v) ? 1 : 0) - sound[v];
  flip(table, flips);
  const isAdded = !draft.parts[flips[0]].present;
  const worth = isAdded ? Math.max(price, ADDING_PRICE) : Math.min(price, DROPPING_PRICE);
  return { flips, gain: mended * worth - cost, mended };
}

function strayPrice({ draft, isRule }: Table, flips: readonly number[], touched: readonly number[]): number {
  if (!isRule) return STRAY_STROKE;
  // A grid line may end where nothing else says that it is on the lattice.
  if (flips.some((p) => draft.carriers[draft.parts[p].carrier].grid)) return STRAY_ON_LATTICE;
  const on = touched.filter((v) => draft.exact[v]).length;
  return on === touched.length ? STRAY_ON_LATTICE : on <= touched.length / 2 ? STRAY_OFF_LATTICE : STRAY_STROKE;
}

/** Odds below this say nothing against a line. */
const LEAST_ABSENT = 0.005;

/** What the vertices say for or against lines that the ink leaves open goes into the belief. */
function believePresence(table: Table, changes: ReadonlyMap<number, StructureChange>, price: number): void {
  const { draft } = table;
  draft.parts.forEach((part, p) => {
    const { odds, border, present } = part;
    if (border || !present || (odds.absent < LEAST_ABSENT && !changes.has(p))) return;
    const log =
      Math.log((1 - odds.absent) / Math.max(odds.absent, 1e-9)) - price * weigh(table, [p], false, price).mended;
    const here = 1 / (1 + Math.exp(-log));
    const scale = odds.absent < 1 ? here / (1 - odds.absent) : 0;
    part.belief = {
      mountain: odds.mountain * scale,
      valley: odds.valley * scale,
      edge: odds.edge * scale,
      guide: odds.guide * scale,
      absent: 1 - here,
    };
  });
}

function isOnLattice({ exact, parts }: Draft): boolean {
  const used = new Set(parts.flatMap(({ from, to, present }) => (present ? [from, to] : [])));
  return [...used].filter((v) => exact[v]).length >= ON_LATTICE * used.size;
}

/** Parts off the lattice that hang together: an arrow, a letter, a mark on the table. None where it grows too large. */
function strayFigure({ draft, all }: Table, start: number): number[] {
  const isOff = (p: number) => {
    const { present, border, from, to } = draft.parts[p];
    return present && !border && (!draft.exact[from] || !draft.exact[to]);
  };
  if (!isOff(start)) return [];
  const figure = new Set([start]);
  for (const p of figure) {
    if (figure.size > LARGEST_FIGURE) return [];
    for (const v of [draft.parts[p].from, draft.parts[p].to]) {
      if (draft.exact[v]) continue;
      // A lattice line that the figure crosses goes on beyond and is not of it.
      for (const q of all[v]) if (isOff(q) && draft.carriers[draft.parts[q].carrier].grid === null) figure.add(q);
    }
  }
  return [...figure];
}

/** Natural log of how much likelier a vertex of this drawing is sound than not. */
function vertexPrice({ draft, all, isEdge, isRule, sound: state }: Table): number {
  let [sound, unsound] = [PRIOR_SOUND, PRIOR_UNSOUND];
  for (let v = 0; v < state.length; v++) {
    // A vertex off the lattice is itself in question and tells nothing of how well the laws hold.
    if (isEdge[v] || (isRule && !draft.exact[v]) || !all[v].some((p) => folds(draft, p))) continue;
    if (state[v]) sound++;
    else unsound++;
  }
  if (sound < LEAST_SOUND * (sound + unsound)) return 0;
  return Math.min(MOST_PRICE, Math.max(LEAST_PRICE, Math.log(sound / unsound)));
}

/** Parts on each line in their order. */
function runsOf(draft: Draft): number[][] {
  const onLine: number[][] = draft.carriers.map(() => []);
  draft.parts.forEach(({ carrier }, i) => {
    onLine[carrier].push(i);
  });
  for (const own of onLine) own.sort((a, b) => draft.parts[a].t0 - draft.parts[b].t0);
  return onLine;
}

/** Runs of neighbouring parts on one line, all present or all not, that hold the part. */
function* runsThrough({ draft, onLine }: Table, part: number): Generator<{ run: readonly number[]; isWhole: boolean }> {
  const { carrier, present } = draft.parts[part];
  const line = onLine[carrier];
  const at = line.indexOf(part);
  const joins = (a: number, b: number) =>
    draft.parts[a].to === draft.parts[b].from &&
    draft.parts[b].present === present &&
    draft.parts[a].present === present;
  let first = at;
  let last = at;
  while (first > 0 && joins(line[first - 1], line[first])) first--;
  while (last + 1 < line.length && joins(line[last], line[last + 1])) last++;
  for (let i = at; i >= Math.max(first, at - LONGEST_RUN); i--) {
    for (let j = at; j <= Math.min(last, at + LONGEST_RUN); j++) {
      yield { run: line.slice(i, j + 1), isWhole: present && i === first && j === last };
    }
  }
  if (at - first > LONGEST_RUN || last - at > LONGEST_RUN) yield { run: line.slice(first, last + 1), isWhole: present };
}
