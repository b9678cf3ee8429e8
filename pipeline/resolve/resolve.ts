import { checkPlanarGraph, planarLaws } from '../graph/check.ts';
import type { StrokeGraph } from '../graph/graph.ts';
import type { KindReading } from '../kinds/kinds.ts';
import type { LeftOut } from '../lattice/fit.ts';
import type { LatticeFit } from '../lattice/lattice.ts';
import { checkVertices } from '../laws/laws.ts';
import type { Lattice, LegendEntry, Pattern, Picture, Recovery, Sheet } from '../types.ts';
import { assemble, toPicturePx } from './assemble.ts';
import { creaseFindings } from './crease-doubts.ts';
import { type Finding, listDoubts } from './doubt-list.ts';
import { makeDraft } from './draft.ts';
import { commonStray, freePlaces } from './free-places.ts';
import { infer } from './infer.ts';
import { missingCreases } from './missing.ts';
import { leftOutFindings, pictureFindings, strayFindings } from './picture-doubts.ts';
import { placeFindings } from './place-doubts.ts';
import { seatOnGrid } from './seat.ts';
import { placeSpreadOf } from './structure.ts';
import { unusualGridFindings } from './unusual-grid.ts';
import { crossingFindings, vertexFindings } from './vertex-doubts.ts';

export interface ResolveInput {
  readonly picture: Picture;
  readonly sheet: Sheet;
  readonly lattice: LatticeFit;
  readonly guideGrid: Recovery['guideGrid'];
  /** True where a program drew the picture or a person gave the divisions: places are exact. */
  readonly isExact?: boolean;
  /** Ink that was taken for no crease before the lattice was sought. */
  readonly leftOut: readonly LeftOut[];
  readonly graph: StrokeGraph;
  readonly kinds: KindReading;
}

export type Resolved = Omit<Recovery, 'picture' | 'sheet' | 'timings'>;

/** Evidence and folding laws together: the pattern, how sure each crease is, and what to doubt. */
export function resolve(input: ResolveInput): Resolved {
  const { sheet, lattice, kinds, picture } = input;
  const draft = makeDraft(input.graph, kinds, 1 / sheet.pxPerUnit);
  const inference = infer(draft, kinds, lattice, sheet);
  const assembly = assemble(draft);
  const { creases, evidence } = assembly;
  const measured: Pattern = {
    vertices: assembly.vertices,
    exact: assembly.exact,
    creases,
    lattice: inference.lattice,
  };
  const adjusted = seatOnGrid(measured, freePlaces(measured, assembly, draft, sheet), draft.px);
  const pattern: Pattern = {
    ...measured,
    vertices: adjusted.vertices,
    exact: adjusted.exact,
    lattice: knownTo(inference.lattice, adjusted.spread),
  };
  const crossings = planarLaws(checkPlanarGraph(pattern));
  const laws = checkVertices(pattern);
  const ofCreases = creaseFindings(pattern, assembly, draft);
  const placeSpread = placeSpreadOf(draft, inference.lattice.residual);
  const missing = missingCreases(draft, placeSpread);
  const ofVertices = vertexFindings({
    pattern,
    evidence,
    laws,
    named: namedIn(ofCreases),
    changes: new Set(inference.kindChanges.map(({ vertex }) => assembly.vertexOf[vertex]).filter((v) => v >= 0)),
    split: new Map(
      [...draft.split].map(([v, apart]) => [assembly.vertexOf[v], apart] as const).filter(([v]) => v >= 0),
    ),
    mended: new Set(missing.flatMap(({ mends }) => mends.map((v) => assembly.vertexOf[v]))),
    strokeWidth: draft.strokeWidth,
    px: draft.px,
    placeSpread,
  });
  const legend = inference.isMisread ? kinds.legend.map(asOneInk) : kinds.legend;
  const findings = [
    ...ofCreases,
    ...ofVertices,
    ...crossingFindings(pattern, crossings),
    ...missing.map(({ finding }) => finding),
    ...placeFindings(pattern, adjusted.spread, commonStray(draft, sheet), sheet),
    ...(input.isExact || input.guideGrid ? [] : unusualGridFindings(pattern)),
    ...strayFindings(draft, inference.changes),
    ...leftOutFindings(input.leftOut),
  ];
  const ofPicture = pictureFindings(pattern, legend, sheet, namedIn(findings));
  return {
    pattern,
    evidence,
    outline: sheet.outline,
    legend,
    doubts: listDoubts([...findings, ...ofPicture], (at) => toPicturePx(at, sheet, lattice.bend, picture.scale)),
    laws: [...laws, ...crossings],
    guideGrid: input.guideGrid,
  };
}

/** Without a lattice places are as well known as the middle one of those that are not exact. */
function knownTo(lattice: Lattice, spread: Float64Array): Lattice {
  if (lattice.kind !== 'none') return lattice;
  const free = spread.filter((s) => s > 0).sort();
  return { ...lattice, residual: free[free.length >> 1] ?? 0 };
}

function namedIn(findings: readonly Finding[]): Set<number> {
  return new Set(findings.flatMap(({ crease }) => (crease === undefined ? [] : [crease])));
}

/** What the legend says where the inks told apart are one after all. */
function asOneInk(entry: LegendEntry): LegendEntry {
  if (entry.kind !== 'M' && entry.kind !== 'V') return entry;
  return {
    ...entry,
    kind: 'U',
    why: 'read as mountain and valley it breaks the folding laws nearly everywhere',
    probability: 1,
  };
}
