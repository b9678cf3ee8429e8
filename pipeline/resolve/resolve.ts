import type { StrokeGraph } from '../graph/graph.ts';
import type { KindReading } from '../kinds/kinds.ts';
import type { LatticeFit } from '../lattice/lattice.ts';
import { checkVertices } from '../laws/laws.ts';
import type { Doubt, Pattern, Picture, Recovery, Sheet } from '../types.ts';
import { assemble, toPicturePx } from './assemble.ts';
import { makeDraft } from './draft.ts';
import { infer } from './infer.ts';

export interface ResolveInput {
  readonly picture: Picture;
  readonly sheet: Sheet;
  readonly lattice: LatticeFit;
  readonly guideGrid: Recovery['guideGrid'];
  readonly graph: StrokeGraph;
  readonly kinds: KindReading;
}

export type Resolved = Omit<Recovery, 'picture' | 'sheet' | 'timings'>;

/** Evidence and folding laws together: the pattern, how sure each crease is, and what to doubt. */
export function resolve(input: ResolveInput): Resolved {
  const { sheet, lattice, kinds, picture } = input;
  const draft = makeDraft(input.graph, kinds, 1 / sheet.pxPerUnit);
  const fit = infer(draft, lattice, sheet);
  const assembly = assemble(draft);
  const pattern: Pattern = {
    vertices: assembly.vertices,
    exact: assembly.exact,
    creases: assembly.creases,
    lattice: fit.lattice,
  };
  const laws = checkVertices(pattern);
  const doubts: Doubt[] = [];
  pattern.creases.forEach((c, i) => {
    const o = assembly.evidence[i].odds;
    const p = Math.max(o.mountain, o.valley, o.edge, o.guide);
    if (p > 0.95 || c.kind === 'U') return;
    const a = pattern.vertices[c.from];
    const b = pattern.vertices[c.to];
    const at = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2] as const;
    doubts.push({
      what: o.absent > 0.05 ? 'crease-faint' : 'kind-unclear',
      crease: i,
      at,
      atPicture: toPicturePx(at, sheet, lattice.bend, picture.scale),
      facts: {},
      probability: p,
      instead: o.absent > 0.05 ? 'absent' : o.mountain > o.valley ? 'valley' : 'mountain',
    });
  });
  return {
    pattern,
    evidence: assembly.evidence,
    outline: sheet.outline,
    legend: kinds.legend,
    doubts,
    laws,
    guideGrid: input.guideGrid,
  };
}
