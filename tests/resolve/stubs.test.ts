/** The first px of a crease beside a vertex, where the ink is another's: two creases that meet alone fold flat only as one of one kind (Maekawa's theorem, Hull 1994). */
import { describe, expect, it } from 'vitest';
import type { Carrier } from '../../pipeline/graph/carriers.ts';
import type { Draft } from '../../pipeline/resolve/draft.ts';
import { joinStubs } from '../../pipeline/resolve/stubs.ts';
import type { Kind, PatternPoint } from '../../pipeline/types.ts';
import { oddsOf, partOf } from './drafts.ts';

const PX = 0.001;
const END: PatternPoint = [0.5, 0.5];

function carrier([ax, ay]: PatternPoint, [bx, by]: PatternPoint): Carrier {
  const length = Math.hypot(bx - ax, by - ay);
  const [dx, dy] = [(bx - ax) / length, (by - ay) / length];
  const unseen = { seen: new Uint8Array(0), beside: new Float32Array(0), residual: PX };
  return { nx: -dy, ny: dx, off: -dy * ax + dx * ay, dx, dy, grid: null, from: 0, to: 1, ...unseen };
}

/** A crease to `END` from the left whose last piece starts at `from`, and three others from there. */
function drafted(from: PatternPoint, kinds: readonly [stub: Kind, rest: Kind]): Draft {
  const vertices: PatternPoint[] = [[0.2, 0.5], from, END, [0.8, 0.5], [0.5, 0.9], [0.5, 0.1]];
  const lines: readonly [number, number, Kind][] = [
    [0, 1, kinds[1]],
    [1, 2, kinds[0]],
    [2, 3, 'M'],
    [2, 4, 'M'],
    [2, 5, 'V'],
  ];
  const carriers = lines.map(([a, b]) => carrier(vertices[a], vertices[b]));
  const parts = lines.map(([a, b, kind], i) => {
    const along = (v: number): number => carriers[i].dx * vertices[v][0] + carriers[i].dy * vertices[v][1];
    return partOf(
      { from: a, to: b, carrier: i, t0: along(a), t1: along(b) },
      kind,
      oddsOf(kind, kind === 'M' ? 5 : -5),
    );
  });
  const exact = vertices.map(() => null);
  return {
    measured: [...vertices],
    vertices,
    exact,
    parts,
    carriers,
    px: PX,
    strokeWidth: 0.003,
    meet: 0.005,
    split: new Map(),
  };
}

describe('the last px of a crease', () => {
  it('are of its kind where nothing else meets it there', () => {
    const draft = drafted([0.493, 0.5], ['M', 'V']);
    joinStubs(draft);
    expect(draft.parts[1].kind).toBe('V');
    expect(draft.parts[1].odds.valley).toBeGreaterThan(0.9);
  });

  it('are another piece where they are no short ones', () => {
    const draft = drafted([0.44, 0.5], ['M', 'V']);
    joinStubs(draft);
    expect(draft.parts[1].kind).toBe('M');
  });

  it('are left out where they turn off into a vertex on its own line: it runs on into that', () => {
    const draft = drafted([0.493, 0.502], ['M', 'V']);
    // The crease itself leads to the vertex; only its last px were taken for a neighbour's.
    const straight = carrier([0.2, 0.5], [0.5, 0.5015]);
    const turned: Draft = { ...draft, carriers: [straight, ...draft.carriers.slice(1)] };
    joinStubs(turned);
    expect(turned.parts[1].present).toBe(false);
    expect(turned.parts[0]).toMatchObject({ from: 0, to: 2, kind: 'V', present: true });
  });

  it('lead to another vertex where that lies off its line', () => {
    const draft = drafted([0.493, 0.506], ['M', 'V']);
    joinStubs(draft);
    expect(draft.parts[1].present).toBe(true);
    expect(draft.parts[0].to).toBe(1);
  });
});
