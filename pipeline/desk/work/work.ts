/** What the desk works on, as plain JSON: kept in the browser, beside the picture, and sent between page and server. */
import { ONE_QUESTION } from '../../report/gather.ts';
import type {
  BrokenLaw,
  Doubt,
  DoubtCode,
  Evidence,
  ExactPoint,
  Kind,
  LegendEntry,
  LegendRule,
  Outline,
  Pattern,
  PatternPoint,
  PicturePoint,
  Recovery,
  Sheet,
  StageName,
} from '../../types.ts';

/** Raised when work kept by an earlier version can no longer be read. */
export const WORK_VERSION = 1;

/** The straightened sheet without its pixels. */
export interface SheetFrame extends Pick<Sheet, 'pxPerUnit' | 'originPx' | 'width' | 'height' | 'polygon'> {
  readonly widthPx: number;
  readonly heightPx: number;
}

export interface PictureFacts {
  readonly name: string;
  readonly format: string;
  /** Upright original, px. */
  readonly fullWidth: number;
  readonly fullHeight: number;
}

/** What a person set before a picture was read again. */
export interface ReadingChoices {
  readonly corners?: readonly PicturePoint[];
  readonly divisions?: number;
  readonly legend?: readonly LegendRule[];
  readonly page?: number;
}

/** One reading of a picture; or a pattern file, which has no picture, sheet or outline. */
export interface Reading {
  readonly pattern: Pattern;
  readonly evidence: readonly Evidence[];
  readonly doubts: readonly Doubt[];
  readonly legend: readonly LegendEntry[];
  readonly outline: Outline | null;
  readonly guideGrid: Recovery['guideGrid'];
  readonly timings: Recovery['timings'];
  readonly sheet: SheetFrame | null;
  readonly picture: PictureFacts | null;
  readonly choices: ReadingChoices;
  /** What was changed or assumed on reading a pattern file, in sentences. */
  readonly notes: readonly string[];
}

/** A place for a vertex, with its exact coordinates where they are known. */
export interface Place {
  readonly at: PatternPoint;
  readonly exact: ExactPoint | null;
}

/** One step of mending. Indices are those of the state before the step. */
export type Edit =
  | { readonly what: 'kinds'; readonly kinds: readonly (readonly [crease: number, kind: Kind])[] }
  | { readonly what: 'erase'; readonly crease: number }
  | { readonly what: 'draw'; readonly from: Place; readonly to: Place; readonly kind: Kind }
  | { readonly what: 'move'; readonly vertex: number; readonly to: Place }
  /** A doubt is answered by leaving things as they are. */
  | { readonly what: 'accept'; readonly doubt: number }
  /** A vertex that breaks a law is left as it is. */
  | { readonly what: 'leave'; readonly vertex: number }
  | { readonly what: 'swap' }
  /** Puts vertices where lines cross or touch without one. */
  | { readonly what: 'join' }
  /** Goes on from another reading of the picture. */
  | { readonly what: 'read'; readonly reading: number };

export interface Work {
  readonly version: typeof WORK_VERSION;
  readonly id: string;
  /** The file's name, for people. */
  readonly name: string;
  readonly readings: readonly Reading[];
  /** Every step, those taken back at the end included. */
  readonly edits: readonly Edit[];
  /** How many of the steps are in force. */
  readonly done: number;
  /** Milliseconds since 1970. */
  readonly savedAt: number;
}

export interface DeskDoubt extends Doubt {
  /** Place in the reading's list of doubts. */
  readonly id: number;
  readonly settled: boolean;
}

/** What is on the desk after the steps in force. */
export interface DeskState {
  readonly reading: number;
  readonly pattern: Pattern;
  readonly evidence: readonly Evidence[];
  readonly doubts: readonly DeskDoubt[];
  /** Vertices whose broken laws a person has decided to leave. */
  readonly left: readonly number[];
}

/** The state in which a reading comes onto the desk. */
export function stateOf(readings: readonly Reading[], reading: number): DeskState {
  const { pattern, evidence, doubts } = readings[reading];
  return {
    reading,
    pattern,
    evidence,
    doubts: deskDoubts(doubts),
    left: [],
  };
}

/** Broken laws are found afresh after each step, and listed beside these. */
function deskDoubts(doubts: Reading['doubts']): DeskDoubt[] {
  const first = new Map<DoubtCode, number>();
  doubts.forEach(({ what }, id) => {
    if (!first.has(what)) first.set(what, id);
  });
  return doubts.flatMap((doubt, id): DeskDoubt[] => {
    if (doubt.what === 'law-broken') return [];
    if (!ONE_QUESTION.has(doubt.what)) return [{ ...doubt, id, settled: false }];
    const { crease: _, ...all } = doubt;
    return first.get(doubt.what) === id ? [{ ...all, id, settled: false }] : [];
  });
}

/** How far the reading of a picture has come. */
export type JobProgress =
  | { readonly state: 'waiting'; readonly ahead: number }
  | { readonly state: 'reading'; readonly stage: StageName | null; readonly share: number }
  | { readonly state: 'done' }
  | { readonly state: 'failed'; readonly problem: string }
  | { readonly state: 'cancelled' };

/** What the page sends for a report: how things stand on the desk, and the sheet's pixels as a JPEG in base 64. */
export interface ReportRequest {
  readonly name: string;
  readonly reading: Reading;
  readonly state: Pick<DeskState, 'pattern' | 'evidence' | 'doubts'>;
  readonly laws: readonly BrokenLaw[];
  readonly sheet: string;
}
