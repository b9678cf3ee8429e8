/** What is doubtful about single creases. */
import type { Kind, KindOfOdds, Odds, Pattern } from '../types.ts';
import type { Assembly } from './assemble.ts';
import { type Finding, middleOf } from './doubt-list.ts';
import type { Draft } from './draft.ts';

/** A crease whose kind or presence is surer than this is not worth a person's time. */
const WORTH_ASKING = 0.92;
/** Ink that leaned this far towards another kind than the one shown is a conflict with the laws, not merely unclear. */
const LEANED = 0.7;
/** The laws may settle that, but not against ink that was as clear as this without a word. */
const CLEAR_INK = 0.9;
const SETTLED = 0.97;

export const NAME_OF: Readonly<Record<Kind, KindOfOdds | 'other'>> = {
  M: 'mountain',
  V: 'valley',
  B: 'edge',
  F: 'guide',
  U: 'other',
  C: 'other',
};

/** Creases whose ink is faint, whose kind is unclear, or whose ink and laws disagree. */
export function creaseFindings(pattern: Pattern, assembly: Assembly, draft: Draft): Finding[] {
  return pattern.creases.flatMap(({ kind }, crease): Finding[] => {
    if (kind === 'B' || kind === 'C') return [];
    const belief = assembly.evidence[crease].odds;
    const here = 1 - belief.absent;
    const at = middleOf(pattern, crease);
    const found: Finding[] = [];
    const parts = assembly.partsOf[crease].map((p) => draft.parts[p]);
    if (parts.every(({ origin }) => origin === 'inferred')) {
      found.push({ what: 'crease-missing', crease, at, probability: here, instead: 'absent' });
    } else if (here < WORTH_ASKING) {
      found.push({ what: 'crease-faint', crease, at, probability: here, instead: 'absent' });
    }
    if (kind === 'U') return found;
    const shown = belief[NAME_OF[kind] as KindOfOdds] / Math.max(here, 1e-9);
    const ink = shareOfInk(parts.map(({ odds }) => odds));
    const seen = likeliest(ink);
    const leaned = ink[seen] > (shown > SETTLED ? CLEAR_INK : LEANED);
    const conflict = seen !== NAME_OF[kind] ? leaned : shown < 0.5;
    if (conflict || shown < WORTH_ASKING) {
      found.push({
        what: conflict ? 'kind-conflict' : 'kind-unclear',
        crease,
        at,
        facts: conflict ? { seen } : {},
        probability: shown,
        instead: otherThan(belief, kind),
      });
    }
    return found;
  });
}

function shareOfInk(all: readonly Odds[]): Record<'mountain' | 'valley' | 'guide', number> {
  let [mountain, valley, guide] = [0, 0, 0];
  for (const odds of all) {
    mountain += odds.mountain;
    valley += odds.valley;
    guide += odds.guide;
  }
  const sum = mountain + valley + guide || 1;
  return { mountain: mountain / sum, valley: valley / sum, guide: guide / sum };
}

function likeliest(odds: Record<'mountain' | 'valley' | 'guide', number>): 'mountain' | 'valley' | 'guide' {
  if (odds.guide > odds.mountain && odds.guide > odds.valley) return 'guide';
  return odds.mountain >= odds.valley ? 'mountain' : 'valley';
}

function otherThan(odds: Odds, kind: Kind): KindOfOdds {
  let best: KindOfOdds = kind === 'M' ? 'valley' : 'mountain';
  for (const name of ['mountain', 'valley', 'guide'] as const) {
    if (name !== NAME_OF[kind] && odds[name] > odds[best]) best = name;
  }
  return best;
}
