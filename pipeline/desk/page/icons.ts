import { svg } from './el.ts';

/** Drawn on a field of 20 by 20, strokes of one weight. */
const PATHS = {
  undo: 'M7.5 4.5 4 8l3.5 3.5M4.5 8H12a4 4 0 0 1 0 8H8',
  redo: 'M12.5 4.5 16 8l-3.5 3.5M15.5 8H8a4 4 0 0 0 0 8h4',
  look: 'M3.5 3.5 9 16.5l1.8-5.7 5.7-1.8zM10.8 10.8l5.2 5.2',
  draw: 'M4 16 13.8 6.2M13.8 6.2l1.6-1.6 1.5 1.5-1.6 1.6M4 16l.6-2.6M4 16l2.6-.6',
  move: 'M10 3v14M3 10h14M10 3 8 5m2-2 2 2m-2 12-2-2m2 2 2-2M3 10l2-2m-2 2 2 2m12-2-2-2m2 2-2 2',
  erase: 'M8 16H17M4 12.5 11.5 5l4 4L8 16H6.5L4 13.5zM8 8.5l4 4',
  plus: 'M10 5v10M5 10h10',
  minus: 'M5 10h10',
  fit: 'M4 7.5V4h3.5M12.5 4H16v3.5M16 12.5V16h-3.5M7.5 16H4v-3.5',
  grid: 'M4 4h12v12H4zM4 8h12M4 12h12M8 4v12M12 4v12',
  reading: 'M4 5.5h12M4 10h12M4 14.5h12M7 4v3M13 8.5v3M9 13v3',
  save: 'M10 4v8.5M6.5 9.5 10 13l3.5-3.5M4.5 16h11',
  keys: 'M3.5 5.5h13v9h-13zM6 8.5h.5m2.5 0h.5m2.5 0h.5m1.5 0h.2M7 11.8h6',
  open: 'M3.5 15.5v-10h4.3l1.7 2h7v8z',
  back: 'M12 5l-5 5 5 5',
  ahead: 'M8 5l5 5-5 5',
  tick: 'M4.5 10.5 8.5 14.5 16 6',
  warn: 'M10 3.8 17.3 16.2H2.7zM10 8.3v3.6M10 13.9v.3',
} as const;

export type IconName = keyof typeof PATHS;

export function icon(name: IconName): SVGSVGElement {
  return svg('svg', { class: 'icon', viewBox: '0 0 20 20', 'aria-hidden': 'true', focusable: 'false' }, [
    svg('path', { d: PATHS[name] }),
  ]);
}
