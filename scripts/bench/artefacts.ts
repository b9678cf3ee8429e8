import { copyFile, mkdir, writeFile } from 'node:fs/promises';
import { extname, join } from 'node:path';
import sharp from 'sharp';
import type { Kind, Pattern, PatternPoint, PicturePoint, Recovery } from '../../pipeline/types.ts';
import type { StoredPicture } from './pictures.ts';
import { type Score, VERTEX_TOLERANCE } from './score.ts';

/** Length of the pieces that are compared, pattern units. */
const PIECE = 1 / 160;
/** Lines that differ by more than this in direction are different lines, radians. */
const TURN = 0.06;
const SIDE = 900;

interface Piece {
  readonly a: PatternPoint;
  readonly b: PatternPoint;
  readonly kind: Kind;
  verdict: 'same' | 'other-kind' | 'alone';
}

const COLOURS = {
  truth: { same: '#9a9a9a', 'other-kind': '#d98200', alone: '#d00000' },
  got: { same: '#2a9d4a', 'other-kind': '#d98200', alone: '#1040ff' },
} as const;

/** Write the picture, and beside it what was missed (red), added (blue) and given the wrong kind (orange), on the picture and flat. */
export async function saveFailure(
  folder: string,
  picture: StoredPicture,
  truth: Pattern,
  recovery: Recovery | null,
  score: Score | string,
): Promise<void> {
  await mkdir(folder, { recursive: true });
  const stem = join(folder, `${picture.kind}-${picture.seed}`);
  await copyFile(picture.file, `${stem}${extname(picture.file)}`);
  const facts = {
    name: picture.name,
    notes: picture.notes,
    score,
    legend: recovery?.legend,
    outline: recovery?.outline,
    doubts: recovery?.doubts,
  };
  await writeFile(`${stem}.json`, `${JSON.stringify(facts, null, 1)}\n`);
  if (!recovery) return;
  const wanted = piecesOf(truth);
  const got = piecesOf(recovery.pattern);
  judge(wanted, got);
  judge(got, wanted);
  const sides = sizeOf(truth);
  const image = sharp(picture.file).autoOrient();
  const { width, height } = (await image.metadata()).autoOrient;
  const shrink = SIDE / Math.max(width, height);
  const [w, h] = [Math.round(width * shrink), Math.round(height * shrink)];
  const trueMap = quadMap(picture.outlineCorners, sides);
  const gotMap = quadMap(recovery.outline.corners, recovery.outline);
  const onPicture = svgOf(w, h, [
    ...(gotMap ? drawn(got, 'got', (p) => scaled(gotMap(p), shrink)) : []),
    ...(trueMap ? drawn(wanted, 'truth', (p) => scaled(trueMap(p), shrink)) : []),
  ]);
  const flat = (p: PatternPoint): PicturePoint => [20 + (SIDE - 40) * p[0], SIDE - 20 - (SIDE - 40) * p[1]];
  const flatSvg = svgOf(SIDE, SIDE, [...drawn(wanted, 'truth', flat), ...drawn(got, 'got', flat)]);
  const base = await image.resize(w, h, { fit: 'fill' }).removeAlpha().png().toBuffer();
  await sharp({ create: { width: w + SIDE, height: Math.max(h, SIDE), channels: 3, background: '#ffffff' } })
    .composite([
      { input: base, left: 0, top: 0 },
      { input: Buffer.from(onPicture), left: 0, top: 0 },
      { input: Buffer.from(flatSvg), left: w, top: 0 },
    ])
    .png()
    .toFile(`${stem}.diff.png`);
}

function sizeOf(pattern: Pattern): { width: number; height: number } {
  return {
    width: Math.max(...pattern.vertices.map(([x]) => x)),
    height: Math.max(...pattern.vertices.map(([, y]) => y)),
  };
}

function piecesOf(pattern: Pattern): Piece[] {
  const pieces: Piece[] = [];
  for (const { from, to, kind } of pattern.creases) {
    const [a, b] = [pattern.vertices[from], pattern.vertices[to]];
    const count = Math.max(1, Math.round(Math.hypot(b[0] - a[0], b[1] - a[1]) / PIECE));
    const at = (i: number): PatternPoint => [a[0] + ((b[0] - a[0]) * i) / count, a[1] + ((b[1] - a[1]) * i) / count];
    for (let i = 0; i < count; i++) pieces.push({ a: at(i), b: at(i + 1), kind, verdict: 'alone' });
  }
  return pieces;
}

/** Give each piece of `mine` its verdict from the nearest parallel pieces of `others`. */
function judge(mine: readonly Piece[], others: readonly Piece[]): void {
  const reach = VERTEX_TOLERANCE + PIECE / 2;
  const cell = (value: number): number => Math.floor(value / reach);
  const cells = new Map<number, Piece[]>();
  const middle = ({ a, b }: Piece): [number, number] => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const key = (x: number, y: number): number => x * 4096 + y;
  for (const piece of others) {
    const [x, y] = middle(piece);
    const at = key(cell(x), cell(y));
    const list = cells.get(at);
    if (list) list.push(piece);
    else cells.set(at, [piece]);
  }
  for (const piece of mine) {
    const [x, y] = middle(piece);
    const angle = Math.atan2(piece.b[1] - piece.a[1], piece.b[0] - piece.a[0]);
    for (let i = -1; i <= 1; i++) {
      for (let j = -1; j <= 1; j++) {
        for (const other of cells.get(key(cell(x) + i, cell(y) + j)) ?? []) {
          const [ox, oy] = middle(other);
          if (Math.hypot(ox - x, oy - y) > reach) continue;
          const turn = angle - Math.atan2(other.b[1] - other.a[1], other.b[0] - other.a[0]);
          if (Math.abs(Math.sin(turn)) > TURN) continue;
          if (other.kind === piece.kind) piece.verdict = 'same';
          else if (piece.verdict === 'alone') piece.verdict = 'other-kind';
        }
      }
    }
  }
}

function drawn(pieces: readonly Piece[], side: 'truth' | 'got', to: (p: PatternPoint) => PicturePoint): string[] {
  return pieces.map(({ a, b, verdict }) => {
    const [p, q] = [to(a), to(b)];
    const width = verdict === 'same' ? 1 : 3;
    return `<path d="M${p[0].toFixed(1)} ${p[1].toFixed(1)}L${q[0].toFixed(1)} ${q[1].toFixed(1)}" stroke="${COLOURS[side][verdict]}" stroke-width="${width}"/>`;
  });
}

function svgOf(width: number, height: number, lines: readonly string[]): string {
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}">${lines.join('')}</svg>`;
}

function scaled(point: PicturePoint, by: number): PicturePoint {
  return [point[0] * by, point[1] * by];
}

/** Pattern to picture by the perspective map that takes the sheet's corners to the four given; null for other outlines. */
function quadMap(
  corners: readonly PicturePoint[],
  sides: { readonly width: number; readonly height: number },
): ((p: PatternPoint) => PicturePoint) | null {
  if (corners.length !== 4) return null;
  const [[x0, y0], [x1, y1], [x2, y2], [x3, y3]] = corners;
  // Unit square to quadrilateral (Heckbert 1989).
  const [dx1, dx2, dy1, dy2] = [x1 - x2, x3 - x2, y1 - y2, y3 - y2];
  const [sx, sy] = [x0 - x1 + x2 - x3, y0 - y1 + y2 - y3];
  const det = dx1 * dy2 - dx2 * dy1;
  const g = (sx * dy2 - dx2 * sy) / det;
  const h = (dx1 * sy - sx * dy1) / det;
  const [a, b] = [x1 - x0 + g * x1, x3 - x0 + h * x3];
  const [d, e] = [y1 - y0 + g * y1, y3 - y0 + h * y3];
  return ([px, py]) => {
    const [u, v] = [px / sides.width, py / sides.height];
    const w = g * u + h * v + 1;
    return [(a * u + b * v + x0) / w, (d * u + e * v + y0) / w];
  };
}
