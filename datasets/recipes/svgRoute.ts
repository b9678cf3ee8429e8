import sharp from 'sharp';
import type { Raster } from '../../pipeline/types.ts';
import type { Drawing, HandMark, Mark } from './drawing.ts';
import { hexOf } from './drawing.ts';

/** First way to pixels: SVG text, drawn by librsvg. RGB, page px. */
export async function drawAsSvg(drawing: Drawing): Promise<Raster> {
  const body = drawing.marks.map(elementOf).join('\n');
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${drawing.width}" height="${drawing.height}">
<rect width="100%" height="100%" fill="${hexOf(drawing.ground)}"/>
${body}
</svg>`;
  const { data, info } = await sharp(Buffer.from(svg), { unlimited: true })
    .flatten({ background: hexOf(drawing.ground) })
    .toColourspace('srgb')
    .removeAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, channels: 3, data: new Uint8Array(data) };
}

function elementOf(mark: Mark): string {
  switch (mark.mark) {
    case 'stroke': {
      const dash = mark.dash.length
        ? ` stroke-dasharray="${mark.dash.map(short).join(' ')}" stroke-dashoffset="${short(mark.dashOffset)}"`
        : '';
      return `<polyline points="${pairs(mark.points)}" fill="none" stroke="${hexOf(mark.colour)}" stroke-width="${short(mark.width)}" stroke-opacity="${short(mark.opacity)}" stroke-linecap="${mark.cap}" stroke-linejoin="round"${dash}/>`;
    }
    case 'hand':
      return handElements(mark);
    case 'shape':
      return `<polygon points="${pairs(mark.points)}" fill="${hexOf(mark.colour)}" fill-opacity="${short(mark.opacity)}"/>`;
    case 'text': {
      const degrees = (mark.angleRad * 180) / Math.PI;
      // Capitals stand about 0.7 of the type size.
      return `<text x="${short(mark.x)}" y="${short(mark.y)}" font-family="${mark.face}" font-size="${short(mark.height / 0.7)}" fill="${hexOf(mark.colour)}" transform="rotate(${short(degrees)} ${short(mark.x)} ${short(mark.y)})">${escaped(mark.text)}</text>`;
    }
  }
}

/** SVG has no tapering stroke: a quadrilateral for each piece, in groups that share an opacity so that joints do not darken. */
function handElements(mark: HandMark): string {
  const { points, widths, opacities } = mark;
  const count = points.length / 2;
  const mean = opacities.reduce((sum, opacity) => sum + opacity, 0) / count;
  const pieces: string[] = [];
  for (let i = 0; i + 1 < count; i++) {
    const width = (widths[i] + widths[i + 1]) / 2;
    const ends = points.slice(2 * i, 2 * i + 4);
    pieces.push(`<polyline points="${pairs(ends)}" stroke-width="${short(width)}"/>`);
  }
  return `<g opacity="${short(Math.min(1, mean))}" fill="none" stroke="${hexOf(mark.colour)}" stroke-linecap="round">${pieces.join('')}</g>`;
}

function short(value: number): string {
  return String(Math.round(value * 1000) / 1000);
}

function pairs(points: readonly number[]): string {
  const out: string[] = [];
  for (let i = 0; i + 1 < points.length; i += 2) out.push(`${short(points[i])},${short(points[i + 1])}`);
  return out.join(' ');
}

function escaped(text: string): string {
  return text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;');
}
