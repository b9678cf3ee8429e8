/**
 * Pictures of crease patterns with known outline, drawn by code for the rectify tests: flat page by SVG, then carried into
 * the picture by a homography, a curl and a lens, over a desk, under uneven light. All randomness is seeded.
 */
import sharp from 'sharp';
import type { Homography } from '../../pipeline/geometry/homography.ts';
import { apply, homographyFrom } from '../../pipeline/geometry/homography.ts';
import type { Picture } from '../../pipeline/types.ts';

export type Point = readonly [number, number];
export type Random = () => number;

/** Mulberry32: a small seeded generator of numbers in [0, 1). */
export function seeded(seed: number): Random {
  let state = (seed * 2654435761) >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** Creases of a drawing in sheet units (longest side 1, y DOWN), kind 0 mountain, 1 valley. */
export interface Drawing {
  readonly outline: readonly Point[];
  readonly creases: readonly { readonly from: Point; readonly to: Point; readonly kind: 0 | 1 }[];
}

export interface Scene {
  readonly drawing: Drawing;
  readonly width: number;
  readonly height: number;
  /** Side of the sheet unit on the flat page, px, and where the unit square sits. */
  readonly unitPx: number;
  readonly pageWidth: number;
  readonly pageHeight: number;
  readonly originX: number;
  readonly originY: number;
  readonly paper: string;
  readonly ink: { readonly edge: string | null; readonly mountain: string; readonly valley: string };
  readonly stroke: { readonly edge: number; readonly crease: number };
  readonly dash: { readonly mountain: string; readonly valley: string };
  readonly wobblePx: number;
  readonly overshootPx: number;
  /** Extra SVG on the page, under and over the pattern. */
  readonly under: string;
  readonly over: string;
  /** Page corners on the picture (top left, top right, bottom right, bottom left), px. */
  readonly pageCorners: readonly Point[];
  /** Bulge of the page as a share of its size (curl), and radial lens term. */
  readonly curl: number;
  readonly lens: number;
  readonly desk: 'none' | 'dark' | 'wood' | 'light' | 'grey' | 'cloth';
  readonly shadow: number;
  readonly lightSlope: number;
  readonly noise: number;
  readonly blur: number;
  readonly jpeg: number;
  readonly seed: number;
}

export interface Rendered {
  readonly picture: Picture;
  /** True corners on the picture in pattern order: bottom left first, counterclockwise on the sheet. */
  readonly corners: readonly Point[];
}

const twoPlaces = (v: number): string => v.toFixed(2);

function strokePath(from: Point, to: Point, scene: Scene, random: Random, overshoot: number): string {
  const place = (p: Point): Point => [scene.originX + p[0] * scene.unitPx, scene.originY + p[1] * scene.unitPx];
  let a = place(from);
  let b = place(to);
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
  const ux = (b[0] - a[0]) / length;
  const uy = (b[1] - a[1]) / length;
  if (overshoot > 0) {
    const ea = (random() * 1.6 - 0.6) * overshoot;
    const eb = (random() * 1.6 - 0.6) * overshoot;
    a = [a[0] - ux * ea, a[1] - uy * ea];
    b = [b[0] + ux * eb, b[1] + uy * eb];
  }
  if (scene.wobblePx <= 0) return `M${twoPlaces(a[0])} ${twoPlaces(a[1])}L${twoPlaces(b[0])} ${twoPlaces(b[1])}`;
  const steps = Math.max(2, Math.round(length / 60));
  let path = '';
  const bow = (random() - 0.5) * 2 * scene.wobblePx;
  for (let i = 0; i <= steps; i++) {
    const t = i / steps;
    const off = bow * Math.sin(Math.PI * t) + (random() - 0.5) * scene.wobblePx * 0.5;
    const x = a[0] + (b[0] - a[0]) * t - uy * off;
    const y = a[1] + (b[1] - a[1]) * t + ux * off;
    path += `${i === 0 ? 'M' : 'L'}${twoPlaces(x)} ${twoPlaces(y)}`;
  }
  return path;
}

function pageSvg(scene: Scene): string {
  const random = seeded(scene.seed + 77);
  const parts: string[] = [];
  parts.push(
    `<svg xmlns="http://www.w3.org/2000/svg" width="${scene.pageWidth}" height="${scene.pageHeight}">`,
    `<rect width="100%" height="100%" fill="${scene.paper}"/>`,
    scene.under,
  );
  for (const crease of scene.drawing.creases) {
    const dash = crease.kind === 0 ? scene.dash.mountain : scene.dash.valley;
    const colour = crease.kind === 0 ? scene.ink.mountain : scene.ink.valley;
    const d = strokePath(crease.from, crease.to, scene, random, scene.overshootPx);
    parts.push(
      `<path d="${d}" fill="none" stroke="${colour}" stroke-width="${scene.stroke.crease}"${dash ? ` stroke-dasharray="${dash}"` : ''}/>`,
    );
  }
  if (scene.ink.edge) {
    const n = scene.drawing.outline.length;
    for (let i = 0; i < n; i++) {
      const d = strokePath(
        scene.drawing.outline[i],
        scene.drawing.outline[(i + 1) % n],
        scene,
        random,
        scene.overshootPx,
      );
      parts.push(
        `<path d="${d}" fill="none" stroke="${scene.ink.edge}" stroke-linecap="square" stroke-width="${scene.stroke.edge}"/>`,
      );
    }
  }
  parts.push(scene.over, '</svg>');
  return parts.join('\n');
}

function deskColour(kind: Scene['desk'], x: number, y: number, size: number, phase: number): [number, number, number] {
  if (kind === 'dark') return [38, 36, 40];
  if (kind === 'grey') return [128 + 10 * Math.sin(x / 90 + phase), 128, 126];
  if (kind === 'light') return [226, 224, 219];
  if (kind === 'cloth') {
    const weave = 14 * (Math.sin(x * 0.9) + Math.sin(y * 0.9 + phase));
    return [86 + weave, 100 + weave, 130 + weave];
  }
  const grain =
    26 * Math.sin((y + 14 * Math.sin(x / (0.13 * size) + phase)) / (0.006 * size)) +
    14 * Math.sin((y + 9 * Math.sin(x / (0.05 * size))) / (0.0021 * size) + phase);
  const plank = Math.abs(((y / size) * 4 + phase) % 1) < 0.015 ? -60 : 0;
  return [138 + grain + plank, 96 + grain * 0.8 + plank, 60 + grain * 0.6 + plank];
}

/** Draws the scene; the outline's corners come from the same map that carried the page. */
export async function renderScene(scene: Scene): Promise<Rendered> {
  const { pageWidth: pw, pageHeight: ph, width, height } = scene;
  const flat = await sharp(Buffer.from(pageSvg(scene)))
    .removeAlpha()
    .raw()
    .toBuffer();
  const size = Math.max(width, height);
  const toPage: Homography = homographyFrom(scene.pageCorners, [
    [0, 0],
    [pw, 0],
    [pw, ph],
    [0, ph],
  ]);
  const cx = width / 2;
  const cy = height / 2;
  const bend = (px: number, py: number): Point => {
    const dx = (px - cx) / size;
    const dy = (py - cy) / size;
    const r2 = dx * dx + dy * dy;
    const [x, y] = apply(toPage, [cx + (px - cx) * (1 + scene.lens * r2), cy + (py - cy) * (1 + scene.lens * r2)]);
    const u = x / pw;
    return [x, y + scene.curl * ph * Math.sin(Math.PI * Math.min(1, Math.max(0, u)) + 0.4) * (0.55 + (0.45 * y) / ph)];
  };
  const random = seeded(scene.seed + 5);
  const phase = random() * 6;
  const out = new Uint8Array(width * height * 3);
  const shadowAngle = random() * Math.PI;
  const shadowAt = (random() - 0.5) * 0.5 * size;
  const slopeAngle = random() * 2 * Math.PI;
  const sub = 2;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      let r = 0;
      let g = 0;
      let b = 0;
      for (let sy = 0; sy < sub; sy++) {
        for (let sx = 0; sx < sub; sx++) {
          const px = x + (sx + 0.5) / sub;
          const py = y + (sy + 0.5) / sub;
          const q = bend(px, py);
          if (q[0] < 0 || q[1] < 0 || q[0] >= pw || q[1] >= ph) {
            if (scene.desk === 'none') {
              const edge = (Math.min(ph - 1, Math.max(0, q[1] | 0)) * pw + Math.min(pw - 1, Math.max(0, q[0] | 0))) * 3;
              r += flat[edge];
              g += flat[edge + 1];
              b += flat[edge + 2];
            } else {
              const c = deskColour(scene.desk, px, py, size, phase);
              r += c[0];
              g += c[1];
              b += c[2];
            }
            continue;
          }
          const fx = Math.max(0, q[0] - 0.5);
          const fy = Math.max(0, q[1] - 0.5);
          const x0 = fx | 0;
          const y0 = fy | 0;
          const x1 = Math.min(pw - 1, x0 + 1);
          const y1 = Math.min(ph - 1, y0 + 1);
          const wx = fx - x0;
          const wy = fy - y0;
          const i00 = (y0 * pw + x0) * 3;
          const i10 = (y0 * pw + x1) * 3;
          const i01 = (y1 * pw + x0) * 3;
          const i11 = (y1 * pw + x1) * 3;
          const w00 = (1 - wx) * (1 - wy);
          const w10 = wx * (1 - wy);
          const w01 = (1 - wx) * wy;
          const w11 = wx * wy;
          r += flat[i00] * w00 + flat[i10] * w10 + flat[i01] * w01 + flat[i11] * w11;
          g += flat[i00 + 1] * w00 + flat[i10 + 1] * w10 + flat[i01 + 1] * w01 + flat[i11 + 1] * w11;
          b += flat[i00 + 2] * w00 + flat[i10 + 2] * w10 + flat[i01 + 2] * w01 + flat[i11 + 2] * w11;
        }
      }
      const across = ((x - cx) * Math.cos(slopeAngle) + (y - cy) * Math.sin(slopeAngle)) / size;
      const s = (x - cx) * Math.cos(shadowAngle) + (y - cy) * Math.sin(shadowAngle) - shadowAt;
      const shade = 1 - scene.shadow / (1 + Math.exp(-s / (0.008 * size)));
      const light = ((1 + scene.lightSlope * across) * shade) / (sub * sub);
      const grain = scene.noise > 0 ? (random() + random() + random() - 1.5) * 2 * scene.noise : 0;
      const o = (y * width + x) * 3;
      out[o] = Math.min(255, Math.max(0, r * light + grain));
      out[o + 1] = Math.min(255, Math.max(0, g * light + grain));
      out[o + 2] = Math.min(255, Math.max(0, b * light + grain * 0.8));
    }
  }
  let image = sharp(Buffer.from(out.buffer), { raw: { width, height, channels: 3 } });
  if (scene.blur > 0.3) image = image.blur(scene.blur);
  const coded =
    scene.jpeg > 0
      ? await image.jpeg({ quality: scene.jpeg }).toBuffer()
      : await image.png({ compressionLevel: 0 }).toBuffer();
  const data = await sharp(coded).removeAlpha().raw().toBuffer();
  const corners = scene.drawing.outline.map((p) =>
    invert(
      bend,
      [scene.originX + p[0] * scene.unitPx, scene.originY + p[1] * scene.unitPx],
      homographyFrom(
        [
          [0, 0],
          [pw, 0],
          [pw, ph],
          [0, ph],
        ],
        scene.pageCorners,
      ),
    ),
  );
  return {
    picture: {
      raster: { width, height, channels: 3, data: new Uint8Array(data.buffer, data.byteOffset, data.length) },
      name: `scene-${scene.seed}`,
      format: 'png',
      fullWidth: width,
      fullHeight: height,
      scale: 1,
    },
    corners,
  };
}

/** Newton iteration with numeric derivatives: the picture point that `map` carries to `target`. */
function invert(map: (x: number, y: number) => Point, target: Point, guess: Homography): Point {
  let [x, y] = apply(guess, target);
  for (let i = 0; i < 30; i++) {
    const f = map(x, y);
    const fx = map(x + 0.5, y);
    const fy = map(x, y + 0.5);
    const a = (fx[0] - f[0]) * 2;
    const b = (fy[0] - f[0]) * 2;
    const c = (fx[1] - f[1]) * 2;
    const d = (fy[1] - f[1]) * 2;
    const det = a * d - b * c;
    const ex = target[0] - f[0];
    const ey = target[1] - f[1];
    x += (d * ex - b * ey) / det;
    y += (a * ey - c * ex) / det;
  }
  return [x, y];
}
