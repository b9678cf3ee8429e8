import { dashesFor, KINDS, lengthOf, STYLES } from '../../report/style.ts';
import type { Kind, Pattern } from '../../types.ts';
import { gridOf } from '../work/grid.ts';
import { attr, svg } from './el.ts';
import { type Frame, toPaper } from './frame.ts';

/** Stroke width of weight 1 on the screen, CSS px: a share of the distance between neighbouring lines, within limits. */
const WIDTH_SHARE = 0.07;
const LEAST_WIDTH = 1.1;
const MOST_WIDTH = 2.2;
/** Where no grid tells the distance between lines, pattern units. */
const USUAL_STEP = 1 / 16;

/** Width of a stroke of weight 1, CSS px, at a number of CSS px to the pattern unit. */
export function strokeWidth(pattern: Pattern, pxPerUnit: number): number {
  const grid = gridOf(pattern);
  const step = pxPerUnit * (grid ? 1 / grid.parts : USUAL_STEP);
  return Math.min(MOST_WIDTH, Math.max(LEAST_WIDTH, step * WIDTH_SHARE));
}

export interface Lines {
  readonly root: SVGGElement;
  /** Draws the pattern; what has not changed is left alone. @param scale CSS px to a paper px */
  readonly draw: (pattern: Pattern, frame: Frame, scale: number) => void;
}

/** The creases, one path each, grouped by kind so that what matters most lies on top. */
export function makeLines(): Lines {
  const groups = new Map<Kind, SVGGElement>(
    KINDS.map((kind) => [kind, svg('g', { class: `kind-${STYLES[kind].name}`, stroke: STYLES[kind].colour })]),
  );
  const root = svg('g', { class: 'lines', fill: 'none' }, [...groups.values()]);
  const paths: SVGPathElement[] = [];
  let drawn: { pattern: Pattern; frame: Frame; scale: number } | null = null;
  return {
    root,
    draw(pattern, frame, scale) {
      const samePlaces = drawn?.pattern.vertices === pattern.vertices && drawn.frame === frame;
      if (samePlaces && drawn?.pattern === pattern && drawn.scale === scale) return;
      const { creases, vertices } = pattern;
      const pxPerUnit = frame.pxPerUnit * scale;
      const width = strokeWidth(pattern, pxPerUnit);
      for (const [kind, group] of groups) attr(group, 'stroke-width', (width * STYLES[kind].weight) / scale);
      while (paths.length > creases.length) paths.pop()!.remove();
      creases.forEach((crease, c) => {
        const same = samePlaces && drawn?.pattern.creases[c] === crease;
        if (same && drawn?.scale === scale) return;
        paths[c] ??= svg('path', { 'data-crease': c });
        const path = paths[c];
        if (!same) {
          const [a, b] = [crease.from, crease.to].map((v) => toPaper(frame, vertices[v]).map((n) => n.toFixed(2)));
          attr(path, 'd', `M${a.join(' ')}L${b.join(' ')}`);
          const group = groups.get(crease.kind)!;
          if (path.parentNode !== group) group.append(path);
          attr(path, 'data-kind', crease.kind);
        }
        const dashes = dashesFor(
          crease.kind,
          lengthOf(pattern, crease) * pxPerUnit,
          width * STYLES[crease.kind].weight,
        );
        attr(
          path,
          'stroke-dasharray',
          dashes.length === 0 ? null : dashes.map((d) => (d / scale).toFixed(2)).join(' '),
        );
      });
      drawn = { pattern, frame, scale };
    },
  };
}

/** A sample of a kind's line, for keys and answers. */
export function lineSample(kind: Kind | null): SVGSVGElement {
  const [length, middle] = [44, 7];
  const style = kind === null ? null : STYLES[kind];
  const weight = style ? style.weight * 1.6 : 1;
  return svg('svg', { class: 'sample', viewBox: `0 0 ${length + 8} 14`, 'aria-hidden': 'true' }, [
    style
      ? svg('path', {
          d: `M4 ${middle}H${length + 4}`,
          stroke: style.colour,
          'stroke-width': weight,
          'stroke-dasharray': dashesFor(kind!, length, weight).join(' ') || undefined,
        })
      : svg('path', { class: 'nothing', d: 'M21 3l10 8M31 3 21 11' }),
  ]);
}
