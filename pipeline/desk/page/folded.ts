/** The sheet folded flat, beside the pattern: from the front, from behind, or through all layers. */
import {
  countLayers,
  type FoldedDrawing,
  type Placing,
  placeFolded,
  seenPieces,
  toPixels,
} from '../work/fold-raster.ts';
import { attr, el, setText } from './el.ts';
import { makeLineKey } from './line-key.ts';
import type { Side, Store } from './store.ts';
import { foldedWords } from './words.ts';

type Rgb = readonly [number, number, number];

/** Pixels of the drawing to a CSS px: edges stay smooth on any screen. */
const FINE = 2;
const SIDES: readonly (readonly [Side, string])[] = [
  ['front', 'Front'],
  ['back', 'Back'],
  ['through', 'See-through'],
];
/** Light that a layer lets through. */
const CLEAR = 0.84;
const LINE_SHARE = 0.5;

export function makeFolded(store: Store): { readonly root: HTMLElement } {
  const canvas = el('canvas', { class: 'folded-canvas', role: 'img' });
  const words = el('p', { class: 'quiet folded-words' });
  const buttons = SIDES.map(([side, label]) =>
    el('button', { type: 'button', 'data-side': side, text: label, on: { click: () => store.set({ side }) } }),
  );
  const root = el('section', { class: 'folded', 'aria-labelledby': 'folded-title' }, [
    el('div', { class: 'folded-head' }, [
      el('h2', { id: 'folded-title', text: 'Folded' }),
      el('div', { class: 'choice', role: 'group', 'aria-label': 'Seen from' }, buttons),
    ]),
    el('div', { class: 'folded-box' }, [canvas]),
    words,
    makeLineKey(store).root,
  ]);
  let drawing: FoldedDrawing | null = null;
  const draw = (): void => {
    const { side } = store.get();
    const box = canvas.parentElement!.getBoundingClientRect();
    const [width, height] = [box.width, box.height].map((px) => Math.round(px * FINE));
    if (width === 0 || height === 0) return;
    canvas.width = width;
    canvas.height = height;
    const context = canvas.getContext('2d')!;
    if (!drawing || drawing.x.length === 0) return;
    const placing = placeFolded(drawing, width, height, side === 'back');
    const colours = coloursOf(canvas);
    if (side === 'through' || !drawing.above) paintThrough(context, drawing, placing, colours);
    else paintSide(context, drawing, placing, colours);
  };
  new ResizeObserver(draw).observe(root);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', draw);
  store.subscribe((shown, before) => {
    const { desk, side } = shown;
    if (!desk) return;
    if (before?.desk?.judgement === desk.judgement && before?.side === side) return;
    // The last drawing stays while the next is made, so that the eye keeps its place.
    if (typeof desk.judgement !== 'string') {
      drawing = desk.judgement.drawing;
    }
    root.classList.toggle('stale', desk.judgement === 'working');
    // Without an order of layers nothing is in front.
    const unordered = drawing !== null && drawing.above === null;
    const seen = unordered ? 'through' : side;
    for (const button of buttons) {
      button.disabled = unordered && button.dataset.side !== 'through';
      attr(button, 'aria-pressed', String(button.dataset.side === seen));
    }
    setText(words, foldedWords(desk.judgement, desk.laws.length));
    const name = seen === 'through' ? 'seen through' : seen === 'back' ? 'from behind' : 'from the front';
    canvas.setAttribute(
      'aria-label',
      drawing ? `The folded sheet, ${name}; white is the side that bears the pattern` : 'Nothing to fold yet',
    );
    draw();
  });
  return { root };
}

interface Colours {
  /** The side that the pattern is drawn on, and the other. */
  readonly drawn: Rgb;
  readonly other: Rgb;
  readonly line: Rgb;
}

/** From the page's style, so that they follow light and dark. */
function coloursOf(element: Element): Colours {
  const style = getComputedStyle(element);
  const read = (name: string): Rgb => {
    const hex = style.getPropertyValue(name).trim();
    return [1, 3, 5].map((at) => Number.parseInt(hex.slice(at, at + 2), 16)) as unknown as Rgb;
  };
  return { drawn: read('--fold-drawn'), other: read('--fold-other'), line: read('--fold-line') };
}

function paintSide(
  context: CanvasRenderingContext2D,
  drawing: FoldedDrawing,
  placing: Placing,
  colours: Colours,
): void {
  const { width, height, mirrored } = placing;
  const seen = seenPieces(drawing, placing);
  const image = context.createImageData(width, height);
  const { face, flipped } = drawing;
  // Pieces of one face are joined without a fold between them.
  const faceAt = (pixel: number) => (seen[pixel] < 0 ? -1 : face[seen[pixel]]);
  for (let pixel = 0; pixel < seen.length; pixel++) {
    const piece = seen[pixel];
    const own = faceAt(pixel);
    const column = pixel % width;
    const rim =
      (column + 1 < width && faceAt(pixel + 1) !== own) ||
      (pixel + width < seen.length && faceAt(pixel + width) !== own);
    if (piece < 0 && !rim) continue;
    const [r, g, b] = rim ? colours.line : (flipped[piece] === 1) === mirrored ? colours.drawn : colours.other;
    image.data.set([r, g, b, 255], pixel * 4);
  }
  context.putImageData(image, 0, 0);
}

function paintThrough(
  context: CanvasRenderingContext2D,
  drawing: FoldedDrawing,
  placing: Placing,
  colours: Colours,
): void {
  const { width, height } = placing;
  const layers = countLayers(drawing, placing);
  const image = context.createImageData(width, height);
  layers.forEach((count, pixel) => {
    if (count === 0) return;
    const light = CLEAR ** (count - 1);
    const mixed = colours.drawn.map((value, i) => light * value + (1 - light) * colours.other[i]);
    image.data.set([...mixed, 255], pixel * 4);
  });
  context.putImageData(image, 0, 0);
  context.strokeStyle = `rgb(${colours.line.join(' ')} / ${LINE_SHARE})`;
  context.lineWidth = FINE * 0.7;
  context.beginPath();
  for (let piece = 0; piece + 1 < drawing.start.length; piece++) {
    for (let i = drawing.start[piece]; i < drawing.start[piece + 1]; i++) {
      const [x, y] = toPixels(placing, drawing.x[i], drawing.y[i]);
      if (i === drawing.start[piece]) context.moveTo(x, y);
      else context.lineTo(x, y);
    }
    context.closePath();
  }
  context.stroke();
}
