/**
 * The vocabulary of Plica in one place.
 *
 * Frames. A point belongs to exactly one of three frames, and the type says which:
 *   picture  pixels of the upright picture as it was read (after EXIF rotation), origin top left, x right, y DOWN;
 *            the centre of the first pixel is (0.5, 0.5)
 *   paper    pixels of the straightened sheet, origin top left of its raster, x right, y DOWN, same pixel-centre rule
 *   pattern  the sheet scaled to longest side 1, origin bottom left, x right, y UP
 * Angles are in radians, counterclockwise in the pattern frame, unless a name says otherwise.
 * Orientation: a positive signed area is counterclockwise with y UP (pattern frame).
 */

declare const frame: unique symbol;
export type PicturePoint = readonly [x: number, y: number] & { readonly [frame]?: 'picture' };
export type PaperPoint = readonly [x: number, y: number] & { readonly [frame]?: 'paper' };
export type PatternPoint = readonly [x: number, y: number] & { readonly [frame]?: 'pattern' };

/** Pixels, row-major, channels interleaved, origin top left. Uint8 holds 0..255, Float32 holds what its owner says. */
export interface Raster<T extends Uint8Array | Float32Array = Uint8Array> {
  readonly width: number;
  readonly height: number;
  readonly channels: number;
  readonly data: T;
}

/** The picture as stages see it: upright RGB, never larger than the working limit. */
export interface Picture {
  readonly raster: Raster<Uint8Array>;
  /** Name for people: the file's base name, no folder. */
  readonly name: string;
  readonly format: string;
  /** Size of the upright original before shrinking, px. */
  readonly fullWidth: number;
  readonly fullHeight: number;
  /** raster px / original px, at most 1. Points given to people are in ORIGINAL picture pixels. */
  readonly scale: number;
}

/** Letters of the FOLD standard: edge (B), mountain, valley, flat or guide (F), undecided (U), cut (C). */
export type Kind = 'B' | 'M' | 'V' | 'F' | 'U' | 'C';

/**
 * An exact real number (p + r·√root) / q with integers p, r and q > 0; root is 2 (22.5-degree family) or 3 (60-degree
 * family); r = 0 is a plain fraction. Always in lowest terms.
 */
export interface Exact {
  readonly p: number;
  readonly r: number;
  readonly q: number;
  readonly root: 2 | 3;
}
export type ExactPoint = readonly [x: Exact, y: Exact];

/** One straight crease between two vertices; `from` and `to` are indices into Pattern.vertices. */
export interface Crease {
  readonly from: number;
  readonly to: number;
  readonly kind: Kind;
}

export interface Lattice {
  /** square: N by N or N by M grid; angle22: the 22.5-degree family; hex: 60-degree grid; none: stays as measured. */
  readonly kind: 'square' | 'angle22' | 'hex' | 'none';
  /** Divisions along x and y for `square` (and hex along x); 0 where it has no meaning. */
  readonly divisionsX: number;
  readonly divisionsY: number;
  /** True where some vertices sit on half units. */
  readonly halfUnits: boolean;
  /** Root mean square distance of measured vertices to the lattice, pattern units. */
  readonly residual: number;
  /** Share of vertices that lie on the lattice exactly, 0..1. */
  readonly fit: number;
}

/** A planar straight-line graph on the sheet. Longest side of the outline is 1. */
export interface Pattern {
  readonly vertices: readonly PatternPoint[];
  /** Exact coordinates beside the floating ones; null where none fits. Same length as vertices. */
  readonly exact: readonly (ExactPoint | null)[];
  readonly creases: readonly Crease[];
  readonly lattice: Lattice | null;
}

export type KindOfOdds = 'mountain' | 'valley' | 'edge' | 'guide' | 'absent';
/** Probabilities that sum to 1. */
export type Odds = Readonly<Record<KindOfOdds, number>>;

/** What the picture says about one crease of a pattern (same index). */
export interface Evidence {
  readonly odds: Odds;
  /** Share of the crease's length with ink, 0..1. */
  readonly coverage: number;
  /** Distance between the measured line and the drawn crease, pattern units (root mean square). */
  readonly residual: number;
  readonly origin: 'seen' | 'inferred' | 'edited';
}

export type DoubtCode =
  | 'kind-unclear'
  | 'kind-conflict'
  | 'crease-faint'
  | 'crease-missing'
  | 'end-dangling'
  | 'off-lattice'
  | 'kind-changes'
  | 'convention-unknown'
  | 'mountain-valley-swap'
  | 'outline-assumed'
  | 'stray-ink'
  | 'too-close'
  | 'law-broken'
  | 'vertex-split'
  | 'place-unsure';

/** A finding as data; words for it are made in report/ only. */
export interface Doubt {
  readonly what: DoubtCode;
  /** Index into Pattern.creases, if it is about a crease. */
  readonly crease?: number;
  /** Index into Pattern.vertices, if it is about a vertex. */
  readonly vertex?: number;
  readonly at: PatternPoint;
  /** In ORIGINAL picture pixels. */
  readonly atPicture: PicturePoint;
  /** Numbers and names that the sentence needs. */
  readonly facts: Readonly<Record<string, string | number>>;
  /** Probability that the shown answer is right, 0..1. */
  readonly probability: number;
  /** The likeliest alternative. */
  readonly instead: KindOfOdds | 'other' | null;
}

export type LawName =
  | 'planar'
  | 'closed-outline'
  | 'even-degree'
  | 'kawasaki'
  | 'maekawa'
  | 'big-little-big'
  | 'crimp'
  | 'loop-closure'
  | 'layer-order';

/** A law that the pattern breaks, as data. */
export interface BrokenLaw {
  readonly law: LawName;
  readonly vertex?: number;
  readonly creases?: readonly number[];
  readonly faces?: readonly number[];
  readonly at: PatternPoint;
  /** By how much: degrees for kawasaki, M - V for maekawa, pattern units for loop-closure, else a count. */
  readonly amount: number;
  readonly facts?: Readonly<Record<string, string | number>>;
}

/** Whether the whole sheet, as shown, folds flat. Laws that it breaks stand in Recovery.laws. */
export interface Foldability {
  readonly verdict: 'folds' | 'does-not' | 'undecided';
  /** Layer orders (over all kinds of undecided creases) with the largest face up, in digits; null where none was found. */
  readonly states: { readonly count: string; readonly atLeast: boolean } | null;
  /** Creases that the picture left undecided and folding settles: of one kind in every layer order, or of either. */
  readonly settled: { readonly forced: number; readonly free: number; readonly unclear: number };
  /**
   * Why it is undecided: the time ran out, more layers overlap than fit, creases are too short for how well they are placed, cuts
   * part the sheet, or an error; and the number of faces whose order is open, as far as known.
   */
  readonly undecided: { readonly why: 'time' | 'size' | 'coarse' | 'parts' | 'failed'; readonly faces: number } | null;
}

/** What one ink of the picture is taken to mean, and why. */
export interface LegendEntry {
  readonly kind: Kind;
  /** sRGB of the ink, #rrggbb. */
  readonly colour: string;
  readonly rhythm: 'solid' | 'dashed' | 'dashdot' | 'dotted';
  /** Stroke width, picture px. */
  readonly width: number;
  /** Number of creases that carry it. */
  readonly count: number;
  readonly why: string;
  /** Probability that the reading is right. */
  readonly probability: number;
}

/** How the sheet was found on the picture. Corners in ORIGINAL picture pixels, in pattern order: bottom left first, counterclockwise on the sheet. */
export interface Outline {
  readonly corners: readonly PicturePoint[];
  readonly how: 'drawn-border' | 'outermost-ink' | 'sheet-edge' | 'picture-edge' | 'given';
  /** Sides of the sheet in pattern units (longest is 1). */
  readonly width: number;
  readonly height: number;
  /** Probability that the outline is right. */
  readonly probability: number;
  readonly assumed: readonly string[];
}

/** Everything the main job says. */
export interface Recovery {
  readonly pattern: Pattern;
  readonly evidence: readonly Evidence[];
  readonly outline: Outline;
  readonly legend: readonly LegendEntry[];
  readonly doubts: readonly Doubt[];
  readonly laws: readonly BrokenLaw[];
  /** Missing where nobody asked. */
  readonly foldability?: Foldability;
  /** Regular pale grid printed under the creases, if any: it is no crease and stands apart from the pattern. */
  readonly guideGrid: GuideGrid | null;
  /** Milliseconds per stage, by stage name. */
  readonly timings: Readonly<Record<string, number>>;
  /** The straightened sheet, for reports and the desk. */
  readonly sheet: Sheet;
  readonly picture: Picture;
}

/** Divisions of the sheet's longest side, or of a unit across and up; `shape` where its lines do not run along the sheet's sides. */
export interface GuideGrid {
  readonly divisionsX: number;
  readonly divisionsY: number;
  readonly shape?: 'triangles' | 'squares';
}

/** The straightened sheet with a margin around the outline. */
export interface Sheet {
  /** RGB, light not yet evened. */
  readonly raster: Raster<Uint8Array>;
  /** Paper px per pattern unit. */
  readonly pxPerUnit: number;
  /** Paper px per pattern unit beyond which the picture shows no more; missing means these. */
  readonly finestPx?: number;
  /** Px of the original per pattern unit, along the longest side; missing means these. */
  readonly originalPx?: number;
  /** Where pattern (0,0) lies, paper px. */
  readonly originPx: PaperPoint;
  /** Sides in pattern units, longest is 1. */
  readonly width: number;
  readonly height: number;
  /** Outline polygon in the pattern frame, counterclockwise, first corner bottom left. */
  readonly polygon: readonly PatternPoint[];
  /** How far the sides bend on the picture, a share of the longest; missing means straight. */
  readonly bow?: number;
  /** How far the sides bend beyond what a lens and a sheet curled one way explain, a share of the longest; missing where they do not. */
  readonly unexplainedBow?: number;
  /** How far inner places may be off together, pattern units, where the sheet was folded once and opened again, or may have been; missing elsewhere. */
  readonly placeSpread?: number;
  /** Spread of width over height (natural log) where it was measured under perspective; missing where it is known. */
  readonly proportionSpread?: number;
  /** What the outline says of the proportions, where lines drawn on the sheet may still correct them. */
  readonly measured?: MeasuredProportions;
  /** Paper px to WORKING picture px (Picture.raster), including any bend that was fitted. */
  readonly toPicture: (p: PaperPoint) => PicturePoint;
  readonly outline: Outline;
}

/** The proportions of a rectangular sheet as its outline shows them: natural log of width over height. */
export interface MeasuredProportions {
  readonly log: number;
  /** Spread however rough the picture is. */
  readonly spread: number;
  /** Spread where the camera's axis passes through the picture's middle and its lens is good, and the share of pictures of which that is not so. */
  readonly fine: number;
  readonly rough: number;
  /** Somebody said that the sheet may be of any shape. */
  readonly toldAny: boolean;
}

/** Options of the main job; everything has a default. */
export interface RecoverOptions {
  /** What inks mean, as the user says: keys are kinds, values a colour, rhythm, or width word. */
  readonly legend?: readonly LegendRule[];
  /** square, auto, or the ratio of the sheet's sides. */
  readonly paper?: 'square' | 'auto' | { readonly width: number; readonly height: number };
  /** Four corners in ORIGINAL picture px, any order around the sheet, if a person set them. */
  readonly corners?: readonly PicturePoint[];
  /** Divisions, if a person set them. */
  readonly divisions?: number;
  /** Page of a PDF, from 1. */
  readonly page?: number;
  readonly ink?: 'learned' | 'classical';
  /** Takes the sheet for flat: the bend that its lines reveal stays in. To measure what taking it out gains. */
  readonly flat?: boolean;
  /** Folder for pictures of every stage. */
  readonly trace?: string;
  readonly onProgress?: (stage: StageName, share: number) => void;
  readonly signal?: AbortSignal;
}

export interface LegendRule {
  readonly kind: 'mountain' | 'valley' | 'edge' | 'guide';
  readonly colour?: string;
  readonly rhythm?: LegendEntry['rhythm'];
  /** Relative words for one-colour drawings. */
  readonly width?: 'thick' | 'thin';
}

export type StageName =
  | 'intake'
  | 'rectify'
  | 'ink'
  | 'strokes'
  | 'lattice'
  | 'graph'
  | 'kinds'
  | 'resolve'
  | 'validity'
  | 'report';
