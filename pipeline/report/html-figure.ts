import { patternToPaper } from '../geometry/frames.ts';
import type { Recovery } from '../types.ts';
import { creaseGroup, escapeXml, shortNumber } from './drawing.ts';
import type { GatheredDoubt } from './gather.ts';
import type { Report, ReportDoubt } from './report.ts';
import { KINDS } from './style.ts';
import { doubtTitle, isAboutAll } from './words.ts';

/** What the drawings of a report's page share. */
export interface PageFigure {
  readonly recovery: Recovery;
  readonly report: Report;
  /** The report's doubts as a person reads them. */
  readonly doubts: readonly GatheredDoubt<ReportDoubt>[];
  /** The straightened sheet as a data address. */
  readonly imageHref: string;
}

/** Stroke width of weight 1 and size of marks, shares of the sheet's longest side. */
const STROKE = 0.0022;
const MARK = 0.012;
/** Half the side of a cut-out: two steps of a grid, or this share of the sheet where there is none. */
const CUT_OUT_STEPS = 2;
const CUT_OUT = 0.08;
const MOST_CUT_OUT = 0.2;
const LEAST_CUT_OUT = 0.04;

/** The straightened picture, the pattern over it and a numbered mark at each doubt. */
export function figure({ recovery, doubts, imageHref }: PageFigure): string {
  const { sheet, pattern } = recovery;
  const { width, height } = sheet.raster;
  const place = (p: readonly [number, number]) => patternToPaper(sheet, p);
  const groups = KINDS.map((kind) => creaseGroup(pattern, kind, place, sheet.pxPerUnit, STROKE * sheet.pxPerUnit));
  const radius = MARK * sheet.pxPerUnit;
  const marks = doubts.map((doubt, i) => {
    if (isAboutAll(doubt)) return '';
    const [x, y] = place(doubt.at).map(shortNumber);
    const label = escapeXml(`Doubt ${i + 1}: ${doubtTitle(doubt.what, doubt.creases.length > 0)}`);
    return `<a href="#doubt-${i + 1}" aria-label="${label}"><circle cx="${x}" cy="${y}" r="${shortNumber(radius)}"/></a>`;
  });
  return `<figure class="stage"><svg viewBox="0 0 ${width} ${height}" aria-labelledby="stage-title">
<title id="stage-title">The straightened picture with the recovered pattern over it</title>
<defs><image id="sheet" href="${imageHref}" width="${width}" height="${height}" preserveAspectRatio="none"/></defs>
<rect class="ground" width="100%" height="100%"/>
<use class="picture" href="#sheet"/>
<g class="pattern" id="pattern">${groups.join('\n')}</g>
<g class="marks">${marks.join('\n')}</g>
</svg></figure>`;
}

/** The picture around a doubt, with the crease in question between two pale lines, or a ring at the place; all of it where the doubt is about all of it. */
export function cutOut({ recovery }: PageFigure, doubt: GatheredDoubt, number: number): string {
  const { sheet, pattern } = recovery;
  const label = `role="img" aria-label="The picture around doubt ${number}"`;
  if (isAboutAll(doubt)) {
    const { width, height } = sheet.raster;
    return `<svg class="cut-out" viewBox="0 0 ${width} ${height}" ${label}><use href="#sheet"/></svg>`;
  }
  const half = halfSide(recovery) * sheet.pxPerUnit;
  const [x, y] = patternToPaper(sheet, doubt.at);
  const crease = doubt.creases.length === 1 ? pattern.creases[doubt.creases[0]] : undefined;
  const stroke = shortNumber(half / 24);
  let mark = `<circle cx="${shortNumber(x)}" cy="${shortNumber(y)}" r="${shortNumber(half / 3)}"/>`;
  if (crease) {
    const [a, b] = [crease.from, crease.to].map((v) => patternToPaper(sheet, pattern.vertices[v]));
    const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
    // Beside the crease, not over it: the ink in question must stay visible.
    const away = half / 8 / length;
    const [nx, ny] = [-(b[1] - a[1]) * away, (b[0] - a[0]) * away];
    mark = [1, -1]
      .map((side) => {
        const [x1, y1, x2, y2] = [a[0] + side * nx, a[1] + side * ny, b[0] + side * nx, b[1] + side * ny].map(
          shortNumber,
        );
        return `<path d="M${x1} ${y1}L${x2} ${y2}"/>`;
      })
      .join('');
  }
  const box = [x - half, y - half, 2 * half, 2 * half].map(shortNumber).join(' ');
  return `<svg class="cut-out" viewBox="${box}" ${label}><use href="#sheet"/><g class="mark" fill="none" stroke-width="${stroke}">${mark}</g></svg>`;
}

/** Half the side of a cut-out, pattern units. */
function halfSide({ pattern: { lattice } }: Recovery): number {
  const divisions = lattice ? Math.max(lattice.divisionsX, lattice.divisionsY) : 0;
  const wanted = divisions > 0 ? CUT_OUT_STEPS / divisions : CUT_OUT;
  return Math.min(MOST_CUT_OUT, Math.max(LEAST_CUT_OUT, wanted));
}
