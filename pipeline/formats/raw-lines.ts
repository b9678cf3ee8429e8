import type { Lattice } from '../types.ts';
import type { Lines } from './planarise.ts';

export type ReadNoteCode =
  | 'scaled'
  | 'crossings-split'
  | 'creases-cut'
  | 'vertices-joined'
  | 'creases-dropped'
  | 'kinds-conflict'
  | 'kinds-from-angles'
  | 'kinds-from-classes'
  | 'kinds-from-dashes'
  | 'kinds-from-colours'
  | 'kinds-unknown'
  | 'frame-chosen'
  | 'joins-dropped'
  | 'curves-skipped'
  | 'exact-ignored';

/** Something that the reader did to the file's lines, as data; `readNoteText` words it. */
export interface ReadNote {
  readonly what: ReadNoteCode;
  /** How many, or the frame's index. */
  readonly count?: number;
}

/** What a reader of one format hands on: lines in the file's own units, y up. */
export interface RawLines extends Lines {
  readonly lattice: Lattice | null;
  readonly notes: readonly ReadNote[];
  /** Vertices nearer than this are one, in units of the longest side. */
  readonly tolerance: number;
}
