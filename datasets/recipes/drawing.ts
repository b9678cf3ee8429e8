/** What is put on a page, as plain data, before either renderer turns it into pixels. Frame: page px, y down. */
export type Rgb = readonly [red: number, green: number, blue: number];
export type Cap = 'butt' | 'round' | 'square';

/** A polyline of one width; dashes run along its whole length. */
export interface StrokeMark {
  readonly mark: 'stroke';
  /** x0, y0, x1, y1, ... page px. */
  readonly points: readonly number[];
  readonly width: number;
  readonly colour: Rgb;
  readonly opacity: number;
  /** Drawn and blank lengths in turn, page px; empty for solid. */
  readonly dash: readonly number[];
  readonly dashOffset: number;
  readonly cap: Cap;
}

/** A stroke of the hand: width and darkness change from point to point. */
export interface HandMark {
  readonly mark: 'hand';
  readonly points: readonly number[];
  /** One a point, page px. */
  readonly widths: readonly number[];
  /** One a point, 0..1. */
  readonly opacities: readonly number[];
  readonly colour: Rgb;
}

export interface ShapeMark {
  readonly mark: 'shape';
  readonly points: readonly number[];
  readonly colour: Rgb;
  readonly opacity: number;
}

export interface TextMark {
  readonly mark: 'text';
  readonly text: string;
  /** Left end of the base line. */
  readonly x: number;
  readonly y: number;
  /** Height of a capital, page px. */
  readonly height: number;
  readonly colour: Rgb;
  readonly face: 'serif' | 'sans-serif' | 'monospace';
  /** Clockwise on the page. */
  readonly angleRad: number;
}

export type Mark = StrokeMark | HandMark | ShapeMark | TextMark;

export interface Drawing {
  readonly width: number;
  readonly height: number;
  readonly ground: Rgb;
  /** Painted in order. */
  readonly marks: readonly Mark[];
}

export function hexOf(colour: Rgb): string {
  return `#${colour.map((part) => Math.round(part).toString(16).padStart(2, '0')).join('')}`;
}

/** A position on the page for every point of the pattern: uniform scale, y turned over. */
export interface Placement {
  /** Page px per pattern unit. */
  readonly scale: number;
  /** Page px of pattern (0, 0). */
  readonly originX: number;
  readonly originY: number;
}

export function placed(at: Placement, x: number, y: number): [number, number] {
  return [at.originX + at.scale * x, at.originY - at.scale * y];
}
