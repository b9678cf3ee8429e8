/**
 * Box pleating: a sheet divided into rectangles, each with its ridges at 45 degrees (the straight skeleton), hinges
 * square to the sides, and contours running around. Lines are led on so that Kawasaki's law holds at each vertex; the
 * letters come from a search, so the whole is lawful at each vertex only.
 */
import { exact } from '../../pipeline/geometry/exact.ts';
import type { Crease, ExactPoint, PatternPoint } from '../../pipeline/types.ts';
import { assignLetters } from './assign.ts';
import type { NamedPattern } from './family.ts';
import { tidyPattern } from './graph.ts';
import { squareLattice } from './lattices.ts';
import { makeRandom, type Random } from './random.ts';

/** The eight directions, counterclockwise from the x axis, in half units. */
const DX = [1, 1, 0, -1, -1, -1, 0, 1] as const;
const DY = [0, 1, 1, 1, 0, -1, -1, -1] as const;

/** Which sets of the eight directions obey Kawasaki's law with an even number of creases. */
const SOUND: readonly boolean[] = Array.from({ length: 256 }, (_, mask) => {
  const at = [0, 1, 2, 3, 4, 5, 6, 7].filter((d) => (mask >> d) & 1);
  if (at.length % 2 === 1) return false;
  const alternate = at.reduce((sum, d, i) => sum + (i % 2 === 0 ? -d : d), 0);
  return at.length === 0 || alternate === 4;
});

type Letter = 'M' | 'V' | null;

/** All positions in half units: 0 to side. */
interface Board {
  readonly side: number;
  readonly spokes: Uint8Array;
  /** Wished letter of the step that starts at a point in direction 0 to 3. */
  readonly wishes: Map<number, Letter>;
  /** Whether the right half is drawn as the mirror image of the left. */
  readonly mirrored: boolean;
}

interface Box {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
}

function place(board: Board, x: number, y: number): number {
  return y * (board.side + 1) + x;
}

function onBorder(board: Board, x: number, y: number): boolean {
  return x === 0 || y === 0 || x === board.side || y === board.side;
}

function addStep(board: Board, x: number, y: number, d: number, wish: Letter): void {
  const [nx, ny] = [x + DX[d], y + DY[d]];
  board.spokes[place(board, x, y)] |= 1 << d;
  board.spokes[place(board, nx, ny)] |= 1 << ((d + 4) % 8);
  board.wishes.set(d < 4 ? place(board, x, y) * 4 + d : place(board, nx, ny) * 4 + d - 4, wish);
}

/** Draws a straight run; runs along the border are the border's own. */
function addRun(board: Board, x: number, y: number, d: number, steps: number, wish: Letter): void {
  for (let i = 0; i < steps; i++) {
    const [px, py] = [x + DX[d] * i, y + DY[d] * i];
    const [nx, ny] = [px + DX[d], py + DY[d]];
    const along = (px === nx && (px === 0 || px === board.side)) || (py === ny && (py === 0 || py === board.side));
    if (!along) addStep(board, px, py, d, wish);
  }
}

/**
 * Leads a crease on from a point: straight across what it meets, turned by a ridge, to the border or to a vertex that
 * needs it. False where some vertex on the way cannot be made sound.
 */
function leadOn(board: Board, x: number, y: number, d: number, wish: Letter): boolean {
  return leadOne(board, x, y, d, wish) && (!board.mirrored || leadOne(board, board.side - x, y, (12 - d) % 8, wish));
}

function leadOne(board: Board, x: number, y: number, d: number, wish: Letter): boolean {
  for (;;) {
    if ((board.spokes[place(board, x, y)] >> d) & 1) return true;
    addStep(board, x, y, d, wish);
    x += DX[d];
    y += DY[d];
    if (onBorder(board, x, y)) return true;
    const mask = board.spokes[place(board, x, y)];
    if (SOUND[mask]) return true;
    const next = [d, (d + 2) % 8, (d + 6) % 8].find((e) => !((mask >> e) & 1) && SOUND[mask | (1 << e)]);
    if (next === undefined) return false;
    d = next;
  }
}

/** Cuts the sheet into rectangles by straight cuts at whole units. */
function divide(box: Box, least: number, random: Random, out: Box[], depth = 0): void {
  const [w, h] = [box.x1 - box.x0, box.y1 - box.y0];
  const wide = w === h ? random.chance(0.5) : w > h;
  const length = wide ? w : h;
  const small = Math.max(w, h) <= 2 * least;
  if (length < 2 * least || (small && random.chance(0.5)) || (depth > 1 && random.chance(0.15))) {
    out.push(box);
    return;
  }
  // Cuts at whole units: even positions on the half-unit board; halves are liked.
  const half = Math.round(length / 4) * 2;
  const at = random.chance(0.35) ? half : 2 * random.int(Math.ceil(least / 2), Math.floor((length - least) / 2));
  const [a, b] = wide
    ? [
        { ...box, x1: box.x0 + at },
        { ...box, x0: box.x0 + at },
      ]
    : [
        { ...box, y1: box.y0 + at },
        { ...box, y0: box.y0 + at },
      ];
  divide(a, least, random, out, depth + 1);
  divide(b, least, random, out, depth + 1);
}

function drawSkeleton(board: Board, box: Box): void {
  const [w, h] = [box.x1 - box.x0, box.y1 - box.y0];
  addRun(board, box.x0, box.y0, 0, w, 'M');
  addRun(board, box.x0, box.y1, 0, w, 'M');
  addRun(board, box.x0, box.y0, 2, h, 'M');
  addRun(board, box.x1, box.y0, 2, h, 'M');
  const half = Math.min(w, h) / 2;
  addRun(board, box.x0, box.y0, 1, half, null);
  addRun(board, box.x1, box.y0, 3, half, null);
  addRun(board, box.x1, box.y1, 5, half, null);
  addRun(board, box.x0, box.y1, 7, half, null);
  if (w > h) addRun(board, box.x0 + half, box.y0 + half, 0, w - h, 'V');
  if (h > w) addRun(board, box.x0 + half, box.y0 + half, 2, h - w, 'V');
}

/** Hinges where three ridges meet: square to the sides. */
function drawPeaks(board: Board, box: Box): boolean {
  const [w, h] = [box.x1 - box.x0, box.y1 - box.y0];
  const half = Math.min(w, h) / 2;
  if (w === h) return true;
  const ends: [number, number, number][] =
    w > h
      ? [
          [box.x0 + half, box.y0 + half, 4],
          [box.x1 - half, box.y0 + half, 0],
        ]
      : [
          [box.x0 + half, box.y0 + half, 6],
          [box.x0 + half, box.y1 - half, 2],
        ];
  return ends.every(([x, y, d]) => [d, (d + 2) % 8, (d + 6) % 8].every((e) => leadOn(board, x, y, e, null)));
}

/** Adds what unsound vertices lack, one crease at a time. */
function mend(board: Board, random: Random): boolean {
  const { side, spokes } = board;
  for (let y = 1; y < side; y++) {
    for (let x = 1; x < side; x++) {
      if (SOUND[spokes[place(board, x, y)]]) continue;
      const mask = spokes[place(board, x, y)];
      const d = random.shuffle([0, 2, 4, 6]).find((e) => !((mask >> e) & 1) && SOUND[mask | (1 << e)]);
      if (d === undefined || !leadOn(board, x, y, d, null)) return false;
    }
  }
  return spokes.every((mask, i) => SOUND[mask] || onBorder(board, i % (side + 1), Math.floor(i / (side + 1))));
}

/** Contours around inside a box and hinges from its sides, as many as the taste says. */
function drawPleats(board: Board, box: Box, contours: number, hinges: number, step: 1 | 2, random: Random): boolean {
  const half = Math.min(box.x1 - box.x0, box.y1 - box.y0) / 2;
  for (let k = step; k < half; k += step) {
    if (!random.chance(contours)) continue;
    if (!leadOn(board, box.x0 + k, box.y0 + k, 0, (k / step) % 2 === 0 ? 'M' : 'V')) return false;
  }
  for (let x = box.x0 + 2; x < box.x1; x += 2) {
    if (random.chance(hinges) && !hingeAt(board, x, box.y0)) return false;
  }
  for (let y = box.y0 + 2; y < box.y1; y += 2) {
    if (random.chance(hinges) && !hingeAt(board, box.x0, y)) return false;
  }
  return true;
}

/** A hinge square through a side of a box, both ways. */
function hingeAt(board: Board, x: number, y: number): boolean {
  const mask = board.spokes[place(board, x, y)];
  const vertical = (mask & 0b00010001) === 0b00010001 && (mask & 0b11101110) === 0;
  const horizontal = (mask & 0b01000100) === 0b01000100 && (mask & 0b10111011) === 0;
  if (!vertical && !horizontal) return true;
  const d = vertical ? 2 : 0;
  return leadOn(board, x, y, d, null) && leadOn(board, x, y, d + 4, null);
}

function drawBoard(divisions: number, random: Random): Board | null {
  const side = 2 * divisions;
  const mirrored = divisions % 2 === 0 && random.chance(0.5);
  const board: Board = { side, spokes: new Uint8Array((side + 1) ** 2), wishes: new Map(), mirrored };
  const boxes: Box[] = [];
  const least = 2 * Math.max(2, Math.round(divisions / random.range(2.5, 7)));
  divide({ x0: 0, y0: 0, x1: mirrored ? side / 2 : side, y1: side }, least, random, boxes);
  if (mirrored) boxes.push(...boxes.map((box) => ({ ...box, x0: side - box.x1, x1: side - box.x0 })));
  for (const box of boxes) drawSkeleton(board, box);
  if (!boxes.every((box) => drawPeaks(board, box)) || !mend(board, random)) return null;
  const [contours, hinges] = [random.range(0, 0.9), random.range(0, 0.4)];
  const drawn = mirrored ? boxes.slice(0, boxes.length / 2) : boxes;
  // Details on half units are common on coarse grids and would be specks on fine ones.
  const step = divisions <= 24 && random.chance(0.25) ? 1 : 2;
  const busy = drawn.filter(() => random.chance(0.7));
  return busy.every((box) => drawPleats(board, box, contours, hinges, step, random)) && mend(board, random)
    ? board
    : null;
}

/** The board as half-unit steps with vertices at every point used. */
function stepsOf(board: Board): { at: number[]; edges: Crease[]; wishes: Letter[] } {
  const { side, spokes } = board;
  const numbers = new Map<number, number>();
  const at: number[] = [];
  const number = (i: number): number => {
    if (!numbers.has(i)) numbers.set(i, at.push(i) - 1);
    return numbers.get(i)!;
  };
  const edges: Crease[] = [];
  const wishes: Letter[] = [];
  spokes.forEach((mask, i) => {
    for (let d = 0; d < 4; d++) {
      if (!((mask >> d) & 1)) continue;
      edges.push({ from: number(i), to: number(i + DX[d] + DY[d] * (side + 1)), kind: 'U' });
      wishes.push(board.wishes.get(i * 4 + d) ?? null);
    }
  });
  for (let k = 0; k < side; k++) {
    for (const [x0, y0, d] of [
      [k, 0, 0],
      [k, side, 0],
      [0, k, 2],
      [side, k, 2],
    ]) {
      const i = place(board, x0, y0);
      edges.push({ from: number(i), to: number(i + DX[d] + DY[d] * (side + 1)), kind: 'B' });
      wishes.push(null);
    }
  }
  return { at, edges, wishes };
}

/** For each step its mirror image in the upright middle line. */
function twinSteps(at: readonly number[], edges: readonly Crease[], side: number): number[] {
  const mirror = (i: number): number => i + side - 2 * (i % (side + 1));
  const key = (a: number, b: number): string => (a < b ? `${a}-${b}` : `${b}-${a}`);
  const numbers = new Map(edges.map(({ from, to }, c) => [key(at[from], at[to]), c]));
  return edges.map(({ from, to }, c) => numbers.get(key(mirror(at[from]), mirror(at[to]))) ?? c);
}

/** More creases than this are beyond what people publish for a 64-division sheet. */
const MOST_CREASES = 2200;

export function makeBox(seed: number): NamedPattern {
  const random = makeRandom(seed * 31 + 11);
  // A division whose lines cannot be led soundly, or lettered, is dropped for the next one of the same stream.
  for (;;) {
    const divisions = random.pick([8, 10, 12, 16, 16, 20, 24, 24, 28, 32, 32, 40, 48, 64]);
    const board = drawBoard(divisions, random);
    if (!board) continue;
    const { at, edges, wishes } = stepsOf(board);
    const { side } = board;
    const exactPoints = at.map(
      (i): ExactPoint => [exact(i % (side + 1), side), exact(Math.floor(i / (side + 1)), side)],
    );
    const points = exactPoints.map(([x, y]): PatternPoint => [x.p / x.q, y.p / y.q]);
    const loyal = random.range(0.8, 1);
    const twin = board.mirrored ? twinSteps(at, edges, side) : null;
    const lettered = assignLetters({ points, exact: exactPoints, edges }, random, (c, given) => {
      const like = twin && given(twin[c]);
      return like ?? (random.chance(loyal) ? wishes[c] : null);
    });
    if (!lettered) continue;
    const pattern = tidyPattern(
      { points, exact: exactPoints, edges: lettered },
      squareLattice(divisions, divisions, exactPoints),
    );
    if (pattern.creases.length > MOST_CREASES) continue;
    return {
      name: `box-${divisions}-${seed}`,
      family: 'box',
      pattern,
      source: `Box pleating of random rectangles on ${divisions} divisions, seed ${seed}.`,
      lawful: 'local',
    };
  }
}
