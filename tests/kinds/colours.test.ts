/** Creases told apart by the colour or the shade of their ink. */
import { describe, expect, it } from 'vitest';
import type { Colour } from '../ink/painted.ts';
import { type Inked, inked, lettersOf, PIECE_PX } from './inked.ts';

/** Mixed as a designer mixes them: no direction, line or part of the sheet is all of one pen. */
const mixed = (line: number, along: number, upright: boolean): number =>
  (line * 2 + along * 3 + (upright ? 1 : 0) + ((line * along) % 3)) % 2;

const RED: Colour = [220, 30, 40];
const BLUE: Colour = [30, 60, 200];
const BLACK: Colour = [0, 0, 0];

const hex = (c: Colour): string => `#${c.map((v) => v.toString(16).padStart(2, '0')).join('')}`;
const edges = ({ reading, penOf }: Inked): string[] => reading.kinds.filter((_, i) => penOf[i] === null);

const PAIRS: [string, Colour, Colour][] = [
  ['red and blue', RED, BLUE],
  ['green and magenta', [0, 140, 50], [200, 30, 160]],
  ['black and red', BLACK, [220, 20, 20]],
  ['black and grey', BLACK, [150, 150, 150]],
  ['pink and pale blue', [235, 150, 160], [150, 175, 240]],
  // Colours told apart with any colour sight: palette of Okabe & Ito 2008.
  ['vermilion and blue', [0xd5, 0x5e, 0x00], [0x00, 0x72, 0xb2]],
  ['purple and green', [0xcc, 0x79, 0xa7], [0x00, 0x9e, 0x73]],
  ['orange and sky', [0xe6, 0x9f, 0x00], [0x56, 0xb4, 0xe9]],
  ['black and blue', BLACK, [0x00, 0x72, 0xb2]],
];

describe.each(PAIRS)('%s', (_, first, second) => {
  const drawn = inked([{ colour: first }, { colour: second }], mixed);

  it('are two kinds, one a pen, with no piece astray', () => {
    expect([lettersOf(drawn, 0), lettersOf(drawn, 1)].sort()).toEqual(['M', 'V']);
    expect(edges(drawn)).toEqual(Array(24).fill('B'));
  });

  it('are two entries of the legend, each with its count', () => {
    const entries = drawn.reading.legend.filter((e) => e.kind !== 'B');
    expect(entries.length).toBe(2);
    for (const pen of [0, 1]) {
      const entry = entries.find((e) => e.kind === lettersOf(drawn, pen))!;
      expect(entry.count).toBe(drawn.penOf.filter((p) => p === pen).length);
      expect(entry.rhythm).toBe('solid');
    }
  });

  it('are odds that add up to one and are sure of what is plain', () => {
    drawn.reading.odds.forEach((odds, i) => {
      expect(Object.values(odds).reduce((sum, p) => sum + p, 0)).toBeCloseTo(1, 9);
      const kind = ({ M: 'mountain', V: 'valley', B: 'edge' } as const)[drawn.reading.kinds[i] as 'M' | 'V' | 'B'];
      expect(odds[kind]).toBeGreaterThan(0.9);
    });
  });

  it('mean what the legend says, whichever way round it says it', () => {
    for (const [mountain, valley] of [
      [first, second],
      [second, first],
    ]) {
      const told = inked([{ colour: first }, { colour: second }], mixed, {
        legend: [
          { kind: 'mountain', colour: hex(mountain) },
          { kind: 'valley', colour: hex(valley) },
        ],
      });
      expect(lettersOf(told, 0)).toBe(mountain === first ? 'M' : 'V');
      expect(lettersOf(told, 1)).toBe(mountain === first ? 'V' : 'M');
    }
  });

  it('mean what the legend says of one of them', () => {
    const told = inked([{ colour: first }, { colour: second }], mixed, {
      legend: [{ kind: 'valley', colour: hex(first) }],
    });
    expect([lettersOf(told, 0), lettersOf(told, 1)]).toEqual(['V', 'M']);
  });
});

describe('what colours mean without a legend', () => {
  // Common practice, no source: red mountain, blue valley; the darker of two greys mountain.
  it('red is mountain and blue is valley', () => {
    const drawn = inked([{ colour: BLUE }, { colour: RED }], mixed);
    expect([lettersOf(drawn, 0), lettersOf(drawn, 1)]).toEqual(['V', 'M']);
  });

  it('black is mountain and grey is valley, and that is said to be less sure than red and blue', () => {
    const grey = inked([{ colour: [150, 150, 150] }, { colour: BLACK }], mixed);
    expect([lettersOf(grey, 0), lettersOf(grey, 1)]).toEqual(['V', 'M']);
    const surest = (d: Inked) => Math.max(...d.reading.legend.filter((e) => e.kind === 'M').map((e) => e.probability));
    expect(surest(grey)).toBeLessThan(surest(inked([{ colour: RED }, { colour: BLUE }], mixed)));
  });

  it('the colour is the ink, not the paper: on yellowed paper the same', () => {
    const paper: Colour = [236, 224, 190];
    const drawn = inked([{ colour: BLUE }, { colour: RED }], mixed, { paper });
    expect([lettersOf(drawn, 0), lettersOf(drawn, 1)]).toEqual(['V', 'M']);
  });

  it('a third ink, pale grey, is a guide', () => {
    const three = (line: number, along: number, upright: boolean) => (line === 3 ? 2 : mixed(line, along, upright));
    const drawn = inked([{ colour: RED }, { colour: BLUE }, { colour: [190, 190, 190] }], three);
    expect([0, 1, 2].map((pen) => lettersOf(drawn, pen))).toEqual(['M', 'V', 'F']);
  });

  it.each<[string, Colour]>([
    ['black', BLACK],
    ['red', RED],
    ['grey', [120, 120, 120]],
  ])('one ink alone, %s, is undecided where creases meet: each vertex needs both kinds (Maekawa)', (_, colour) => {
    const drawn = inked([{ colour }], () => 0);
    expect(lettersOf(drawn, 0)).toBe('U');
    for (const [i, odds] of drawn.reading.odds.entries()) {
      if (drawn.penOf[i] !== null) expect(odds.mountain).toBeCloseTo(odds.valley, 9);
    }
  });
});

describe('a crease that turns from one colour to the other', () => {
  const PIECE = 6 + 2;

  it.each([0.2, 0.35, 0.5, 0.8])('%f along it, is said to turn there to a px, and no other is', (at) => {
    const drawn = inked([{ colour: RED }, { colour: BLUE }], mixed, {
      turn: { piece: PIECE, at, pen: 1 - mixed(1, 2, false) },
    });
    drawn.reading.measured.forEach(({ change }, i) => {
      if (i !== PIECE) expect(change).toBeNull();
    });
    expect(Math.abs(drawn.reading.measured[PIECE].change!.at - at)).toBeLessThan(1 / PIECE_PX);
  });
});
