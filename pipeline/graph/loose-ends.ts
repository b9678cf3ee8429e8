import type { Carrier } from './carriers.ts';
import { crossingOf, isNear, LEAST_TURN, type Node, type Stretch } from './nodes.ts';

type Bound = Readonly<{ carrier: number; t0: number; t1: number }>;

export interface LooseOptions {
  /** How far a run's end may lie from the vertex that ends it, pattern units. */
  readonly reach: number;
  /** A vertex lies on a carrier if it is this near, pattern units. */
  readonly radius: number;
  /** Shorter runs may be blots, pattern units. */
  readonly least: number;
}

/** A run is lost as a whole if vertices bound less than this share of it. */
const BOUND = 0.5;
/** An end is led on to a vertex over this share of its run at most, and never farther than this, pattern units: other strokes may hide it there. */
const LED_SHARE = 0.5;
const LED_MOST = 0.08;
/** A stroke that hangs on one end only must be this long, pattern units. */
const HANGING = 0.05;

/**
 * Nodes with ends for the runs, and the ends of runs, that would otherwise leave no trace because they have no vertex at one end
 * or both: such an end is led on to the next vertex or stroke on its way. If only one end is bound so, the other is a vertex of its own, where
 * nothing meets the stroke; strokes bound at neither end are ink that belongs to nothing.
 * `pieces` are those that the nodes bound already, `poor` those that were drawn too poorly to count.
 */
export function boundRuns(
  nodes: readonly Node[],
  pieces: readonly Bound[],
  poor: readonly Bound[],
  carriers: readonly Carrier[],
  runs: readonly (readonly Stretch[])[],
  { reach, radius, least }: LooseOptions,
): Node[] {
  const out = nodes.map((n) => ({ ...n, carriers: new Set(n.carriers) }));
  // Strokes run past the vertices that they were meant to end in by as much as lines miss these.
  const beyond = Math.max(reach, radius);
  const known = carriers.map((): Stretch[] => []);
  const drawn = carriers.map((): Stretch[] => []);
  for (const { carrier, t0, t1 } of [...pieces, ...poor]) known[carrier].push({ from: t0, to: t1 });
  for (const { carrier, t0, t1 } of pieces) drawn[carrier].push({ from: t0, to: t1 });
  const besideOthers = carriers.map((c, i) =>
    carriers.flatMap((other, j) =>
      j !== i && Math.abs(c.nx * other.ny - c.ny * other.nx) < Math.sin(LEAST_TURN) ? [{ other, known: drawn[j] }] : [],
    ),
  );
  carriers.forEach((c, i) => {
    const along = (n: { x: number; y: number }) => c.dx * n.x + c.dy * n.y;
    const beside = (n: { x: number; y: number }) => Math.abs(c.nx * n.x + c.ny * n.y - c.off);
    const loose = runs[i]
      .filter((run) => run.to - run.from >= least)
      .flatMap((run) => looseIn(run, known[i], least + beyond));
    for (const run of loose) {
      if (isBeside(run, c, besideOthers[i], radius)) continue;
      const stops = out.filter((n) => n.carriers.has(i)).map(along);
      const far = Math.min(LED_MOST, LED_SHARE * run.drawn);
      const ends = [-1, 1].map((sense) => {
        const end = sense < 0 ? run.from : run.to;
        if (stops.some((t) => Math.abs(t - end) <= beyond)) return { end, next: null, isMet: true };
        const ahead = (n: { x: number; y: number }) => sense * (along(n) - end);
        const isAhead = (n: { x: number; y: number }) => ahead(n) > -beyond && ahead(n) < far;
        const near = out.filter((n) => !n.carriers.has(i) && beside(n) < radius && isAhead(n));
        const isNew = (m: { x: number; y: number }) => out.every((n) => Math.hypot(n.x - m.x, n.y - m.y) >= radius);
        const met = crossingsOf(i, carriers, runs, reach).filter((m) => isAhead(m) && isNew(m));
        const next = [...near, ...met].sort((a, b) => ahead(a) - ahead(b))[0] ?? null;
        return { end, next, isMet: next !== null };
      });
      const met = ends.filter(({ isMet }) => isMet).length;
      if (met === 0 || (met === 1 && run.to - run.from < HANGING)) continue;
      for (const { end, next, isMet } of ends) {
        if (!isMet) out.push({ ...at(c, end), carriers: new Set([i]), fixed: false });
        else if (next && out.some((n) => n === next)) next.carriers.add(i);
        else if (next) out.push({ ...next, carriers: new Set(next.carriers), fixed: false });
      }
    }
  });
  return out.map((n) => ({ ...n, carriers: [...n.carriers] }));
}

/** A stretch of a run that no piece bounds, and the length of the whole run. */
type Loose = Stretch & { readonly drawn: number };

/** All of a run where pieces bound little of it, else its ends beyond the outermost pieces that are at least `least` long. */
function looseIn(run: Stretch, known: readonly Stretch[], least: number): Loose[] {
  const within = known.flatMap(({ from, to }) =>
    from < run.to && to > run.from ? [{ from: Math.max(from, run.from), to: Math.min(to, run.to) }] : [],
  );
  const drawn = run.to - run.from;
  const bound = within.reduce((sum, { from, to }) => sum + to - from, 0);
  if (bound <= BOUND * drawn) return [{ ...run, drawn }];
  return [
    { from: run.from, to: Math.min(...within.map(({ from }) => from)), drawn },
    { from: Math.max(...within.map(({ to }) => to)), to: run.to, drawn },
  ].filter(({ from, to }) => to - from >= least);
}

/** A run that keeps beside pieces of other lines in its direction over this share of its length is ink of theirs. */
const BESIDE = 0.5;
const BESIDE_SAMPLES = 24;

/** Whether most of a run lies within `radius` of pieces of lines in nearly its direction: a hand that bows leaves such halves. */
function isBeside(
  run: Stretch,
  c: Carrier,
  others: readonly { readonly other: Carrier; readonly known: readonly Stretch[] }[],
  radius: number,
): boolean {
  let beside = 0;
  for (let k = 0; k < BESIDE_SAMPLES; k++) {
    const { x, y } = at(c, run.from + ((k + 0.5) / BESIDE_SAMPLES) * (run.to - run.from));
    const isHidden = others.some(
      ({ other: o, known }) =>
        Math.abs(o.nx * x + o.ny * y - o.off) < radius && isNear(known, o.dx * x + o.dy * y, radius),
    );
    if (isHidden) beside++;
  }
  return beside > BESIDE * BESIDE_SAMPLES;
}

function at({ dx, dy, nx, ny, off }: Carrier, t: number): { x: number; y: number } {
  return { x: dx * t + nx * off, y: dy * t + ny * off };
}

/** A place on a side must not miss the sheet by rounding, pattern units. */
const ROUNDING = 1e-6;

/** Where carrier i crosses strokes and sides that are drawn there. */
function crossingsOf(i: number, carriers: readonly Carrier[], runs: readonly (readonly Stretch[])[], reach: number) {
  return carriers.flatMap((b, j) => {
    const met = j === i ? null : crossingOf(carriers[i], b);
    if (
      !met ||
      [carriers[i], b].some((c) => !isNear([c], c.dx * met.x + c.dy * met.y, ROUNDING)) ||
      !isNear(runs[j], b.dx * met.x + b.dy * met.y, reach)
    )
      return [];
    return [{ x: met.x, y: met.y, carriers: new Set([i, j]), fixed: false }];
  });
}
