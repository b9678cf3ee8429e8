/** What the stages before hand over for a true pattern drawn in two inks, for tests to spoil. */
import type { Piece } from '../../pipeline/graph/graph.ts';
import type { KindReading } from '../../pipeline/kinds/kinds.ts';
import type { PieceInk } from '../../pipeline/kinds/measure.ts';
import type { ResolveInput } from '../../pipeline/resolve/resolve.ts';
import type { Kind, LegendEntry, Odds, Pattern } from '../../pipeline/types.ts';
import { oddsOf } from './drafts.ts';
import { drawn } from './drawn.ts';

const SHARP = 6;

export interface MutableInput {
  input: ResolveInput;
  pieces: Piece[];
  kinds: Kind[];
  odds: Odds[];
  measured: PieceInk[];
  legend: LegendEntry[];
}

const NO_INK: PieceInk = {
  middle: [0.5, 0.5],
  colour: [0, 0, 0],
  colourError: 0,
  strength: 1,
  crest: 1,
  beat: new Uint8Array(0),
  core: new Float32Array(0),
  ridge: null,
  net: null,
  ends: 0,
  samples: 20,
  change: null,
};

export function inkOf(change: PieceInk['change']): PieceInk {
  return { ...NO_INK, change };
}

function entry(kind: Kind, colour: string, count: number): LegendEntry {
  return { kind, colour, rhythm: 'solid', width: 3, count, why: 'test', probability: 0.97 };
}

/** A clear drawing of the pattern; arrays may be changed before resolving. */
export function inputOf(pattern: Pattern, seed = 1, spreadPx = 0.3): MutableInput {
  const { graph, lattice, sheet, creaseOf } = drawn(pattern, spreadPx, seed);
  const kinds = creaseOf.map((c) => pattern.creases[c].kind);
  const odds = kinds.map((kind) => oddsOf(kind, kind === 'M' ? SHARP : -SHARP, 0.0005));
  const measured = kinds.map(() => inkOf(null));
  const count = (kind: Kind) => kinds.filter((k) => k === kind).length;
  const legend = [
    entry('M', '#d02020', count('M')),
    entry('V', '#2020d0', count('V')),
    entry('B', '#000000', count('B')),
  ];
  const pieces = [...graph.pieces];
  const ink = { strength: 1, crest: 1, rhythm: 'solid' as const, named: 1, filled: 1, share: 0.5 };
  const reading: KindReading = {
    kinds,
    odds,
    legend,
    measured,
    sorting: {
      inks: [
        { ...ink, direction: [0, 0.7, 0.7] },
        { ...ink, direction: [0.7, 0.7, 0] },
      ],
      by: 'colour',
      odds: kinds.map(() => new Float64Array(2)),
    },
    meanings: legend.slice(0, 2).map(({ kind, colour, why, probability }) => ({ kind, colour, why, probability })),
  };
  return {
    input: {
      picture: {
        raster: sheet.raster,
        name: 'test',
        format: 'png',
        fullWidth: 1100,
        fullHeight: 1100,
        scale: 1,
      },
      sheet,
      lattice,
      guideGrid: null,
      leftOut: [],
      graph: { ...graph, pieces },
      kinds: reading,
    },
    pieces,
    kinds,
    odds,
    measured,
    legend,
  };
}

/** Pieces that touch no edge of the sheet, both ends inside. */
export function innerPieces({ pieces }: MutableInput): number[] {
  const edge = new Set(pieces.filter((p) => p.border).flatMap((p) => [p.from, p.to]));
  return pieces.flatMap((p, i) => (p.border || edge.has(p.from) || edge.has(p.to) ? [] : [i]));
}
