import type {
  BrokenLaw,
  Doubt,
  Evidence,
  Foldability,
  Kind,
  Lattice,
  LegendEntry,
  Outline,
  Recovery,
} from '../types.ts';
import { foldabilityWords } from './folding-words.ts';
import { doubtWhy, lawUnit, lawWhy } from './words.ts';

/** Raised when a key changes its meaning or goes; new keys may come without, as `foldability` did. */
export const REPORT_VERSION = 1;

export interface ReportCrease {
  /** Index into the FOLD file's edges. */
  readonly index: number;
  readonly kind: Kind;
  readonly odds: Evidence['odds'];
  readonly coverage: number;
  readonly residual: number;
  readonly origin: Evidence['origin'];
}

export interface ReportDoubt extends Doubt {
  /** One sentence for a person. */
  readonly why: string;
}

export interface ReportLaw extends BrokenLaw {
  /** What `amount` counts. */
  readonly unit: string;
  /** One sentence for a person. */
  readonly why: string;
}

export interface ReportFoldability extends Foldability {
  /** A few sentences for a person. */
  readonly summary: string;
}

/** Everything that is known and doubted about a recovery, as plain JSON. `report.schema.json` describes every key. */
export interface Report {
  readonly version: typeof REPORT_VERSION;
  readonly picture: {
    readonly name: string;
    readonly format: string;
    /** Upright, px. */
    readonly width: number;
    readonly height: number;
  };
  readonly outline: Outline;
  readonly lattice: Lattice | null;
  readonly guideGrid: Recovery['guideGrid'];
  readonly legend: readonly LegendEntry[];
  /** How many creases of each kind, by the letters of FOLD. */
  readonly counts: Readonly<Record<Kind, number>>;
  readonly creases: readonly ReportCrease[];
  /** Most doubtful first. */
  readonly doubts: readonly ReportDoubt[];
  readonly laws: readonly ReportLaw[];
  /** Null where only the laws at single vertices were looked at. */
  readonly foldability: ReportFoldability | null;
  /** Milliseconds by stage. */
  readonly timings: Readonly<Record<string, number>>;
}

/** The report of a recovery: its findings in the order in which a person should look at them, each with its sentence. */
export function makeReport(recovery: Recovery): Report {
  const { picture, outline, pattern, evidence, legend, guideGrid, timings, foldability = null } = recovery;
  const counts: Record<Kind, number> = { B: 0, M: 0, V: 0, F: 0, U: 0, C: 0 };
  for (const { kind } of pattern.creases) counts[kind]++;
  const kindOf = ({ crease }: Doubt) => (crease === undefined ? undefined : pattern.creases[crease]?.kind);
  return {
    version: REPORT_VERSION,
    picture: {
      name: picture.name,
      format: picture.format,
      width: picture.fullWidth,
      height: picture.fullHeight,
    },
    outline,
    lattice: pattern.lattice,
    guideGrid,
    legend,
    counts,
    creases: pattern.creases.map(({ kind }, index) => ({ index, kind, ...evidence[index] })),
    doubts: recovery.doubts
      .map((doubt) => ({ ...doubt, why: doubtWhy(doubt, kindOf(doubt)) }))
      .sort((a, b) => a.probability - b.probability),
    laws: recovery.laws.map((law) => ({ ...law, unit: lawUnit(law), why: lawWhy(law) })),
    foldability: foldability && {
      ...foldability,
      summary: foldabilityWords({ foldability, laws: recovery.laws, counts }),
    },
    timings,
  };
}
