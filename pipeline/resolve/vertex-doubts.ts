/** What is doubtful about single vertices. */
import { creasesAround } from '../laws/around.ts';
import type { BrokenLaw, Evidence, Pattern } from '../types.ts';
import { NAME_OF } from './crease-doubts.ts';
import type { Finding } from './doubt-list.ts';
import { isSound, type Ray } from './soundness.ts';

/** How often what is shown at such a place is right; measured on drawn pictures (see the bench). */
const RIGHT = { dangling: 0.3, broken: 0.6, offLattice: 0.55, tooClose: 0.6, kindChanges: 0.5, lost: 0.3 };
/**
 * Where more than this share of the inner vertices breaks laws, at least so many, the reason is not one crease here and
 * there. On a lattice the drawing is clear and leaves lines out, as published patterns do: its creases are right. Off it,
 * the drawing was not understood: every crease at a broken vertex is in question.
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
  /** Pattern vertices that a proposed crease would mend. */
  readonly mended: ReadonlySet<number>;
  /** Pattern units. */
  readonly strokeWidth: number;
  readonly px: number;
  /** Spread of measured places, pattern units. */
  readonly placeSpread: number;
  /** Whether a hand drew the lines so far beside their vertices that measured places are uncertain. */
  readonly isUnsteady: boolean;
}

/** Ends inside the paper, broken laws, places off the lattice or too close together, each with the least sure crease there. */
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
  if (input.isUnsteady) {
    pattern.exact.forEach((exact, v) => {
      if (exact) return;
      for (const c of creasesAt(v)) {
        if (pattern.creases[c].kind !== 'B' && !named.has(c)) add('off-lattice', v, c, RIGHT.offLattice);
      }
    });
  }
  pattern.creases.forEach((crease, c) => {
    if (crease.kind === 'B' || named.has(c) || length(c) > APART_WIDTHS * input.strokeWidth) return;
    const distancePx = Math.round((length(c) / input.px) * 10) / 10;
    add('too-close', crease.from, c, RIGHT.tooClose, { distancePx });
  });
  const brokenAt = new Set(laws.flatMap(({ vertex }) => (vertex === undefined ? [] : [vertex])));
  const inner = pattern.vertices.filter((_, v) => !isEdge[v]).length;
  const isMany = brokenAt.size >= LEAST_BROKEN && brokenAt.size > BROKEN_SHARE * inner;
  const isClear = lattice !== null && lattice.kind !== 'none' && lattice.fit >= LATTICE_RULES;
  if (isMany && isClear) return found;
  for (const { vertex: v, law } of laws) {
    if (v === undefined || done.has(v) || input.mended.has(v)) continue;
    done.add(v);
    const own = creasesAt(v);
    if (isMany) {
      for (const c of own) if (!named.has(c)) add('law-broken', v, c, RIGHT.lost, { law });
      continue;
    }
    // A doubtful crease is the likely reason, and is listed already.
    if (own.some((c) => named.has(c))) continue;
    const extra = superfluous(v);
    add('law-broken', v, suspect(extra.length > 0 ? extra : own), RIGHT.broken, { law });
  }
  return found;
}
