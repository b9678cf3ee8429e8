/** What a generated pattern carries besides itself. */
import type { Pattern } from '../../pipeline/types.ts';

export type PatternFamily =
  | 'base'
  | 'pleat'
  | 'grid'
  | 'angle22'
  | 'free'
  | 'miura'
  | 'waterbomb'
  | 'twist'
  | 'box'
  | 'rectangle'
  | 'polygon'
  | 'reverse'
  | 'guided';

export interface NamedPattern {
  readonly name: string;
  readonly family: PatternFamily;
  readonly pattern: Pattern;
  /** Where it comes from, one sentence. */
  readonly source: string;
  /**
   * folded: it was folded layer by layer, so a flat state exists by construction; known: a traditional or published
   * flat fold; local: every vertex folds flat by itself, the whole may not.
   */
  readonly lawful: 'folded' | 'known' | 'local';
}
