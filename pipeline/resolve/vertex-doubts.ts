/** What is doubtful about single vertices. */
import { creasesAround } from '../laws/around.ts';
import type { BrokenLaw, Evidence, Pattern } from '../types.ts';
import { NAME_OF } from './crease-doubts.ts';
import type { Finding } from './doubt-list.ts';
import { isSound, type Ray } from './soundness.ts';

/** How often what is shown at such a place is right; measured on drawn pictures (see the bench). */
const RIGHT = {
  dangling: 0.3,
  offLattice: 0.55,
  tooClose: 0.6,
  kindChanges: 0.5,
  /** The likeliest reason for a broken law, and the other creases at that vertex. */
  broken: 0.6,
  /** Creases at a vertex that was drawn as two. */
  split: 0.85,
  beside: 0.75,
  /** The pieces of the sheet's edge on which these creases end: where a crease is wrong, so is the way it divides the edge. */
  edge: 0.85,
  /** Creases at broken vertices where laws are broken nearly everywhere, on a lattice and off it. */
  clear: 0.75,
  lost: 0.3,
  /** Creases that cross, touch or overlap where there is no vertex. */
  crossing: 0.5,
};
/**
 * Where more than this share of the inner vertices breaks laws, at least so many, the reason is not one crease here and
 * there. On a lattice the drawing is clear and may leave lines out, as published patterns do: most of its creases are right.
 * Off it, the drawing was not understood.
 */
const BROKEN_SHARE = 0.25;
const LEAST_BROKEN = 12;
/** Vertices on a lattice, as a share, that make one off it remarkable. */
const LATTICE_RULES = 0.8;
/** Vertices closer than this cannot be told apart well, stroke widths. */
const APART_WIDTHS = 1.6;

export interface VertexFindings {
  readonly pattern: Pattern;
  readonly evidence: readonly Evidence[];
  readonly laws: readonly BrokenLaw[];
  /** Creases that have a doubt already. */
  readonly named: ReadonlySet<number>;
  /** Pattern vertices where a line changes its kind with nothing crossing. */
  readonly changes: ReadonlySet<number>;
  /** Pattern vertices that were drawn as two, and how far apart these were, pattern units. */
  readonly split: ReadonlyMap<number, number>;
  /** Pattern vertices that a proposed crease would mend. */
  readonly mended: ReadonlySet<number>;
  /** Pattern units. */
  readonly strokeWidth: number;
  readonly px: number;
  /** Spread of measured places, pattern units. */
  readonly placeSpread: number;
}

/** Ends inside the paper, broken laws, places off the lattice or too close together. A broken law names all creases at its vertex, the others the least sure. */
export function vertexFindings(input: VertexFindings): Finding[] {
  const { pattern, evidence, laws, changes } = input;
  const around = creasesAround(pattern);
  const named = new Set(input.named);
  const found: Finding[] = [];
  const creasesAt = (v: number) => [...around.crease.subarray(around.start[v], around.start[v + 1])];
  const sureness = (c: number) => {
    const name = NAME_OF[pattern.creases[c].kind];
    const odds = evidence[c].odds;
    return name === 'other' ? 1 - odds.absent : odds[name];
  };
  /** The crease that is likeliest to blame: the least sure, then the one with least ink, then the shortest. */
  const suspect = (creases: readonly number[]): number | undefined =>
    creases
      .filter((c) => pattern.creases[c].kind !== 'B')
      .sort(
        (a, b) => sureness(a) - sureness(b) || evidence[a].coverage - evidence[b].coverage || length(a) - length(b),
      )[0];
  /** Creases without which the vertex could fold flat by its directions. */
  const superfluous = (v: number): number[] => {
    const rays: Ray[] = [];
    for (let place = around.start[v]; place < around.start[v + 1]; place++) {
      const [part, far] = [around.crease[place], around.far[place]];
      if (pattern.creases[part].kind === 'F') continue;
      const open = (pattern.exact[v] ? 0 : 1) + (pattern.exact[far] ? 0 : 1);
      const spread = (input.placeSpread * Math.sqrt(open)) / around.length[place];
      rays.push({ angle: around.angle[place], spread, part });
    }
    return rays.flatMap(({ part }) => (isSound(rays, (p) => p !== part) ? [part] : []));
  };
  const length = (c: number) => {
    const { from, to } = pattern.creases[c];
    const [a, b] = [pattern.vertices[from], pattern.vertices[to]];
    return Math.hypot(b[0] - a[0], b[1] - a[1]);
  };
  const add = (what: Finding['what'], vertex: number, crease: number | undefined, probability: number, facts = {}) => {
    if (crease !== undefined) named.add(crease);
    found.push({
      what,
      vertex,
      ...(crease === undefined ? {} : { crease }),
      at: pattern.vertices[vertex],
      facts,
      probability,
      instead: 'other',
    });
  };
  const isEdge = new Uint8Array(pattern.vertices.length);
  for (const { from, to, kind } of pattern.creases) if (kind === 'B') isEdge[from] = isEdge[to] = 1;
  const edgesBeyond = (v: number, creases: readonly number[]) =>
    creases
      .map((c) => (pattern.creases[c].from === v ? pattern.creases[c].to : pattern.creases[c].from))
      .filter((end) => isEdge[end])
      .flatMap((end) => creasesAt(end).filter((c) => pattern.creases[c].kind === 'B'));
  const done = new Set<number>();
  for (const v of changes) {
    done.add(v);
    add('kind-changes', v, suspect(creasesAt(v)), RIGHT.kindChanges);
  }
  pattern.vertices.forEach((_, v) => {
    const own = creasesAt(v);
    // Guide lines may end where they like.
    if (own.length !== 1 || isEdge[v] || pattern.creases[own[0]].kind === 'F') return;
    done.add(v);
    add('end-dangling', v, own[0], RIGHT.dangling);
  });
  const { lattice } = pattern;
  if (lattice && lattice.kind !== 'none' && lattice.fit >= LATTICE_RULES) {
    pattern.exact.forEach((exact, v) => {
      if (exact || done.has(v)) return;
      done.add(v);
      add('off-lattice', v, suspect(creasesAt(v).filter((c) => !named.has(c))), RIGHT.offLattice);
    });
  }
  pattern.creases.forEach((crease, c) => {
    if (crease.kind === 'B' || named.has(c) || length(c) > APART_WIDTHS * input.strokeWidth) return;
    const distancePx = Math.round((length(c) / input.px) * 10) / 10;
    add('too-close', crease.from, c, RIGHT.tooClose, { distancePx });
  });
  const broken = laws.filter(({ vertex }) => vertex !== undefined);
  const inner = pattern.vertices.filter((_, v) => !isEdge[v]).length;
  const brokenCount = new Set(broken.map(({ vertex }) => vertex)).size;
  const isMany = brokenCount >= LEAST_BROKEN && brokenCount > BROKEN_SHARE * inner;
  const isClear = lattice !== null && lattice.kind !== 'none' && lattice.fit >= LATTICE_RULES;
  const right = !isMany ? RIGHT.beside : isClear ? RIGHT.clear : RIGHT.lost;
  for (const { vertex: v, law } of broken) {
    if (v === undefined || done.has(v)) continue;
    done.add(v);
    const own = creasesAt(v).filter((c) => pattern.creases[c].kind !== 'B');
    // A crease that is doubtful anyway, or one that is missing, is the likelier reason, and is listed already.
    if (!isMany && !input.mended.has(v) && !own.some((c) => named.has(c))) {
      const extra = superfluous(v);
      add('law-broken', v, suspect(extra.length > 0 ? extra : own), RIGHT.broken, { law });
    }
    for (const c of own) if (!named.has(c)) add('law-broken', v, c, right, { law });
    if (law !== 'even-degree' && law !== 'kawasaki') continue;
    for (const c of edgesBeyond(v, own)) if (!named.has(c)) add('law-broken', v, c, RIGHT.edge, { law });
  }
  for (const [v, apart] of input.split) {
    const apartPercent = Math.round(apart * 1000) / 10;
    for (const c of creasesAt(v)) if (!named.has(c)) add('vertex-split', v, c, RIGHT.split, { apartPercent });
  }
  return found;
}

/** Creases that cross, touch or overlap where there is no vertex: at least one of them is not as drawn. */
export function crossingFindings(pattern: Pattern, crossings: readonly BrokenLaw[]): Finding[] {
  return crossings.flatMap(({ law, creases = [], at }) =>
    creases
      .filter((crease) => pattern.creases[crease].kind !== 'B')
      .map(
        (crease): Finding => ({
          what: 'law-broken',
          crease,
          at,
          facts: { law },
          probability: RIGHT.crossing,
          instead: 'other',
        }),
      ),
  );
}
