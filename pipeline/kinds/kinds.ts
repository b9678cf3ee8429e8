import type { Bend } from '../geometry/bend.ts';
import { isInside, sidesOf } from '../geometry/sides.ts';
import type { StrokeGraph } from '../graph/graph.ts';
import type { InkField } from '../ink/ink.ts';
import type { PrintedLegend } from '../legend/legend.ts';
import type { Kind, LegendEntry, LegendRule, Odds, Sheet } from '../types.ts';
import { hueOf } from './features.ts';
import { type InkSorting, possibleSortings } from './inks.ts';
import { lawEvidence } from './law-evidence.ts';
import { type Meaning, readMeanings } from './meaning.ts';
import { measurePieces, type PieceInk } from './measure.ts';
import { chanceOfNoise } from './net-ink.ts';
import { profilesOf } from './profile.ts';
import { chanceOfWeakRidge } from './weak-ridge.ts';

export interface KindReading {
  /** Kind and odds of each piece of the graph. */
  readonly kinds: readonly Kind[];
  readonly odds: readonly Odds[];
  readonly legend: readonly LegendEntry[];
  readonly sorting: InkSorting;
  readonly meanings: readonly Meaning[];
  readonly measured: readonly PieceInk[];
}

/**
 * Says of every piece whether it is mountain, valley, edge or guide in this picture, and how sure that is. `legend` is the user's,
 * `printed` stands beside the pattern.
 */
export function readKinds(
  graph: StrokeGraph,
  ink: InkField,
  sheet: Sheet,
  bend: Bend,
  legend: readonly LegendRule[],
  printed: PrintedLegend | null = null,
): KindReading {
  const measured = measurePieces(profilesOf(graph, ink, sheet, bend), ink.strokeWidthPx);
  // Nothing but strokes is on paper that a program left bare, however unsure the network is of the thin and pale ones.
  const weak = ink.plain ? new Float64Array(graph.pieces.length) : chanceOfWeakRidge(graph, measured);
  const noise = chanceOfNoise(graph, measured).map((chance, i) => 1 - (1 - chance) * (1 - weak[i]));
  const inner = graph.pieces.map((p, i) => !p.border && noise[i] < NOISE);
  const meets = creasesMeet(graph, sheet);
  const isHairline = hidesGaps(ink, sheet);
  const readings = possibleSortings(measured, inner, ink.strokeWidthPx, ink.coloured).flatMap(({ sorting, favour }) =>
    guidesToTry(sorting).map((guide) => {
      const meanings = readMeanings(
        sorting,
        ink.paperColour,
        ink.lightOnDark,
        legend,
        meets,
        printed,
        isHairline,
        guide,
      );
      const odds = graph.pieces.map((p, i) => {
        const tint = ink.coloured && sorting.by === 'colour' ? chanceOfTint(measured[i]) : 0;
        const isMark = sorting.by === 'colour' && !ink.coloured && isOffColour(measured[i], sorting);
        const none = isMark ? Math.max(noise[i], MARK) : noise[i];
        return pieceOdds(p.border, p.coverage, none, tinted(sorting.odds[i], tint), meanings);
      });
      return { sorting, meanings, odds, favour: guide === undefined ? favour : favour - OTHER_GUIDE };
    }),
  );
  const { sorting, meanings, odds } = likeliestReading(graph, readings, ink.coloured);
  const kinds = odds.map((o, i) => (graph.pieces[i].border ? 'B' : likeliest(o, sorting.odds[i], meanings)));
  return { kinds, odds, legend: makeLegend(sorting, meanings, kinds, graph, ink), sorting, meanings, measured };
}

/** Strokes measured no wider than this, px, may be thinner; where so many px of the original lie in one of theirs their gaps run together. */
const HAIRLINE_PX = 2.05;
const PX_IN_ONE = 2;

function hidesGaps({ strokeWidthPx }: InkField, { pxPerUnit, originalPx = pxPerUnit }: Sheet): boolean {
  return strokeWidthPx <= HAIRLINE_PX && originalPx >= PX_IN_ONE * pxPerUnit;
}

/** Moire tints one short piece in as many as it has px, but no more than one in so many. */
const LEAST_TINTED = 10;

/** Chance that a piece under moire has its colour from a fringe that covers it whole. */
function chanceOfTint({ samples }: PieceInk): number {
  return 1 / Math.max(LEAST_TINTED, samples);
}

/** The odds of the inks if the colour may say nothing of the ink. */
function tinted(odds: Float64Array, chance: number): Float64Array {
  return chance === 0 ? odds : odds.map((p) => p * (1 - chance) + chance / odds.length);
}

/** Chance that a stroke in none of the drawing's colours is no crease: arrows, letters, marks. */
const MARK = 0.97;
/** So far from all inks on the colour plane is none of them (black to pure red is 0.58), beside what it was measured to. */
const OFF_GAP = 0.3;

function isOffColour({ colour, colourError }: PieceInk, { inks }: InkSorting): boolean {
  const [a, b] = hueOf(colour);
  const gaps = inks.map(({ direction }) => {
    const [x, y] = hueOf(direction);
    return Math.hypot(a - x, b - y);
  });
  return inks.length > 1 && Math.min(...gaps) > OFF_GAP + colourError;
}

/** What is likelier noise says nothing of the inks. */
const NOISE = 0.5;

/** Natural log of how much less likely an ink is the guide than the palest, greyest and rarest one, ink alone. */
const OTHER_GUIDE = 3;

/** An ink with more of the drawing than this is no guide, unless it looks it: where most lines are none, no law of folding speaks against it. */
const MOST_GUIDES = 0.5;

/**
 * Inks to be taken for the guide one after the other: first the one that looks it, then, of more than two colours, any with little of the drawing. Of strengths
 * and rhythms of one ink no other is.
 */
function guidesToTry({ inks, by, pale }: InkSorting): (number | undefined)[] {
  if (inks.length <= 2 || by !== 'colour' || pale !== undefined) return [undefined];
  return [undefined, ...[...inks.keys()].filter((i) => inks[i].share < MOST_GUIDES)];
}

/** What broken laws leave of the favour of a clear reading; under moire none is. */
const LEAST_OF_FAVOUR = 0.1;

/** Kinds that obey the laws so much worse than strewn ones, natural log, are none: colours for ridges and hinges, for layers or for steps. */
const WORSE_THAN_STREWN = -12;

/** The reading for which the ink and the folding laws together speak most. */
function likeliestReading<R extends { readonly odds: readonly Odds[]; readonly favour: number }>(
  graph: StrokeGraph,
  readings: readonly R[],
  moire: boolean,
): R {
  if (readings.length === 1) return readings[0];
  // People draw patterns that do not fold: a clear difference is one, unless another reading has the laws on its side.
  const weights = readings.map(({ odds, favour }) => {
    const evidence = lawEvidence(graph, odds);
    const least = moire || evidence < WORSE_THAN_STREWN ? -Infinity : LEAST_OF_FAVOUR * favour;
    return Math.max(favour + evidence, least);
  });
  return readings[weights.indexOf(Math.max(...weights))];
}

/** A hand draws creases from a corner or a side past each other by up to this, pattern units: that is no vertex inside the sheet. */
const PAST_BORDER = 0.015;

/** True where three or more pieces come together inside the sheet. */
function creasesMeet(graph: StrokeGraph, sheet: Sheet): boolean {
  const count = new Int32Array(graph.vertices.length);
  for (const { from, to } of graph.pieces) {
    count[from]++;
    count[to]++;
  }
  const sides = sidesOf(sheet.polygon);
  return graph.vertices.some(([x, y], v) => count[v] >= 3 && isInside(sides, x, y, PAST_BORDER));
}

function likeliest(odds: Odds, inkOdds: Float64Array, meanings: readonly Meaning[]): Kind {
  if (meanings.length === 0 || meanings.every((m) => m.kind === 'U')) return 'U';
  let best = 0;
  inkOdds.forEach((v, k) => {
    if (v > inkOdds[best]) best = k;
  });
  if (meanings[best].kind === 'U') return 'U';
  return odds.mountain >= odds.valley && odds.mountain >= odds.guide ? 'M' : odds.valley >= odds.guide ? 'V' : 'F';
}

/** Chance that a piece with this much of its length seen is no crease at all. */
function absence(coverage: number): number {
  return 1 / (1 + Math.exp((coverage - 0.38) * 14));
}

function pieceOdds(
  border: boolean,
  coverage: number,
  noise: number,
  inkOdds: Float64Array,
  meanings: readonly Meaning[],
): Odds {
  if (border) return { mountain: 0, valley: 0, edge: 1, guide: 0, absent: 0 };
  const here = (1 - absence(coverage)) * (1 - noise);
  let m = 0;
  let v = 0;
  let f = 0;
  inkOdds.forEach((p, k) => {
    const kind = meanings[k].kind;
    if (kind === 'M') m += p;
    else if (kind === 'V') v += p;
    else if (kind === 'F') f += p;
    else {
      m += p / 2;
      v += p / 2;
    }
  });
  const all = m + v + f || 1;
  return { mountain: (here * m) / all, valley: (here * v) / all, edge: 0, guide: (here * f) / all, absent: 1 - here };
}

function makeLegend(
  sorting: InkSorting,
  meanings: readonly Meaning[],
  kinds: readonly Kind[],
  graph: StrokeGraph,
  ink: InkField,
): LegendEntry[] {
  const best = sorting.odds.map((o) => o.indexOf(Math.max(...o)));
  const entries: LegendEntry[] = sorting.inks.map((k, i) => ({
    kind: meanings[i].kind,
    colour: meanings[i].colour,
    rhythm: k.rhythm,
    width: ink.strokeWidthPx,
    count: best.filter((b, p) => b === i && !graph.pieces[p].border).length,
    why: meanings[i].why,
    probability: meanings[i].probability,
  }));
  const border = kinds.filter((k) => k === 'B').length;
  entries.push({
    kind: 'B',
    colour: '#000000',
    rhythm: 'solid',
    width: ink.strokeWidthPx,
    count: border,
    why: 'the sides of the sheet',
    probability: 1,
  });
  return entries;
}
