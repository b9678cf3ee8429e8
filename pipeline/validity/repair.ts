import type { BrokenLaw, Pattern } from '../types.ts';
import type { Repair } from './verdict.ts';
export function findRepairs(_p: Pattern, _b: readonly BrokenLaw[], _t: number): Repair[] {
  return [];
}
