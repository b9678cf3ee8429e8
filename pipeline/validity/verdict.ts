import type { Faces } from '../graph/faces.ts';
import type { BrokenLaw, Kind, PatternPoint } from '../types.ts';
import type { Layers } from './layers.ts';
import type { Orders } from './orders.ts';
import type { FoldedPosition } from './position.ts';
import type { LayerProblem } from './problem.ts';

/** One change to a pattern, tried out. */
export interface Repair {
  readonly change:
    | { readonly what: 'swap-kind'; readonly creases: readonly number[]; readonly to: Kind }
    | { readonly what: 'add-crease'; readonly from: PatternPoint; readonly to: PatternPoint; readonly kind: 'M' | 'V' }
    | { readonly what: 'drop-crease'; readonly crease: number }
    | { readonly what: 'move-vertex'; readonly vertex: number; readonly to: PatternPoint }
    | { readonly what: 'set-kinds'; readonly kinds: readonly (readonly [crease: number, kind: 'M' | 'V'])[] };
  /** folds: with this change alone the whole sheet folds flat; here: the laws hold again at this place, others stay broken. */
  readonly result: 'folds' | 'here';
  /** Places in Verdict.broken that the change mends. */
  readonly mends: readonly number[];
}

/** A crease that came undecided, and what folding says of it. */
export interface SolvedKind {
  readonly crease: number;
  /** Its kind in the state found. */
  readonly kind: 'M' | 'V';
  /** forced: the same in every state; free: some state has the other kind; unclear: there was no time to tell. */
  readonly how: 'forced' | 'free' | 'unclear';
}

/** A sheet folded flat, with everything needed to draw it. */
export interface FoldedSheet {
  readonly faces: Faces;
  readonly position: FoldedPosition;
  readonly problem: LayerProblem;
  /** Which piece lies above which, whole. */
  readonly orders: Orders;
  /** Groups of open pairs that can be chosen apart; those counted in full can be gone through. */
  readonly groups: Layers['groups'];
}

export interface Undecided {
  /**
   * time: the limit was reached; size: too many overlapping layers to hold; coarse: positions are too uncertain for the size of
   * the creases; parts: cuts part the sheet.
   */
  readonly why: 'time' | 'size' | 'coarse' | 'parts';
  /** Faces whose order is not decided. */
  readonly faces: readonly number[];
  /** Overlapping pairs of faces whose order is certain, of all. */
  readonly certainPairs: number;
  readonly pairs: number;
}

export interface Verdict {
  readonly verdict: 'folds' | 'does-not' | 'undecided';
  readonly broken: readonly BrokenLaw[];
  /** Number of layer orders (over all kinds of undecided creases), one face kept face up; null where none was found. */
  readonly states: { readonly count: bigint; readonly atLeast: boolean } | null;
  readonly kinds: readonly SolvedKind[];
  readonly folded: FoldedSheet | null;
  readonly undecided: Undecided | null;
  readonly repairs: readonly Repair[];
  readonly facts: {
    readonly faces: number;
    /** Pieces that overlap, in pairs. */
    readonly pairs: number;
    /** Share of folded corners known exactly, 0..1. */
    readonly exactShare: number;
    /** Folded points nearer than this were taken as one, pattern units. */
    readonly tolerance: number;
    readonly ms: number;
  };
}
