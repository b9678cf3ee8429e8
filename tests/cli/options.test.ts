import { describe, expect, it } from 'vitest';
import { parseLegend } from '../../pipeline/cli/legend.ts';
import { parseCorners, parseDivisions, parseLength, parsePage, parsePaper } from '../../pipeline/cli/options.ts';
import { PlicaError } from '../../pipeline/errors.ts';

describe('legend', () => {
  it.each([
    [
      'mountain=#d22,valley=#22c',
      [
        { kind: 'mountain', colour: '#dd2222' },
        { kind: 'valley', colour: '#2222cc' },
      ],
    ],
    ['mountain = Red , valley=rgb', null],
    ['Valley=BLUE', [{ kind: 'valley', colour: '#0000ff' }]],
    [
      'edge=#000000,guide=grey',
      [
        { kind: 'edge', colour: '#000000' },
        { kind: 'guide', colour: '#808080' },
      ],
    ],
    [
      'mountain=dashdot,valley=dashed',
      [
        { kind: 'mountain', rhythm: 'dashdot' },
        { kind: 'valley', rhythm: 'dashed' },
      ],
    ],
    ['mountain=dash-dot-dot', [{ kind: 'mountain', rhythm: 'dashdot' }]],
    ['mountain=solid', [{ kind: 'mountain', rhythm: 'solid' }]],
    [
      'mountain=thick,valley=thin',
      [
        { kind: 'mountain', width: 'thick' },
        { kind: 'valley', width: 'thin' },
      ],
    ],
    ['', null],
    ['mountain', null],
    ['mountain=', null],
    ['hill=red', null],
    ['mountain=#12', null],
    ['mountain=reddish', null],
    ['mountain=red=blue', null],
    ['mountain=#d22,valley=#dd2222', null],
  ])('%s', (text, rules) => {
    if (rules) expect(parseLegend(text)).toEqual(rules);
    else expect(() => parseLegend(text)).toThrow(PlicaError);
  });
});

describe('paper', () => {
  it.each([
    ['square', 'square'],
    ['auto', 'auto'],
    ['2:1', { width: 2, height: 1 }],
    ['1:1.4', { width: 1, height: 1.4 }],
    ['A4', null],
    ['0:1', null],
    ['1:0', null],
    ['1:100', null],
    ['-1:2', null],
    ['2:1:1', null],
    ['1..2:1', null],
  ])('%s', (text, paper) => {
    if (paper) expect(parsePaper(text)).toEqual(paper);
    else expect(() => parsePaper(text)).toThrow(/no shape of paper: give square, auto/);
  });
});

// International inch: 25.4 mm exactly.
it.each([
  ['150', 150],
  ['150mm', 150],
  ['15 cm', 150],
  ['6in', 152.4],
  ['0.35m', 350],
  ['1mm', null],
  ['20m', null],
  ['wide', null],
  ['5ft', null],
  ['-3cm', null],
])('size %s is %s mm', (text, mm) => {
  if (mm) expect(parseLength(text)).toBeCloseTo(mm, 9);
  else expect(() => parseLength(text)).toThrow(/no size of paper: give a length/);
});

it('corners are pairs of pixels, four at least', () => {
  expect(parseCorners(' 0,0 100,1.5  99,100 -2,98')).toEqual([
    [0, 0],
    [100, 1.5],
    [99, 100],
    [-2, 98],
  ]);
  for (const text of ['', '1,2 3,4 5,6', '1,2 3,4 5,6 7', '1,2 3,4 5,6 7,x', '1,2 3,4 5,6 7,', '1,2 3,4 5,6 7,8,9']) {
    expect(() => parseCorners(text), text).toThrow(PlicaError);
  }
});

it('pages and divisions are whole numbers from 1', () => {
  expect(parsePage('3')).toBe(3);
  expect(parseDivisions('32')).toBe(32);
  for (const text of ['0', '-1', '1.5', 'x', '', 'Infinity']) {
    expect(() => parsePage(text), text).toThrow(PlicaError);
    expect(() => parseDivisions(text), text).toThrow(PlicaError);
  }
  expect(() => parseDivisions('513')).toThrow('from 1 to 512');
});
