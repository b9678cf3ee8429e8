/** A border drawn close beside a sheet's edge: the outline is the border, however well the edge is covered by it. */
import { expect, it } from 'vitest';
import { allMarks, type Candidate } from '../../pipeline/rectify/candidates.ts';
import { straight } from '../../pipeline/rectify/curve.ts';
import { inkMap, workingCopy } from '../../pipeline/rectify/inkmap.ts';
import { findMarks } from '../../pipeline/rectify/marks.ts';
import type { WorkPoint } from '../../pipeline/rectify/polygon.ts';
import { refine } from '../../pipeline/rectify/refine.ts';
import type { SideKind } from '../../pipeline/rectify/rim.ts';
import { bar, paint, pixels } from '../ink/painted.ts';

const SIZE = 500;
const [LOW, HIGH] = [60, 433];
const STROKE = 3;
/** How far beyond the border the sheet ends on the right, px. */
const MARGIN = 3;
const RED = [220, 40, 40] as const;

it('is traced along its ink where a guess with the edge comes first', () => {
  const half = STROKE / 2;
  const light = paint(SIZE, SIZE, [
    bar([LOW, LOW], [HIGH, HIGH], 2, RED),
    bar([LOW, HIGH], [HIGH, LOW], 2, RED),
    bar([LOW, 250], [HIGH, 250], 2, RED),
    bar([LOW - half, LOW], [HIGH + half, LOW], STROKE),
    bar([HIGH, LOW - half], [HIGH, HIGH + half], STROKE),
    bar([HIGH + half, HIGH], [LOW - half, HIGH], STROKE),
    bar([LOW, HIGH + half], [LOW, LOW - half], STROKE),
  ]);
  const map = inkMap(workingCopy(pixels(SIZE, light)), 'dark-ink');
  const marks = findMarks(map, map.noise);
  const all = allMarks({ marks, known: [], onSheet: false }, map)!;
  const at = (v: number): number => v * map.scale + map.rim - 0.5;
  const guess = (right: number, kind: SideKind): Candidate => {
    const corners: WorkPoint[] = [
      [at(LOW), at(LOW)],
      [at(right), at(LOW)],
      [at(right), at(HIGH)],
      [at(LOW), at(HIGH)],
    ];
    return {
      sides: corners.map((p, i) => straight(p, corners[(i + 1) % 4])),
      kinds: ['ink', kind, 'ink', 'ink'],
      network: all,
      all,
      marks,
      map,
      quick: 1,
      mass: 1,
      reserved: false,
      looseness: 0,
      onSheet: true,
    };
  };
  const found = refine([guess(HIGH + MARGIN, 'sheet'), guess(HIGH, 'ink')]);
  expect(found?.kinds).toEqual(['ink', 'ink', 'ink', 'ink']);
  expect(Math.max(...found!.corners.map((p) => p[0]))).toBeCloseTo(at(HIGH), 0);
});
