/** What lies under the marks: paper, picture, grid, creases. */
import type { Pattern, PatternPoint } from '../../types.ts';
import { type Grid, gridOf } from '../work/grid.ts';
import type { View } from '../work/view.ts';
import { attr, svg } from './el.ts';
import { type Frame, toPaper } from './frame.ts';
import { addressOf, isDark } from './images.ts';
import { makeLines } from './lines.ts';
import type { Shown } from './store.ts';

/** Width of the grid's lines, CSS px. */
const GRID_PX = 0.8;

export interface Layers {
  readonly root: SVGGElement;
  readonly draw: (shown: Shown, pattern: Pattern, frame: Frame, view: View) => void;
  /** Puts a picture under the pattern; null for none. */
  readonly show: (picture: Blob | null) => void;
}

/** @param redraw asks for a drawing once more is known of the picture */
export function makeLayers(redraw: () => void): Layers {
  let dark = false;
  const lines = makeLines();
  const paper = svg('rect', { class: 'paper' });
  const image = svg('image', { class: 'sheet', preserveAspectRatio: 'none' });
  const [whole, half] = [svg('path', { class: 'grid' }), svg('path', { class: 'grid half' })];
  const root = svg('g', {}, [paper, image, half, whole, lines.root]);
  const drawGrid = (visible: boolean, pattern: Pattern, frame: Frame, scale: number): void => {
    const grid = visible ? gridOf(pattern) : null;
    for (const path of [whole, half]) attr(path, 'visibility', grid ? null : 'hidden');
    if (!grid) return;
    const paths = gridPaths(grid, pattern, (at) => toPaper(frame, at));
    attr(whole, 'd', paths.whole);
    attr(half, 'd', paths.half);
    for (const path of [whole, half]) attr(path, 'stroke-width', GRID_PX / scale);
  };
  return {
    root,
    draw({ grid, mix }, pattern, frame, view) {
      const move = `translate(${view.left.toFixed(2)} ${view.top.toFixed(2)})`;
      attr(root, 'transform', `${move} scale(${view.scale.toFixed(5)})`);
      for (const element of [paper, image]) {
        attr(element, 'width', frame.widthPx);
        attr(element, 'height', frame.heightPx);
      }
      drawGrid(grid, pattern, frame, view.scale);
      lines.draw(pattern, frame, view.scale);
      const [picture, drawn] = opacities(mix, dark);
      attr(image, 'opacity', picture);
      attr(lines.root, 'opacity', drawn);
    },
    show(picture) {
      dark = false;
      if (picture) {
        void isDark(picture).then((found) => {
          if (image.getAttribute('href') !== addressOf(picture)) return;
          dark = found;
          redraw();
        });
      }
      attr(image, 'href', picture && addressOf(picture));
      attr(image, 'visibility', picture ? null : 'hidden');
    },
  };
}

/** How strongly the picture shows under the pattern, midway; a dark one is paler, for the lines' colours are made for white. */
const UNDER = 0.75;
const UNDER_DARK = 0.4;
const OVER = 0.9;

/** How strongly picture and pattern show, from picture alone over both to pattern alone. */
function opacities(mix: number, dark: boolean): [picture: number, pattern: number] {
  const under = dark ? UNDER_DARK : UNDER;
  if (mix <= 0.5) return [1 - 2 * (1 - under) * mix, 2 * OVER * mix];
  return [2 * under * (1 - mix), OVER + 2 * (1 - OVER) * (mix - 0.5)];
}

/** The grid's lines over the pattern's box, each kind as one path in paper px. */
function gridPaths(
  { parts, divisions }: Grid,
  { vertices }: Pattern,
  toPaperPx: (at: PatternPoint) => readonly [number, number],
): { whole: string; half: string } {
  const width = Math.max(...vertices.map(([x]) => x));
  const height = Math.max(...vertices.map(([, y]) => y));
  const line = (from: PatternPoint, to: PatternPoint) =>
    `M${toPaperPx(from).map(short).join(' ')}L${toPaperPx(to).map(short).join(' ')}`;
  const path = (at: readonly number[]) =>
    at
      .map((k) => {
        const s = k / parts;
        const upright = s <= width + ROUNDING ? line([s, 0], [s, height]) : '';
        const level = s <= height + ROUNDING ? line([0, s], [width, s]) : '';
        return upright + level;
      })
      .join('');
  const all = Array.from({ length: parts + 1 }, (_, k) => k);
  const isWhole = (k: number) => (k * divisions) % parts === 0;
  return { whole: path(all.filter(isWhole)), half: path(all.filter((k) => !isWhole(k))) };
}

const ROUNDING = 1e-6;
const short = (value: number) => value.toFixed(1);
