/** A border whose lines end in corners of their own is no border of the wider sheet around it. */
import { describe, expect, it } from 'vitest';
import { straight } from '../../pipeline/rectify/curve.ts';
import { type Evidence, weigh } from '../../pipeline/rectify/evidence.ts';
import type { Marks } from '../../pipeline/rectify/marks.ts';
import { findNetworks } from '../../pipeline/rectify/networks.ts';

type Line = readonly [ax: number, ay: number, bx: number, by: number];

const WIDE = 500;
const HIGH = 440;

function marksOf(lines: readonly Line[]): Marks {
  const column = (k: number) => Float32Array.from(lines, (line) => line[k]);
  const length = Float32Array.from(lines, ([ax, ay, bx, by]) => Math.hypot(bx - ax, by - ay));
  return {
    pieces: {
      count: lines.length,
      ax: column(0),
      ay: column(1),
      bx: column(2),
      by: column(3),
      length,
      contrast: new Float32Array(lines.length).fill(60),
      chain: Int32Array.from(lines, (_, i) => i),
    },
    chains: lines.map(([ax, ay, bx, by], i) => ({
      ...{ ax, ay, bx, by, inkLength: length[i], contrast: 60, bend: 0 },
      pieces: [i],
    })),
  };
}

/** What the lines say of the rectangle from (40, 40) to (right, 400). */
function evidenceOf(lines: readonly Line[], right: number): Evidence {
  const marks = marksOf(lines);
  const [network] = findNetworks(marks, WIDE, HIGH, { reach: WIDE, takes: () => true, leastExtent: 0 });
  // Clockwise on the screen: bottom, left, top, right.
  const sides = [
    straight([right, 400], [40, 400]),
    straight([40, 400], [40, 40]),
    straight([40, 40], [right, 40]),
    straight([right, 40], [right, 400]),
  ];
  return weigh(marks, network, network, sides);
}

describe('the ends of drawn sides', () => {
  const square: readonly Line[] = [
    [40, 40, 400, 40],
    [400, 40, 400, 400],
    [400, 400, 40, 400],
    [40, 400, 40, 40],
  ];
  const diagonals: readonly Line[] = [
    [40, 220, 220, 40],
    [220, 40, 400, 220],
    [400, 220, 220, 400],
    [220, 400, 40, 220],
  ];

  it('all meet on the border itself', () => {
    expect(evidenceOf([...square, ...diagonals], 400)).toMatchObject({ bareEnds: 0, stopsShort: 0 });
  });

  it('stop short of a bare edge beyond the border, one above and one below', () => {
    expect(evidenceOf([...square, ...diagonals], 440)).toMatchObject({ bareEnds: 0, stopsShort: 2 });
  });

  it('run up to a bare edge where that is the border of the sheet', () => {
    const open = [...square.filter((_, i) => i !== 1), ...diagonals];
    expect(evidenceOf(open, 400)).toMatchObject({ bareEnds: 0, stopsShort: 0 });
  });

  it('stop short of a drawn side where a corner is worn away', () => {
    const worn = [[70, 40, 400, 40] as const, ...square.slice(1), ...diagonals];
    expect(evidenceOf(worn, 400)).toMatchObject({ bareEnds: 1, stopsShort: 0 });
  });

  it('run on where a crease beside the border is taken for it', () => {
    const beside = [...square, ...diagonals, [370, 40, 370, 400] as const];
    expect(evidenceOf(beside, 370)).toMatchObject({ runsOn: 2 });
    expect(evidenceOf(beside, 400)).toMatchObject({ runsOn: 0 });
  });
});
