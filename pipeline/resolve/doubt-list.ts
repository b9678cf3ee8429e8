import type { Doubt, DoubtCode, KindOfOdds, Pattern, PatternPoint, PicturePoint } from '../types.ts';

/** A doubt before it has its place on the picture. */
export interface Finding {
  readonly what: DoubtCode;
  readonly crease?: number;
  readonly vertex?: number;
  readonly at: PatternPoint;
  readonly facts?: Doubt['facts'];
  readonly probability: number;
  readonly instead: KindOfOdds | 'other' | null;
}

export function middleOf(pattern: Pattern, crease: number): PatternPoint {
  const { from, to } = pattern.creases[crease];
  const [a, b] = [pattern.vertices[from], pattern.vertices[to]];
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}

/** One doubt a crease, the gravest; most doubtful first. */
export function listDoubts(findings: readonly Finding[], toPicture: (at: PatternPoint) => PicturePoint): Doubt[] {
  const named = new Map<number, Finding>();
  const rest: Finding[] = [];
  for (const finding of findings) {
    if (finding.crease === undefined) {
      rest.push(finding);
      continue;
    }
    const known = named.get(finding.crease);
    if (!known || finding.probability < known.probability) named.set(finding.crease, finding);
  }
  return [...named.values(), ...rest]
    .sort((a, b) => a.probability - b.probability)
    .map((finding) => ({ ...finding, atPicture: toPicture(finding.at), facts: finding.facts ?? {} }));
}
