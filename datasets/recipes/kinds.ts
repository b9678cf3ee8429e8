import type { Pattern, PicturePoint } from '../../pipeline/types.ts';
import type { Convention } from './convention.ts';
import type { FileFormat } from './file.ts';
import type { Random } from './random.ts';

export const pictureKinds = ['clean', 'small', 'scan', 'photo', 'hand', 'screen'] as const;
export type PictureKind = (typeof pictureKinds)[number];

export type Notes = Readonly<Record<string, string | number | boolean>>;

/** White space around the pattern, in shares of its longest side. */
export interface Margins {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

/** What each recipe hands back before the truth is attached. */
export interface Taken {
  readonly image: Buffer;
  readonly format: FileFormat;
  readonly corners: readonly PicturePoint[];
  readonly convention: Convention;
  readonly notes: Notes;
}

export type Recipe = (random: Random, pattern: Pattern, wide: boolean) => Promise<Taken>;

/** No white space, a little, or a lot; each side on its own. */
export function drawMargins(random: Random, tight: number): Margins {
  if (random.chance(tight)) return { left: 0, top: 0, right: 0, bottom: 0 };
  const [low, high] = random.pick([
    [0.01, 0.05],
    [0.04, 0.12],
    [0.1, 0.4],
  ] as const);
  const draw = (): number => random.range(low, high);
  return random.chance(0.5)
    ? { left: draw(), top: draw(), right: draw(), bottom: draw() }
    : ((m) => ({ left: m, top: m, right: m, bottom: m }))(draw());
}

export const isTight = (margins: Margins): boolean => margins.left === 0;
