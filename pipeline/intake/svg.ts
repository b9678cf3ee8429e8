import sharp from 'sharp';
import { PlicaError } from '../errors.ts';
import { checkLargest, damaged, MAX_SVG_BYTES } from './limits.ts';
import { pixelError, shrinkToRgb } from './pixels.ts';
import type { ReadPixels, ReadRequest } from './reader.ts';

/** CSS lengths in px (CSS Values 3: 96 px to the inch). */
const PX_PER_UNIT: Readonly<Record<string, number>> = {
  '': 1,
  px: 1,
  pt: 96 / 72,
  pc: 16,
  mm: 96 / 25.4,
  cm: 96 / 2.54,
  in: 96,
};
/** Lengths in mm and inches agree with those in px only at CSS's own density; the renderer then enlarges px by 96 / 72. */
const CSS_DENSITY = 96;
const RENDERED_PX_PER_CSS_PX = CSS_DENSITY / 72;
const TIME_LIMIT = { seconds: 30 };

/**
 * Draws an SVG so that its longest side is the working size, whatever size it asks for itself. The text comes from
 * memory without an address of its own, so nothing outside it can be loaded.
 */
export async function readSvg(bytes: Uint8Array, request: ReadRequest): Promise<ReadPixels> {
  const { name, maxSidePx } = request;
  if (bytes.length > MAX_SVG_BYTES) {
    throw new PlicaError('too-large', `${name} is an SVG of more than 10 MB`, 'export it as a PNG and give that');
  }
  const text = new TextDecoder(bytes[0] === 0xff ? 'utf-16le' : 'utf-8').decode(bytes);
  const input = { failOn: 'error', limitInputPixels: false, density: CSS_DENSITY } as const;
  try {
    const sides = statedSides(text) ?? (await measuredSides(bytes));
    const drawing = new TextEncoder().encode(atSize(text, sides, maxSidePx / RENDERED_PX_PER_CSS_PX));
    const { width, height } = await sharp(drawing, input).metadata();
    checkLargest(width, height, name);
    const drawn = sharp(drawing, input).timeout(TIME_LIMIT);
    const raster = await shrinkToRgb(drawn, width, height, maxSidePx, true);
    return { raster, fullWidth: raster.width, fullHeight: raster.height };
  } catch (error) {
    throw error instanceof PlicaError ? error : svgError(error, name);
  }
}

interface Sides {
  /** CSS px. */
  readonly width: number;
  readonly height: number;
}

const ROOT = /<(?:[\w-]+:)?svg(?=[\s>/])(?:[^>"']|"[^"]*"|'[^']*')*>/;

/** An attribute of a start tag, as it stands and its value. */
function attributeOf(tag: string, key: string): { text: string; value: string } | null {
  const found = new RegExp(`\\s${key}\\s*=\\s*(?:"([^"]*)"|'([^']*)')`).exec(tag);
  return found && { text: found[0], value: found[1] ?? found[2] };
}

function viewBoxOf(tag: string): readonly number[] | null {
  const box =
    attributeOf(tag, 'viewBox')
      ?.value.trim()
      .split(/[\s,]+/)
      .map(Number) ?? [];
  return box.length === 4 && box.every(Number.isFinite) && box[2] > 0 && box[3] > 0 ? box : null;
}

/** The size a drawing asks for; null where it names none. */
function statedSides(text: string): Sides | null {
  const tag = ROOT.exec(text)?.[0] ?? '';
  const box = viewBoxOf(tag);
  const width = lengthPx(attributeOf(tag, 'width')?.value) ?? box?.[2];
  const height = lengthPx(attributeOf(tag, 'height')?.value) ?? box?.[3];
  return width && height ? { width, height } : null;
}

/** The extent of what is drawn, for a drawing that names no size. */
async function measuredSides(bytes: Uint8Array): Promise<Sides> {
  const { width, height } = await sharp(bytes, { limitInputPixels: false }).metadata();
  return { width, height };
}

/** Rewrites width and height of the root element; the view box keeps the drawing whole. */
function atSize(text: string, { width, height }: Sides, longestPx: number): string {
  const root = ROOT.exec(text);
  if (!root) return text;
  const scale = longestPx / Math.max(width, height);
  const boxed = viewBoxOf(root[0]) !== null;
  let tag = root[0];
  for (const key of boxed ? ['width', 'height'] : ['width', 'height', 'viewBox']) {
    tag = tag.replace(attributeOf(tag, key)?.text ?? '', '');
  }
  const viewBox = boxed ? '' : ` viewBox="0 0 ${width} ${height}"`;
  const size = ` width="${width * scale}" height="${height * scale}"${viewBox}`;
  const name = /^<[\w:-]+/.exec(tag)![0];
  return text.slice(0, root.index) + name + size + tag.slice(name.length) + text.slice(root.index + root[0].length);
}

/** A CSS length in px; null for shares, missing and nonsense. */
function lengthPx(text: string | undefined): number | null {
  const parts = /^\s*([0-9]*\.?[0-9]+(?:e[+-]?[0-9]+)?)\s*(px|pt|pc|mm|cm|in|)\s*$/i.exec(text ?? '');
  if (!parts) return null;
  const px = Number(parts[1]) * PX_PER_UNIT[parts[2].toLowerCase()];
  return Number.isFinite(px) && px > 0 ? px : null;
}

function svgError(error: unknown, name: string): PlicaError {
  const message = error instanceof Error ? error.message : '';
  return /timeout/i.test(message) ? pixelError(error, name) : damaged(name);
}
