import type { Carrier } from '../graph/carriers.ts';
import type { StrokeGraph } from '../graph/graph.ts';
import type { KindReading } from '../kinds/kinds.ts';
import type { ColourChange } from '../kinds/measure.ts';
import type { ExactPoint, Kind, Odds, PatternPoint } from '../types.ts';

/** A straight piece between neighbouring vertices while it is being decided. */
export interface Part {
  from: number;
  to: number;
  readonly carrier: number;
  /** Positions along the carrier, pattern units, of `from` and `to`; t0 < t1. */
  t0: number;
  t1: number;
  readonly border: boolean;
  readonly coverage: number;
  /** From ink alone. */
  readonly odds: Odds;
  /** From ink and laws. */
  belief: Odds;
  /** What the ink says, then what is decided. */
  kind: Kind;
  /** Whether it is part of the pattern; false for a candidate or what was dropped. */
  present: boolean;
  readonly origin: 'seen' | 'inferred';
  /** Where the ink's colour changes along it, from `from` on. */
  readonly change: ColourChange | null;
}

/** The drawing while it is being decided: vertices, the parts between them, the lines that carry these. */
export interface Draft {
  /** Places as measured, and as they are for now: exact where that is known. */
  readonly measured: PatternPoint[];
  vertices: PatternPoint[];
  exact: (ExactPoint | null)[];
  readonly parts: Part[];
  readonly carriers: readonly Carrier[];
  /** Pattern units to a paper px. */
  readonly px: number;
  /** Typical stroke width, pattern units. */
  readonly strokeWidth: number;
  /** Lines that cross within this of each other were joined in one vertex, pattern units. */
  meet: number;
  /** Vertices that were drawn as two, and how far apart these were, pattern units. */
  readonly split: Map<number, number>;
}

/** Pieces with their kinds become parts; pieces that were hardly seen stand by as candidates. */
export function makeDraft(graph: StrokeGraph, reading: KindReading, px: number): Draft {
  const paleness = palenessOf(graph, reading);
  const seen = graph.pieces.map((p, i): Part => {
    const odds = fainter(reading.odds[i], paleness[i]);
    return {
      from: p.from,
      to: p.to,
      carrier: p.carrier,
      t0: p.t0,
      t1: p.t1,
      border: p.border,
      coverage: p.coverage,
      odds,
      belief: odds,
      kind: reading.kinds[i],
      present: true,
      origin: 'seen',
      change: reading.measured[i]?.change ?? null,
    };
  });
  const candidates = graph.rejected.map(
    (p): Part => ({
      from: p.from,
      to: p.to,
      carrier: p.carrier,
      t0: p.t0,
      t1: p.t1,
      border: false,
      coverage: p.coverage,
      odds: hardlySeen(p.coverage),
      belief: hardlySeen(p.coverage),
      kind: 'U',
      present: false,
      origin: 'inferred',
      change: null,
    }),
  );
  return {
    measured: [...graph.vertices],
    vertices: [...graph.vertices],
    exact: graph.vertices.map(() => null),
    parts: [...seen, ...candidates],
    carriers: graph.carriers,
    px,
    strokeWidth: (reading.legend[0]?.width ?? 1) * px,
    meet: graph.meet,
    split: new Map(),
  };
}

/** Share of its ink's usual strength at which a piece is as likely no stroke of it, and how fast that turns. */
const EVEN_STRENGTH = 0.3;
const STRENGTH_SLOPE = 18;

/**
 * Chance that each piece is too pale to be a stroke of the ink that it is taken for: a printed grid, a shadow, the print of
 * the other side.
 */
function palenessOf(graph: StrokeGraph, { sorting, measured }: KindReading): Float64Array {
  const inkOf = sorting.odds.map((odds) => odds.indexOf(Math.max(...odds)));
  const usual = sorting.inks.map((_, ink) => {
    const own = measured.flatMap(({ strength, samples }, i) =>
      inkOf[i] === ink && samples > 0 && !graph.pieces[i].border ? [strength] : [],
    );
    own.sort((a, b) => a - b);
    return own.length > 0 ? own[own.length >> 1] : 0;
  });
  return Float64Array.from(graph.pieces, ({ border }, i) => {
    const strength = measured[i]?.samples > 0 ? measured[i].strength : 0;
    const most = usual[inkOf[i]] ?? 0;
    if (border || most === 0 || strength === 0) return 0;
    return 1 / (1 + Math.exp((strength / most - EVEN_STRENGTH) * STRENGTH_SLOPE));
  });
}

function fainter(odds: Odds, paleness: number): Odds {
  const rest = 1 - paleness;
  return {
    mountain: odds.mountain * rest,
    valley: odds.valley * rest,
    edge: odds.edge * rest,
    guide: odds.guide * rest,
    absent: 1 - (1 - odds.absent) * rest,
  };
}

/** Coverage at which a piece is as likely a crease as not, and how fast that turns. */
const EVEN_COVERAGE = 0.4;
const COVERAGE_SLOPE = 12;

/** Odds of a piece of which only this share was seen, kind unknown. */
export function hardlySeen(coverage: number): Odds {
  const here = 1 / (1 + Math.exp((EVEN_COVERAGE - coverage) * COVERAGE_SLOPE));
  return { mountain: here / 2, valley: here / 2, edge: 0, guide: 0, absent: 1 - here };
}

/** Parts that are present, at each vertex. */
export function partsAt(draft: Draft): number[][] {
  const at: number[][] = draft.vertices.map(() => []);
  draft.parts.forEach(({ from, to, present }, i) => {
    if (!present) return;
    at[from].push(i);
    at[to].push(i);
  });
  return at;
}
