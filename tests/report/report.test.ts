import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { foldabilityShort, foldabilityWords, lawGroups, ordersWords } from '../../pipeline/report/folding-words.ts';
import { gatherDoubts } from '../../pipeline/report/gather.ts';
import { reportHtml } from '../../pipeline/report/html.ts';
import { makeReport, type Report } from '../../pipeline/report/report.ts';
import { reportText } from '../../pipeline/report/text.ts';
import {
  doubtPlace,
  doubtTitle,
  doubtWhy,
  lawTitle,
  lawUnit,
  lawWhy,
  percent,
  placeWords,
  sureWords,
} from '../../pipeline/report/words.ts';
import type { BrokenLaw, Foldability, Recovery } from '../../pipeline/types.ts';
import { ALL_DOUBTS, ALL_LAWS, fullRecovery } from './recoveries.ts';

const schema = JSON.parse(readFileSync(new URL('../../pipeline/report/report.schema.json', import.meta.url), 'utf8'));
const validate = new Ajv2020({ allErrors: true, strict: true, strictRequired: false, allowUnionTypes: true }).compile(
  schema,
);
const KNOWN = { B: 4, M: 3, V: 3, F: 0, U: 0, C: 0 };
const UNKNOWN = { ...KNOWN, M: 0, V: 0, U: 6 };
const FOLDS: Foldability = {
  verdict: 'folds',
  states: { count: '2', atLeast: false },
  settled: { forced: 0, free: 0, unclear: 0 },
  undecided: null,
};
const MAEKAWA: BrokenLaw = { law: 'maekawa', vertex: 4, at: [0.5, 0.5], amount: 4 };
const LAYERS: BrokenLaw = { law: 'layer-order', creases: [1, 2], at: [0.5, 0.5], amount: 3 };
const BROKEN: Foldability = { ...FOLDS, verdict: 'does-not', states: null };
const LATE: Foldability = { ...FOLDS, verdict: 'undecided', states: null, undecided: { why: 'time', faces: 12 } };

/** As a reader of the file gets it. */
const asJson = (recovery: Recovery) => JSON.parse(JSON.stringify(makeReport(recovery)));

describe('report.json', () => {
  it('obeys its schema (JSON Schema 2020-12, checked by ajv), with every doubt and every law', () => {
    expect(validate(asJson(fullRecovery())), JSON.stringify(validate.errors)).toBe(true);
  });

  it('obeys it without doubts, laws, lattice, legend', () => {
    const bare = fullRecovery({ doubts: [], laws: [], legend: [], guideGrid: null });
    const report = asJson({ ...bare, pattern: { ...bare.pattern, lattice: null } });
    expect(validate(report), JSON.stringify(validate.errors)).toBe(true);
  });

  it.each([FOLDS, BROKEN, LATE])('obeys it with the verdict $verdict, and says it in a sentence', (foldability) => {
    const report = asJson(fullRecovery({ foldability, ...(foldability === BROKEN ? {} : { laws: [] }) }));
    expect(validate(report), JSON.stringify(validate.errors)).toBe(true);
    expect(report.foldability).toMatchObject(foldability);
    expect(report.foldability.summary).toMatch(/^[A-Z0-9].*\.$/);
  });

  it.each<[string, (report: ReturnType<typeof asJson>) => void]>([
    ['a number of layer orders that is no text', (r) => Object.assign(r.foldability.states, { count: 2 })],
    ['an unknown key', (r) => Object.assign(r, { extra: 1 })],
    ['a missing part', (r) => delete r.legend],
    ['a probability over 1', (r) => Object.assign(r.doubts[0], { probability: 1.01 })],
    ['a kind that is no letter of FOLD', (r) => Object.assign(r.creases[0], { kind: 'X' })],
    ['odds without absent', (r) => delete r.creases[0].odds.absent],
    ['a point of three numbers', (r) => r.doubts[0].at.push(0)],
    ['a doubt without its place on the picture', (r) => delete r.doubts[0].atPicture],
  ])('the schema refuses %s', (_, spoil) => {
    const report = asJson(fullRecovery({ foldability: FOLDS, laws: [] }));
    expect(validate(report)).toBe(true);
    spoil(report);
    expect(validate(report)).toBe(false);
  });

  it('numbers creases as the FOLD file does, with odds that sum to 1', () => {
    const recovery = fullRecovery();
    const report = makeReport(recovery);
    expect(report.creases.map(({ index }) => index)).toEqual(recovery.pattern.creases.map((_, i) => i));
    for (const { index, kind, odds } of report.creases) {
      expect(kind).toBe(recovery.pattern.creases[index].kind);
      expect(Object.values(odds).reduce((a, b) => a + b, 0)).toBeCloseTo(1, 9);
    }
  });

  it('counts the creases of each kind', () => {
    expect(makeReport(fullRecovery()).counts).toEqual({ B: 5, M: 2, V: 1, F: 1, U: 1, C: 0 });
  });

  it('loses no doubt and puts the most doubtful first', () => {
    const { doubts } = makeReport(fullRecovery());
    expect(doubts.map(({ what }) => what).sort()).toEqual([...ALL_DOUBTS].sort());
    const sure = doubts.map(({ probability }) => probability);
    expect(sure).toEqual([...sure].sort((a, b) => a - b));
  });
});

describe('words', () => {
  it.each(ALL_DOUBTS)('doubt %s has a title and a full sentence', (what) => {
    const doubt = { what, at: [0, 0], atPicture: [0, 0], facts: {}, probability: 0.5, instead: null } as const;
    for (const ofCrease of [true, false]) expect(doubtTitle(what, ofCrease)).toMatch(/^[A-Z][^.]*$/);
    for (const kind of ['M', undefined] as const) expect(doubtWhy(doubt, kind)).toMatch(/^[A-Z].*\.$/);
  });

  it.each(ALL_LAWS)('law %s has a title, a unit and a full sentence', (name) => {
    const law = { law: name, at: [0, 0], amount: 3 } as const;
    expect(lawTitle(law)).not.toBe('');
    expect(lawUnit(law)).not.toBe('');
    expect(lawWhy(law)).toMatch(/^[A-Z0-9].*\.$/);
  });

  it('facts enter the sentence', () => {
    const at = [0, 0] as const;
    expect(lawWhy({ law: 'maekawa', at, amount: 4, facts: { mountains: 5, valleys: 1 } })).toContain(
      'there are 5 and 1',
    );
    const doubt = {
      what: 'kind-conflict',
      at,
      atPicture: at,
      facts: { seen: 'valley' },
      probability: 0.5,
      instead: null,
    } as const;
    expect(doubtWhy(doubt, 'M')).toContain('looks like a valley,');
    expect(doubtWhy(doubt, 'M')).toContain('shown as mountain');
  });

  it.each(ALL_DOUBTS)('what else it may be, where doubt %s has an alternative that is no kind, is said', (what) => {
    const said = sureWords({ what, creases: [3], instead: 'other', probability: 0.8 });
    const aboutKind = ['kind-unclear', 'kind-conflict', 'crease-faint', 'crease-missing'].includes(what);
    expect(said).toMatch(aboutKind ? /^80 % sure$/ : /^80 % sure, else (a|one|another|mountain|the) /);
  });

  it('a crease that is not in the pattern is told as missing, with its direction and length', () => {
    const at = [0.5, 0.5] as const;
    const missing = {
      what: 'crease-missing',
      at,
      atPicture: at,
      facts: { angleDegrees: 45, length: 0.25 },
      probability: 0.2,
      instead: 'other',
      creases: [],
    } as const;
    expect(doubtTitle(missing.what, false)).toBe('Crease missing');
    expect(sureWords(missing)).toBe('80 % likely');
    expect(doubtWhy(missing, undefined)).toContain('at 45 degrees and 25 % of the side long');
    expect(doubtTitle(missing.what, true)).toBe('Crease inferred');
  });

  it('doubts about the picture as a whole have no place on it, the others name theirs', () => {
    const lattice = null;
    const at = [0.25, 0.5] as const;
    expect(doubtPlace({ what: 'mountain-valley-swap', creases: [], at }, lattice)).toBe('the whole sheet');
    expect(doubtPlace({ what: 'kind-unclear', creases: [7], at }, lattice)).toBe('crease 7, 25 % right, 50 % up');
    expect(doubtPlace({ what: 'off-lattice', creases: [], vertex: 2, at }, lattice)).toBe(
      'vertex 2, 25 % right, 50 % up',
    );
  });

  it('creases around one broken vertex, and all whose place is unsure, are told as one doubt each', () => {
    const about = { atPicture: [0, 0], facts: {}, instead: 'other' } as const;
    const gathered = gatherDoubts([
      { what: 'law-broken', vertex: 4, crease: 7, at: [0.25, 0.5], probability: 0.6, ...about },
      { what: 'law-broken', vertex: 4, crease: 9, at: [0.25, 0.5], probability: 0.75, ...about },
      { what: 'place-unsure', crease: 1, at: [0, 0.5], probability: 0.5, ...about },
      { what: 'law-broken', vertex: 5, crease: 2, at: [0.5, 0.5], probability: 0.4, ...about },
      { what: 'place-unsure', crease: 3, at: [0, 0.1], probability: 0.3, ...about },
    ]);
    expect(gathered.map(({ creases, probability }) => ({ creases, probability }))).toEqual([
      { creases: [7, 9], probability: 0.6 },
      { creases: [1, 3], probability: 0.3 },
      { creases: [2], probability: 0.4 },
    ]);
    expect(doubtPlace(gathered[0], null)).toBe('creases 7, 9, 25 % right, 50 % up');
    expect(doubtPlace(gathered[1], null)).toBe('2 creases all over the sheet');
  });

  it('laws of which the same is to be said are told once, with their places', () => {
    const at = [0.25, 0.5] as const;
    const clash = (creases: number[]): BrokenLaw => ({ law: 'layer-order', creases, at, amount: 2 });
    const groups = lawGroups([clash([1, 2]), MAEKAWA, clash([3])], null);
    expect(groups.map(({ title, places }) => [title, places])).toEqual([
      ['Order of layers', ['creases 1, 2, around 25 % right, 50 % up', 'crease 3, around 25 % right, 50 % up']],
      ['Maekawa', ['vertex 4, 50 % right, 50 % up']],
    ]);
  });

  // Kawasaki at every vertex is not sufficient for the whole sheet: Hull 1994; Bern & Hayes 1996.
  it('never calls a pattern foldable from local laws alone', () => {
    const words = foldabilityWords({ foldability: null, laws: [], counts: KNOWN });
    expect(words).toContain('does not prove it');
    expect(words).not.toMatch(/\bfoldable\b|Proven/);
    expect(foldabilityShort(null, 0)).not.toContain('folds flat');
  });

  it.each<[string, Foldability | null, readonly BrokenLaw[], Report['counts'], RegExp]>([
    ['proven', FOLDS, [], KNOWN, /^Proven: the whole sheet folds flat as shown \(2 layer orders found\)\.$/],
    ['broken', BROKEN, [MAEKAWA, LAYERS], KNOWN, /^Does not fold flat as shown: laws .* are broken at 2 places\.$/],
    [
      'broken as a whole',
      BROKEN,
      [LAYERS],
      KNOWN,
      /^Every vertex by itself .* whole sheet does not .* clash at one place\.$/,
    ],
    [
      'not decided',
      LATE,
      [],
      KNOWN,
      /^Every vertex obeys .*\. Whether the whole sheet folds flat is not decided: there/,
    ],
    [
      'kinds unknown, some choice folds',
      FOLDS,
      [],
      UNKNOWN,
      /^Which creases are .* not known\. Proven: .* for some choice/,
    ],
    [
      'kinds unknown, none folds',
      BROKEN,
      [MAEKAWA],
      UNKNOWN,
      /^Which creases are .* not known\. Does not .*, whichever creases/,
    ],
    [
      'kinds unknown, not decided',
      LATE,
      [],
      UNKNOWN,
      /^Which creases are .* not known\. Every vertex .* is not decided/,
    ],
    [
      'one kind unknown',
      FOLDS,
      [],
      { ...KNOWN, U: 1 },
      /^Of one crease it is not known .* Proven: .* choice of it \(2/,
    ],
    [
      'settled by folding',
      { ...FOLDS, settled: { forced: 3, free: 1, unclear: 0 } },
      [],
      { ...KNOWN, U: 4 },
      /^Of 4 creases .* Of the open creases 3 can only be of one kind, 1 of either\.$/,
    ],
  ])('says in plain words: %s', (_, foldability, laws, counts, words) => {
    expect(foldabilityWords({ foldability, laws, counts })).toMatch(words);
  });

  it('every reason for "not decided" has words', () => {
    for (const why of ['time', 'size', 'coarse', 'parts', 'failed'] as const) {
      const foldability = { ...LATE, undecided: { why, faces: 0 } };
      expect(foldabilityWords({ foldability, laws: [], counts: KNOWN })).toMatch(/not decided: [a-z][^.]+\.$/);
    }
  });

  it.each([
    ['1', false, '1 layer order'],
    ['1', true, 'at least 1 layer order'],
    ['12', false, '12 layer orders'],
    ['123456789', true, 'at least 123456789 layer orders'],
    [`2${'0'.repeat(40)}`, false, 'more than 10^40 layer orders'],
  ])('%s orders (at least: %s) are %s', (count, atLeast, words) => {
    expect(ordersWords({ count, atLeast })).toBe(words);
  });

  it.each([
    [1, '100 %'],
    [0.9999, '99.9 %'],
    [0.955, '96 %'],
    [0.5, '50 %'],
    [0.0001, '0.1 %'],
    [0, '0 %'],
  ])('%f is %s: certainty is not rounded up to', (share, text) => {
    expect(percent(share)).toBe(text);
  });

  it('places are told in grid units where there is a grid', () => {
    const lattice = { kind: 'square', divisionsX: 16, divisionsY: 8, halfUnits: true, residual: 0, fit: 1 } as const;
    expect(placeWords([0.25, 0.15625], lattice)).toBe('4 right, 2.5 up on the grid');
    expect(placeWords([0.25, 0.5], null)).toBe('25 % right, 50 % up');
  });
});

describe('terminal', () => {
  it('says grid, counts, doubts and laws, and what was left out of the list', () => {
    const text = reportText(makeReport(fullRecovery()));
    expect(text).toContain('8 x 8 divisions, with half units');
    expect(text).toContain('5 edge, 2 mountain, 1 valley, 1 undecided, 1 guide');
    expect(text).toMatch(/doubts +15\n/);
    expect(text).toContain('and 7 more in the report');
    expect(text).toContain('laws of flat folding are broken at 9 places');
  });

  it('says whether the sheet folds flat', () => {
    const said = (changes: Partial<Recovery>) => reportText(makeReport(fullRecovery(changes)));
    expect(said({ laws: [], foldability: FOLDS })).toMatch(/ {2}folding +Of one crease .* Proven: the whole sheet/);
    expect(said({ laws: [], foldability: LATE })).toMatch(/ {2}folding .*is not decided: there was no time/);
  });

  it('a file name cannot steer the terminal', () => {
    const { picture } = fullRecovery();
    const text = reportText(makeReport(fullRecovery({ picture: { ...picture, name: 'a\u001b[2Jb\rc\nd.png' } })));
    expect(text).not.toContain('\u001b');
    expect(text.split('\n')[0]).toBe('a?[2Jb?c?d.png: 8 x 8 divisions, with half units');
  });
});

describe('report.html', () => {
  const page = async (recovery: Recovery) => reportHtml(recovery, makeReport(recovery));

  it('is self-contained: no script, nothing loaded from outside', async () => {
    const html = await page(fullRecovery());
    expect(html).not.toMatch(/<script|<link|<iframe|<object|javascript:|@import|\son\w+=/i);
    const addresses = [...html.matchAll(/(?:href|src|srcset|action|poster)="([^"]*)"|url\(([^)]*)\)/g)].map(
      (m) => m[1] ?? m[2],
    );
    expect(addresses.length).toBeGreaterThan(10);
    for (const address of addresses) expect(address).toMatch(/^(#|data:image\/jpeg;base64,)/);
    expect(html).toContain("default-src 'none'");
  });

  it('escapes every text that comes from outside', async () => {
    const evil = '<img src=x onerror=alert(1)>"&\'';
    const recovery = fullRecovery();
    const html = await page({
      ...recovery,
      picture: { ...recovery.picture, name: evil },
      outline: { ...recovery.outline, assumed: [evil] },
      legend: recovery.legend.map((entry) => ({ ...entry, why: evil, colour: evil })),
      doubts: recovery.doubts.map((doubt) => ({ ...doubt, facts: { seen: evil, distance: evil, distancePx: evil } })),
      laws: recovery.laws.map((law) => ({ ...law, facts: { mountains: evil, valleys: evil } })),
    });
    expect(html).not.toContain('<img');
    expect(html.match(/&lt;img src=x onerror=alert\(1\)&gt;&quot;&amp;&#39;/g)?.length).toBeGreaterThanOrEqual(8);
  });

  it('has balanced tags and unique ids, and each mark leads to its doubt', async () => {
    const html = await page(fullRecovery());
    const open: string[] = [];
    const empty = new Set(['meta', 'input', 'img', 'br']);
    for (const [, close, tag, self] of html
      .replace(/<style>[\s\S]*?<\/style>/, '')
      .matchAll(/<(\/?)([a-z][a-z0-9]*)[^>]*?(\/?)>/g)) {
      if (close) expect(open.pop()).toBe(tag);
      else if (!self && !empty.has(tag)) open.push(tag);
    }
    expect(open).toEqual([]);
    const ids = [...html.matchAll(/\sid="([^"]+)"/g)].map((m) => m[1]);
    expect(new Set(ids).size).toBe(ids.length);
    const targets = [...html.matchAll(/href="#([^"]+)"/g)].map((m) => m[1]);
    for (const target of targets) expect(ids).toContain(target);
    // Four are about the picture as a whole and have no place on it.
    expect(targets.filter((t) => t.startsWith('doubt-'))).toHaveLength(ALL_DOUBTS.length - 4);
    expect(html.match(/class="cut-out"/g)).toHaveLength(ALL_DOUBTS.length);
  });

  it('says on top and in its section whether the sheet folds flat', async () => {
    const { pattern } = fullRecovery();
    const known = {
      ...pattern,
      creases: pattern.creases.map((c) => (c.kind === 'U' ? ({ ...c, kind: 'V' } as const) : c)),
    };
    const said = (changes: Partial<Recovery>) => page(fullRecovery({ pattern: known, ...changes }));
    const proven = await said({ laws: [], foldability: FOLDS });
    expect(proven).toMatch(/<p class="lead">[^<]*, folds flat\.<\/p>/);
    expect(proven).toContain('<p>Proven: the whole sheet folds flat as shown (2 layer orders found).</p>');
    expect(await said({ foldability: BROKEN })).toMatch(/<p class="lead">[^<]*, does not fold flat as shown\.<\/p>/);
    expect(await said({ laws: [], foldability: LATE })).toContain('is not decided: there was no time');
  });

  it('holds the picture once, however many cut-outs show it', async () => {
    expect((await page(fullRecovery())).match(/data:image\/jpeg/g)).toHaveLength(1);
  });

  it('lays the pattern where the sheet is: vertex (1, 1) at the top right of the paper', async () => {
    const html = await page(fullRecovery());
    // originPx (20, 420), 400 px to the unit: (1, 1) lies at (420, 20) in paper px, y down.
    expect(html).toMatch(/<g class="edge"[^>]*>[\s\S]*?M420 420L420 20[\s\S]*?<\/g>/);
  });

  it('draws mountain and valley in different line styles, not by colour alone (WCAG 1.4.1)', async () => {
    const html = await page(fullRecovery());
    const dashes = (kind: string) =>
      new RegExp(`<g class="${kind}"[^>]*>\\s*<path d="[^"]*" stroke-dasharray="([^"]*)"`).exec(html)?.[1].split(' ');
    expect(dashes('mountain')).toHaveLength(4);
    expect(dashes('valley')).toHaveLength(2);
  });
});
