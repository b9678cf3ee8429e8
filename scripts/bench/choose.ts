import { makePattern, type NamedPattern, type PatternFamily } from '../../datasets/patterns/patterns.ts';
import { seededRandom } from '../../datasets/recipes/random.ts';
import type { PictureKind } from '../../datasets/recipes/recipes.ts';

/** What people draw most comes first: box pleating, then grids and 22.5 degrees. */
const FAMILIES: readonly (readonly [PatternFamily, number])[] = [
  ['box', 5],
  ['pleat', 3.5],
  ['grid', 2.5],
  ['angle22', 2],
  ['free', 1],
  ['base', 0.7],
  ['miura', 0.5],
  ['waterbomb', 0.5],
  ['twist', 0.5],
  ['rectangle', 0.5],
  ['polygon', 0.3],
];
/** Crease counts that people draw: by hand fewer, and small pictures cannot hold the densest. */
const MOST_CREASES: Readonly<Record<PictureKind, number>> = {
  clean: 1200,
  small: 900,
  scan: 1200,
  photo: 1200,
  hand: 260,
  screen: 900,
};
const FEWEST_CREASES = 40;
/** Shortest crease that each kind of picture can show, pattern units. */
const SHORTEST_CREASE: Readonly<Record<PictureKind, number>> = {
  clean: 1 / 140,
  small: 1 / 80,
  scan: 1 / 140,
  photo: 1 / 130,
  hand: 1 / 40,
  screen: 1 / 80,
};

function shortest({ pattern }: NamedPattern): number {
  let least = 1;
  for (const { from, to } of pattern.creases) {
    const [a, b] = [pattern.vertices[from], pattern.vertices[to]];
    least = Math.min(least, Math.hypot(a[0] - b[0], a[1] - b[1]));
  }
  return least;
}

/** The pattern that goes with a kind of picture and a seed: the first fitting one of a fixed sequence. */
export function benchPattern(kind: PictureKind, seed: number): NamedPattern {
  const random = seededRandom(seed, `pattern for ${kind}`);
  for (let attempt = 0; ; attempt++) {
    const family = random.weigh(FAMILIES);
    const named = makePattern(family, random.int(seed * 64, seed * 64 + 63));
    const count = named.pattern.creases.length;
    const fits = count <= MOST_CREASES[kind] && (count >= FEWEST_CREASES || family === 'base');
    if ((fits && shortest(named) >= SHORTEST_CREASE[kind]) || attempt >= 40) return named;
  }
}
