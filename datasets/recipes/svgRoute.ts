import sharp from 'sharp';
import type { Raster } from '../../pipeline/types.ts';
import type { Drawing, HandMark, Mark } from './drawing.ts';
import { hexOf } from './drawing.ts';

/** First way to pixels: SVG text, drawn by librsvg. RGB, page px. */
export async function drawAsSvg(drawing: Drawing, crisp = false): Promise<Raster> {
  const body = drawing.marks.map(elementOf).join('\n');
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${drawing.width}" height="${drawing.height}">
<rect width="100%" height="100%" fill="${hexOf(drawing.ground)}"/>
<g${crisp ? ' shape-rendering="crispEdges"' : ''}>${body}</g>
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
      return handElement(mark);
    case 'shape':
      return `<polygon points="${pairs(mark.points)}" fill="${hexOf(mark.colour)}" fill-opacity="${short(mark.opacity)}"/>`;
    case 'text': {
      const degrees = (mark.angleRad * 180) / Math.PI;
      // Capitals stand about 0.7 of the type size.
      return `<text x="${short(mark.x)}" y="${short(mark.y)}" font-family="${mark.face}" font-size="${short(mark.height / 0.7)}" fill="${hexOf(mark.colour)}" transform="rotate(${short(degrees)} ${short(mark.x)} ${short(mark.y)})">${escaped(mark.text)}</text>`;
    }
  }
}

/** SVG has no tapering stroke: the two sides of the stroke as one filled outline with rounded ends, at the mean darkness. */
function handElement(mark: HandMark): string {
  const { points, widths, opacities } = mark;
  const count = points.length / 2;
  const left: number[] = [];
  const right: number[] = [];
  for (let i = 0; i < count; i++) {
    const [before, after] = [Math.max(0, i - 1), Math.min(count - 1, i + 1)];
    const [dx, dy] = [points[2 * after] - points[2 * before], points[2 * after + 1] - points[2 * before + 1]];
    const reach = widths[i] / 2 / (Math.hypot(dx, dy) || 1);
    left.push(points[2 * i] - dy * reach, points[2 * i + 1] + dx * reach);
    right.unshift(points[2 * i] + dy * reach, points[2 * i + 1] - dx * reach);
    // One point beyond each end rounds it off.
    if (i === 0) right.push(points[0] - dx * reach, points[1] - dy * reach);
    if (i === count - 1) left.push(points[2 * i] + dx * reach, points[2 * i + 1] + dy * reach);
  }
  const mean = opacities.reduce((sum, opacity) => sum + opacity, 0) / count;
  return `<polygon points="${pairs([...left, ...right])}" fill="${hexOf(mark.colour)}" fill-opacity="${short(mean)}"/>`;
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
