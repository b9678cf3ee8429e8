/** Small differences between strokes are two inks where the kinds that they give obey a law that chance does not. */
import { describe, expect, it } from 'vitest';
import { lawEvidence } from '../../pipeline/kinds/law-evidence.ts';
import type { Odds } from '../../pipeline/types.ts';
import { BLACK } from '../ink/painted.ts';
import { inked, lettersOf, type Pen } from './inked.ts';

/**
 * A map folded along the level lines first, then across: a level line keeps its kind, an upright one changes at every
 * level line. So three creases of each crossing are of one kind (Maekawa's theorem: mountains less valleys are two).
 */
const folded = (line: number, along: number, upright: boolean): number => (upright ? line + along : line) % 2;
/** Two of each kind at every crossing, which breaks Maekawa's theorem. */
const byDirection = (_line: number, _along: number, upright: boolean): number => (upright ? 1 : 0);
/** All of one kind up to the middle, the other beyond: four of one kind at most crossings. */
const byPlace = (line: number, along: number, upright: boolean): number => ((upright ? line : along) < 3 ? 1 : 0);

const nearly: Pen[] = [
  { colour: BLACK, widthPx: 2.6 },
  { colour: BLACK, widthPx: 3.4 },
];

describe('strokes a little thicker than others', () => {
  it('are another kind where that folds', () => {
    const drawn = inked(nearly, folded);
    expect([lettersOf(drawn, 0), lettersOf(drawn, 1)]).toEqual(['V', 'M']);
  });

  it.each([
    ['by direction', byDirection],
    ['by place', byPlace],
  ])('are the same ink where they differ %s: that is how they came out', (_, penAt) => {
    const drawn = inked(nearly, penAt);
    expect([lettersOf(drawn, 0), lettersOf(drawn, 1)]).toEqual(['U', 'U']);
  });
});

describe('one ink that compression tinted in two ways', () => {
  const tints: [number, number, number][] = [
    [150, 140, 140],
    [178, 122, 112],
  ];
  /** Solid and dashed, in either tint. */
  const pens: Pen[] = [0, 1].flatMap((broken) =>
    tints.map((colour) => (broken ? { colour, rhythm: [12, 3] } : { colour })),
  );
  const tintOf = (line: number, along: number): number => ((line * along + along) % 3 === 1 ? 1 : 0);

  it('is told apart by its dashes where these fold and the tints do not', () => {
    const drawn = inked(pens, (line, along, upright) => 2 * folded(line, along, upright) + tintOf(line, along));
    expect([0, 1, 2, 3].map((pen) => lettersOf(drawn, pen))).toEqual(['M', 'M', 'V', 'V']);
  });
});

describe('two colours, each solid and dashed', () => {
  const colours: [number, number, number][] = [
    [190, 50, 10],
    [0, 95, 130],
  ];
  const pens: Pen[] = [false, true].flatMap((broken) =>
    colours.map((colour) => (broken ? { colour, rhythm: [5, 3] } : { colour })),
  );

  it('are mountain and valley by their dashes where those fold and the colours do not', () => {
    const drawn = inked(pens, (line, along, upright) => 2 * folded(line, along, upright) + (upright ? 1 : 0));
    expect([0, 1, 2, 3].map((pen) => lettersOf(drawn, pen))).toEqual(['M', 'M', 'V', 'V']);
  });

  it('are mountain and valley by their colours where those fold and the dashes do not', () => {
    const drawn = inked(pens, (line, along, upright) => (upright ? 2 : 0) + folded(line, along, upright));
    expect([0, 1, 2, 3].map((pen) => lettersOf(drawn, pen))).toEqual(['M', 'V', 'M', 'V']);
  });
});

describe('two colours that obey the laws far worse than strewn ones', () => {
  const pens: Pen[] = [{ colour: [120, 40, 160] }, { colour: [30, 130, 60] }];

  it('are no kinds: upright lines in one and level lines in the other', () => {
    const drawn = inked(pens, byDirection);
    // 25 crossings of two and two: Maekawa's theorem never holds, by chance it would at half of them.
    expect([lettersOf(drawn, 0), lettersOf(drawn, 1)]).toEqual(['U', 'U']);
  });
});

describe('a few black strokes among two colours', () => {
  const pens: Pen[] = [{ colour: [210, 30, 30] }, { colour: [30, 40, 200] }, { colour: BLACK }];
  const isMark = (line: number, along: number, upright: boolean): boolean => upright && line === 3 && along === 2;

  it('are marks, no creases, and the colours are kinds', () => {
    const { reading, penOf } = inked(pens, (line, along, upright) =>
      isMark(line, along, upright) ? 2 : folded(line, along, upright),
    );
    penOf.forEach((pen, i) => {
      if (pen === 2) expect(reading.odds[i].absent).toBeGreaterThan(0.9);
      else if (pen !== null) expect(reading.odds[i].absent).toBeLessThan(0.1);
    });
  });
});

// Valley dashed, mountain dash-dot: Yoshizawa-Randlett system (from memory).
describe('dashed and dash-dot strokes of which some came out half as thick', () => {
  const pens: Pen[] = [
    [6, 3],
    [6, 2, 1, 2],
  ].flatMap((rhythm) =>
    [3, 1.5].map((widthPx) => ({ colour: BLACK, widthPx, rhythm: rhythm.map((r) => (r * 3) / widthPx) })),
  );
  const isThin = (line: number, along: number): number => ((line * along + along) % 4 === 1 ? 1 : 0);

  it('are the two kinds that fold, and no guide', () => {
    const drawn = inked(pens, (line, along, upright) => 2 * folded(line, along, upright) + isThin(line, along));
    expect([0, 1, 2, 3].map((pen) => lettersOf(drawn, pen))).toEqual(['V', 'V', 'M', 'M']);
  });
});

describe('a third tint', () => {
  const red: [number, number, number] = [205, 110, 118];
  const blue: [number, number, number] = [129, 139, 182];

  it('in a few creases of one ink is that ink where the laws say so, and the palest ink is no guide', () => {
    const drawn = inked([{ colour: red }, { colour: blue }, { colour: [223, 136, 84] }], (line, along, upright) =>
      upright && line === 3 && folded(line, along, upright) === 0 ? 2 : folded(line, along, upright),
    );
    expect([0, 1, 2].map((pen) => lettersOf(drawn, pen))).toEqual(['M', 'V', 'M']);
  });

  it('that folds as nothing is the guide, though another ink is paler', () => {
    // Folded along the level lines and the outer upright ones; the middle upright line is no fold.
    const drawn = inked(
      [{ colour: red }, { colour: [150, 160, 225] }, { colour: [30, 110, 50] }],
      (line, along, upright) => {
        if (upright && line === 3) return 2;
        return upright ? (line + along) % 2 : line % 2;
      },
    );
    expect([0, 1, 2].map((pen) => lettersOf(drawn, pen))).toEqual(['M', 'V', 'F']);
  });
});

describe('the evidence of the laws', () => {
  const { graph, penOf } = inked(nearly, folded);
  const sure = (mountain: number): Odds => ({ mountain, valley: 1 - mountain, edge: 0, guide: 0, absent: 0 });
  const oddsOf = (mountain: (i: number) => number): Odds[] => penOf.map((_, i) => sure(mountain(i)));
  const crossings = 25;

  it('is for kinds that obey Maekawa everywhere, whichever of the two is mountain', () => {
    const asDrawn = lawEvidence(
      graph,
      oddsOf((i) => penOf[i] ?? 0),
    );
    const turned = lawEvidence(
      graph,
      oddsOf((i) => 1 - (penOf[i] ?? 0)),
    );
    // By chance 8 of the 16 ways to letter a crossing of four creases obey.
    expect(asDrawn).toBeGreaterThan(crossings * Math.log(2) * 0.9 - Math.log(5));
    expect(asDrawn).toBeLessThan(crossings * Math.log(2) * 1.1);
    expect(turned).toBeCloseTo(asDrawn, 9);
  });

  it('is nothing where all is open, and against kinds that break the law everywhere', () => {
    expect(
      lawEvidence(
        graph,
        oddsOf(() => 0.5),
      ),
    ).toBeCloseTo(0, 9);
    const { penOf: pens } = inked(nearly, byDirection);
    expect(
      lawEvidence(
        graph,
        oddsOf((i) => pens[i] ?? 0),
      ),
    ).toBeLessThan(-5);
  });
});
