import type { PatternPoint } from '../types.ts';
import type { Carrier } from './carriers.ts';
import type { Node } from './nodes.ts';
import type { Piece, StrokeGraph } from './stroke-graph.ts';

/** Drops vertices that no piece uses, and crossings where only one straight line is left. */
export function tidy(
  nodes: readonly Node[],
  pieces: readonly Piece[],
  rejected: readonly Piece[],
  carriers: readonly Carrier[],
  hole: number,
  meet: number,
): StrokeGraph {
  const at: Piece[][] = nodes.map(() => []);
  for (const p of pieces) {
    at[p.from].push(p);
    at[p.to].push(p);
  }
  const through = at.map((own, n) => own.length === 2 && own[0].carrier === own[1].carrier && !nodes[n].fixed);
  const merged: Piece[] = [];
  const done = new Set<Piece>();
  for (const p of pieces) {
    if (done.has(p)) continue;
    const chain = [p];
    done.add(p);
    extend(
      chain,
      (q) => q.to,
      (q) => q.from,
      true,
    );
    extend(
      chain,
      (q) => q.from,
      (q) => q.to,
      false,
    );
    const first = chain[0];
    const last = chain[chain.length - 1];
    const length = last.t1 - first.t0;
    const coverage = chain.reduce((s, q) => s + q.coverage * (q.t1 - q.t0), 0) / Math.max(length, 1e-12);
    merged.push({ ...first, to: last.to, t1: last.t1, coverage });
  }
  function extend(chain: Piece[], end: (p: Piece) => number, start: (p: Piece) => number, forth: boolean): void {
    for (;;) {
      const p = forth ? chain[chain.length - 1] : chain[0];
      if (!through[end(p)]) return;
      const next = at[end(p)].find((q) => q !== p && start(q) === end(p));
      if (!next || done.has(next)) return;
      done.add(next);
      if (forth) chain.push(next);
      else chain.unshift(next);
    }
  }
  const number = new Int32Array(nodes.length).fill(-1);
  const vertices: PatternPoint[] = [];
  const renumber = (n: number) => {
    if (number[n] < 0) {
      number[n] = vertices.length;
      vertices.push([nodes[n].x, nodes[n].y]);
    }
    return number[n];
  };
  const kept = merged.map((p) => ({ ...p, from: renumber(p.from), to: renumber(p.to) }));
  const degree = new Int32Array(vertices.length);
  for (const p of kept) {
    degree[p.from]++;
    degree[p.to]++;
  }
  const asideOf = rejected
    .filter((p) => number[p.from] >= 0 && number[p.to] >= 0)
    .map((p) => ({ ...p, from: number[p.from], to: number[p.to] }));
  return {
    carriers,
    vertices,
    pieces: kept,
    rejected: asideOf,
    dangling: [...degree.keys()].filter((v) => degree[v] === 1),
    dashHole: hole,
    meet,
  };
}
