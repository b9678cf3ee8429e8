import type { Draft, Part } from './draft.ts';

/** A stub is shorter than this, px, and than this share of what it goes on as. */
const STUB_PX = 14;
const STUB_SHARE = 1 / 3;
/** It goes on straight within this, radians: its own direction is known by a few px. */
const STRAIGHT = (8 * Math.PI) / 180;
/** Where it does not, it leads to a vertex that lies this near to the crease's own line, px: it is a neighbour's ink, over which the crease runs into that vertex. */
const NEAR_PX = 2.5;

/**
 * Short first pieces of a crease that have another kind than all the rest of it, or turn off it, take the crease's: nothing meets where the kind would change, so it cannot fold there
 * (Maekawa 1986: two creases at a vertex differ by two only if they are alike), and so near to a vertex the ink is that of its other creases or of an arrow's tip. Changes kinds of the draft.
 */
export function joinStubs(draft: Draft): void {
  const at = new Map<number, Part[]>();
  for (const part of draft.parts) {
    if (!part.present) continue;
    for (const v of [part.from, part.to]) at.set(v, [...(at.get(v) ?? []), part]);
  }
  for (const [v, met] of at) {
    if (met.length !== 2 || met.some(({ border }) => border)) continue;
    const [stub, rest] = lengthOf(draft, met[0]) < lengthOf(draft, met[1]) ? met : [met[1], met[0]];
    const most = Math.min(STUB_PX * draft.px, STUB_SHARE * lengthOf(draft, rest));
    if (!isFold(stub) || !isFold(rest) || lengthOf(draft, stub) > most) continue;
    if (turnAt(draft, v, stub, rest) > STRAIGHT) {
      leadOn(draft, v, stub, rest);
      continue;
    }
    if (stub.kind === rest.kind) continue;
    // What the ink says of the crease it says of all of it.
    draft.parts[draft.parts.indexOf(stub)] = { ...stub, kind: rest.kind, odds: rest.odds, belief: rest.belief };
  }
}

/** Lets the crease run on to the stub's far end where that lies on its line. */
function leadOn(draft: Draft, vertex: number, stub: Part, rest: Part): void {
  const end = stub.from === vertex ? stub.to : stub.from;
  const { nx, ny, off, dx, dy } = draft.carriers[rest.carrier];
  const [x, y] = draft.vertices[end];
  if (Math.abs(nx * x + ny * y - off) > NEAR_PX * draft.px) return;
  const t = dx * x + dy * y;
  draft.parts[draft.parts.indexOf(rest)] =
    rest.from === vertex ? { ...rest, from: end, t0: t } : { ...rest, to: end, t1: t };
  draft.parts[draft.parts.indexOf(stub)] = { ...stub, present: false };
}

const isFold = ({ kind }: Part): boolean => kind === 'M' || kind === 'V';

function lengthOf({ vertices }: Draft, { from, to }: Part): number {
  return Math.hypot(vertices[to][0] - vertices[from][0], vertices[to][1] - vertices[from][1]);
}

/** By how much one part turns from going on straight as the other, radians. */
function turnAt({ vertices }: Draft, vertex: number, one: Part, other: Part): number {
  const [a, b] = [one, other].map((part) => {
    const far = vertices[part.from === vertex ? part.to : part.from];
    return Math.atan2(far[1] - vertices[vertex][1], far[0] - vertices[vertex][0]);
  });
  return Math.abs(Math.PI - Math.abs(Math.atan2(Math.sin(a - b), Math.cos(a - b))));
}
