import type { PatternPoint } from '../../types.ts';
import type { DoubtItem } from '../work/doubts.ts';
import type { Snap } from '../work/snap.ts';
import type { DeskState, Place } from '../work/work.ts';
import { svg } from './el.ts';

type OnScreen = (at: PatternPoint) => readonly [number, number];

export interface Marked {
  readonly state: DeskState;
  readonly items: readonly DoubtItem[];
  readonly brokenVertices: readonly number[];
  readonly selectedKey: string | null;
  readonly selectedCrease: number | null;
  /** Keyboard's place; null where the stage is not being used by keys. */
  readonly cursor: PatternPoint | null;
  readonly snap: Snap | null;
  readonly held: { readonly place: Place; readonly vertex: number | null } | null;
  readonly hoveredCreases: readonly number[];
  readonly hoveredVertex: number | null;
}

/** From so many doubts on, marks are smaller. */
const MANY = 30;
/** A crease that is shorter on the screen than this is pointed out by a ring, too, CSS px. */
const SHORT_PX = 30;

const n = (value: number) => value.toFixed(1);

/** Marks over the pattern, of one size at every zoom: doubts are rings, broken laws are triangles. */
export function marksOf(marked: Marked, onScreen: OnScreen): SVGElement[] {
  const { state, items, selectedKey, held } = marked;
  const { pattern } = state;
  const ends = (crease: number) =>
    [pattern.creases[crease].from, pattern.creases[crease].to].map((v) => onScreen(pattern.vertices[v]));
  const line = (from: readonly [number, number], to: readonly [number, number], name: string) =>
    svg('path', { class: name, d: `M${n(from[0])} ${n(from[1])}L${n(to[0])} ${n(to[1])}` });
  const dot = (at: readonly [number, number], r: number, name: string) =>
    svg('circle', { class: name, cx: n(at[0]), cy: n(at[1]), r });
  const marks: SVGElement[] = [];
  for (const [crease, name] of [
    ...marked.hoveredCreases.map((c) => [c, 'halo hovered'] as const),
    ...(marked.selectedCrease === null ? [] : [[marked.selectedCrease, 'halo'] as const]),
  ]) {
    const [a, b] = ends(crease);
    marks.push(line(a, b, name), dot(a, 3.5, 'end'), dot(b, 3.5, 'end'));
    if (Math.hypot(b[0] - a[0], b[1] - a[1]) < SHORT_PX) {
      marks.push(dot([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], SHORT_PX * 0.75, 'doubt now'));
    }
  }
  const small = items.length > MANY ? 0.78 : 1;
  for (const v of marked.brokenVertices) marks.push(triangle(onScreen(pattern.vertices[v]), small));
  for (const item of items) {
    if (item.settled || item.stakes.everything || item.key === selectedKey) continue;
    if (item.from === 'reading') marks.push(dot(onScreen(placeOfItem(item, state)), 6 * small, 'doubt'));
    else if (item.vertex === null) marks.push(triangle(onScreen(placeOfItem(item, state)), small));
  }
  const selected = items.find(({ key }) => key === selectedKey);
  if (selected && !selected.stakes.everything && marked.selectedCrease === null)
    marks.push(dot(onScreen(placeOfItem(selected, state)), 15, 'doubt now'));
  if (marked.hoveredVertex !== null) marks.push(dot(onScreen(pattern.vertices[marked.hoveredVertex]), 8, 'grip'));
  if (held && marked.snap) {
    const to = onScreen(marked.snap.place.at);
    if (held.vertex === null) marks.push(line(onScreen(held.place.at), to, 'rubber'));
    else {
      for (const { from, to: end } of pattern.creases) {
        if (from !== held.vertex && end !== held.vertex) continue;
        marks.push(line(onScreen(pattern.vertices[from === held.vertex ? end : from]), to, 'rubber'));
      }
    }
  }
  if (held) marks.push(dot(onScreen(held.place.at), 4.5, 'held'));
  if (marked.snap) marks.push(dot(onScreen(marked.snap.place.at), 5.5, 'snap'));
  if (marked.cursor) marks.push(cross(onScreen(marked.cursor)));
  return marks;
}

/** Where a doubt is now: its crease or vertex may have moved since the picture was read. */
export function placeOfItem(item: DoubtItem, { pattern }: DeskState): PatternPoint {
  if (item.from === 'laws') return item.vertex === null ? item.laws[0].at : pattern.vertices[item.vertex];
  const { crease, vertex, at } = item.doubt;
  if (vertex !== undefined) return pattern.vertices[vertex];
  if (crease === undefined) return at;
  const [a, b] = [pattern.creases[crease].from, pattern.creases[crease].to].map((v) => pattern.vertices[v]);
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}

function triangle([x, y]: readonly [number, number], scale: number): SVGElement {
  return svg('g', { class: 'broken', transform: `translate(${n(x)} ${n(y)}) scale(${scale})` }, [
    svg('path', { d: 'M0 -9.5 9.5 7H-9.5Z' }),
    svg('path', { class: 'sign', d: 'M0 -4V1.5M0 4.2V4.6' }),
  ]);
}

function cross([x, y]: readonly [number, number]): SVGElement {
  return svg('g', { class: 'cursor', transform: `translate(${n(x)} ${n(y)})` }, [
    svg('path', { class: 'under', d: 'M-13 0H-4M4 0H13M0 -13V-4M0 4V13' }),
    svg('path', { d: 'M-13 0H-4M4 0H13M0 -13V-4M0 4V13' }),
  ]);
}
