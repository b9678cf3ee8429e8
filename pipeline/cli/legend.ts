import { PlicaError } from '../errors.ts';
import { parseColour } from '../formats/colour.ts';
import type { LegendRule } from '../types.ts';

const KINDS = ['mountain', 'valley', 'edge', 'guide'] as const;
const RHYTHMS: Readonly<Record<string, LegendRule['rhythm']>> = {
  solid: 'solid',
  dashed: 'dashed',
  dashdot: 'dashdot',
  'dash-dot': 'dashdot',
  dashdotdot: 'dashdot',
  'dash-dot-dot': 'dashdot',
  dotted: 'dotted',
};
const EXAMPLE = 'write for example "mountain=#d22,valley=blue" or "mountain=dashdot,valley=dashed"';

/**
 * Reads a legend as a person types it: KIND=INK with commas between. KIND is mountain, valley, edge or guide; INK a colour
 * (#rgb, #rrggbb, a basic CSS name such as red or grey), a rhythm (solid, dashed, dashdot, dotted), thick or thin.
 *
 * @throws PlicaError `bad-option`
 */
export function parseLegend(text: string): LegendRule[] {
  const rules = text
    .split(',')
    .filter((part) => part.trim() !== '')
    .map(parseRule);
  if (rules.length === 0) throw new PlicaError('bad-option', 'the legend is empty', EXAMPLE);
  const seen = new Map<string, string>();
  for (const { kind, ...ink } of rules) {
    const key = JSON.stringify(ink);
    const other = seen.get(key);
    if (other !== undefined && other !== kind) {
      throw new PlicaError('bad-option', `the legend gives one ink to both ${other} and ${kind}`, EXAMPLE);
    }
    seen.set(key, kind);
  }
  return rules;
}

function parseRule(part: string): LegendRule {
  const [kindText, ink, ...rest] = part.split('=').map((word) => word.trim().toLowerCase());
  const kind = KINDS.find((name) => name === kindText);
  if (!kind || !ink || rest.length > 0) {
    throw new PlicaError('bad-option', `the legend's part "${part.trim()}" is not KIND=INK`, EXAMPLE);
  }
  const rhythm = RHYTHMS[ink];
  if (rhythm) return { kind, rhythm };
  if (ink === 'thick' || ink === 'thin') return { kind, width: ink };
  const colour = parseColour(ink);
  if (!colour) throw new PlicaError('bad-option', `"${ink}" is no colour, rhythm or width`, EXAMPLE);
  return { kind, colour: `#${colour.map((value) => value.toString(16).padStart(2, '0')).join('')}` };
}
