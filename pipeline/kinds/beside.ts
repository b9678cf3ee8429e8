/** Kinds with the help of a legend that is printed beside the pattern. */
import type { Bend } from '../geometry/bend.ts';
import type { StrokeGraph } from '../graph/graph.ts';
import type { InkField } from '../ink/ink.ts';
import { type PossibleLegend, type PrintedLegend, possibleLegends, readPrintedLegend } from '../legend/legend.ts';
import type { LegendRule, Picture, RecoverOptions, Sheet } from '../types.ts';
import type { InkSorting } from './inks.ts';
import { type KindReading, readKinds } from './kinds.ts';
import { isOfInks } from './printed.ts';

/** Reads the legend beside one picture's pattern, whose inks were sorted so. */
export type LegendBeside = (sheet: Sheet, ink: InkField, sorting: InkSorting) => Promise<PrintedLegend | null>;

/** The legend is sought and read once however often it is asked for; there is none where a person says which ink is mountain or valley. */
export function legendBeside(picture: Picture, { legend = [] }: RecoverOptions): LegendBeside {
  if (legend.some(({ kind }) => kind === 'mountain' || kind === 'valley')) return async () => null;
  let untried: readonly PossibleLegend[] | undefined;
  let found: PrintedLegend | null = null;
  return async (sheet, ink, sorting) => {
    untried ??= possibleLegends(picture, sheet, ink);
    const like = untried.filter(({ inks, strokePx }) => isOfInks(sorting, inks, strokePx));
    untried = untried.filter((one) => !like.includes(one));
    found ??= await readPrintedLegend(like);
    return found;
  };
}

/** The kinds by ink, notation and custom; where these tell two inks apart and a legend names them, by that. `legend` is the user's. */
export async function readKindsBeside(
  graph: StrokeGraph,
  ink: InkField,
  sheet: Sheet,
  bend: Bend,
  legend: readonly LegendRule[],
  beside: LegendBeside,
): Promise<KindReading> {
  const unaided = readKinds(graph, ink, sheet, bend, legend);
  const tellsTwo = ['M', 'V'].every((kind) => unaided.meanings.some((meaning) => meaning.kind === kind));
  const printed = tellsTwo ? await beside(sheet, ink, unaided.sorting) : null;
  return printed ? readKinds(graph, ink, sheet, bend, legend, printed) : unaided;
}
