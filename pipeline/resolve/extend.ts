import { type Draft, hardlySeen, partsAt } from './draft.ts';

/** A vertex this close to the line ahead lies on it, in stroke widths and px. */
const ON_LINE_WIDTHS = 1;
const ON_LINE_PX = 1.5;
/** A line that ends is carried on over at most this share of its own last piece; more is another line. */
const LONGEST_SHARE = 0.5;

/**
 * Candidates for lines that end inside the paper: on along the same line to the next vertex ahead, with what was seen of
 * it. Whether they belong is decided later.
 */
export function addExtensions(draft: Draft): void {
  const at = partsAt(draft);
  const isEdge = new Uint8Array(draft.vertices.length);
  for (const { from, to, border } of draft.parts) if (border) isEdge[from] = isEdge[to] = 1;
  const reach = Math.max(ON_LINE_WIDTHS * draft.strokeWidth, ON_LINE_PX * draft.px);
  at.forEach((own, end) => {
    if (own.length !== 1 || isEdge[end]) return;
    const last = draft.parts[own[0]];
    const { nx, ny, off, dx, dy, from: lineStart, seen } = draft.carriers[last.carrier];
    const ahead = last.to === end ? 1 : -1;
    const t = (v: number) => dx * draft.measured[v][0] + dy * draft.measured[v][1];
    let next = -1;
    for (let v = 0; v < draft.measured.length; v++) {
      const [x, y] = draft.measured[v];
      const away = ahead * (t(v) - t(end));
      if (v === end || at[v].length === 0 || away <= 0 || Math.abs(nx * x + ny * y - off) > reach) continue;
      if (next < 0 || away < ahead * (t(next) - t(end))) next = v;
    }
    if (next < 0) return;
    const [t0, t1] = [Math.min(t(end), t(next)), Math.max(t(end), t(next))];
    if (t1 - t0 > LONGEST_SHARE * (last.t1 - last.t0)) return;
    if (draft.parts.some((p) => sameEnds(p, end, next))) return;
    let bins = 0;
    let inked = 0;
    for (let b = Math.round((t0 - lineStart) / draft.px); b < Math.round((t1 - lineStart) / draft.px); b++) {
      bins++;
      inked += seen[b] ?? 0;
    }
    const odds = hardlySeen(bins > 0 ? inked / bins : 0);
    draft.parts.push({
      from: ahead > 0 ? end : next,
      to: ahead > 0 ? next : end,
      carrier: last.carrier,
      t0,
      t1,
      border: false,
      coverage: bins > 0 ? inked / bins : 0,
      odds,
      belief: odds,
      kind: 'U',
      present: false,
      origin: 'inferred',
      change: null,
    });
  });
}

function sameEnds(p: { from: number; to: number }, a: number, b: number): boolean {
  return (p.from === a && p.to === b) || (p.from === b && p.to === a);
}
