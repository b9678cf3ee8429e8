import { PlicaError } from '../../errors.ts';
import type { LegendRule, PicturePoint } from '../../types.ts';
import type { ReadingChoices } from './work.ts';

/** A grid finer than a picture of 2600 px can show. */
export const MOST_DIVISIONS = 512;
const KINDS = ['mountain', 'valley', 'edge', 'guide'];
const RHYTHMS = ['solid', 'dashed', 'dashdot', 'dotted'];
const WIDTHS = ['thick', 'thin'];

/**
 * The choices of a person as they come from the page.
 *
 * @throws PlicaError `bad-option`
 */
export function checkChoices(value: unknown): ReadingChoices {
  if (!isRecord(value)) throw bad('the choices are not understood');
  const { corners, divisions, legend, page } = value;
  return {
    ...(corners !== undefined && { corners: checkCorners(corners) }),
    ...(divisions !== undefined && { divisions: checkWhole(divisions, MOST_DIVISIONS, 'divisions') }),
    ...(legend !== undefined && { legend: checkLegend(legend) }),
    ...(page !== undefined && { page: checkWhole(page, Number.MAX_SAFE_INTEGER, 'page') }),
  };
}

function checkCorners(value: unknown): PicturePoint[] {
  const isPoint = (p: unknown) => Array.isArray(p) && p.length === 2 && p.every(Number.isFinite);
  if (!Array.isArray(value) || value.length < 4 || value.length > 64 || !value.every(isPoint)) {
    throw bad('the corners are not understood');
  }
  return value as PicturePoint[];
}

function checkWhole(value: unknown, most: number, name: string): number {
  if (!Number.isInteger(value) || (value as number) < 1 || (value as number) > most) {
    throw bad(`the number for ${name} must be a whole one from 1 to ${most}`);
  }
  return value as number;
}

function checkLegend(value: unknown): LegendRule[] {
  const isRule = (rule: unknown): boolean =>
    isRecord(rule) &&
    KINDS.includes(rule.kind as string) &&
    (rule.colour === undefined || /^#[0-9a-f]{6}$/i.test(String(rule.colour))) &&
    (rule.rhythm === undefined || RHYTHMS.includes(rule.rhythm as string)) &&
    (rule.width === undefined || WIDTHS.includes(rule.width as string));
  if (!Array.isArray(value) || value.length > 64 || !value.every(isRule)) throw bad('the inks are not understood');
  return value as LegendRule[];
}

const bad = (what: string) => new PlicaError('bad-option', what, 'change it and try again');

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
