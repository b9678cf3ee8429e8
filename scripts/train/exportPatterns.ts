/**
 * Writes true patterns as JSON for the training renderer: `tsx scripts/train/exportPatterns.ts OUT.json [PER_FAMILY]`.
 * Rows: { v: [[x, y], ...] pattern frame, e: [[from, to, kind], ...] } with kind 0 mountain, 1 valley, 2 edge, 3 other.
 */
import { writeFileSync } from 'node:fs';
import { makePattern, patternFamilies } from '../../datasets/patterns/patterns.ts';

/** Far from the seeds of bench and samples, so that no pattern is both trained on and scored. */
const FIRST_SEED = 700_000;
const CODE: Readonly<Record<string, number>> = { M: 0, V: 1, B: 2 };

const [out, perFamily = '60'] = process.argv.slice(2);
if (!out) throw new Error('say where to write: exportPatterns.ts OUT.json [PER_FAMILY]');
const rows = patternFamilies.flatMap((family) =>
  Array.from({ length: family === 'base' ? 8 : Number(perFamily) }, (_, i) => {
    const { pattern } = makePattern(family, FIRST_SEED + i);
    return {
      v: pattern.vertices.map(([x, y]) => [Number(x.toFixed(5)), Number(y.toFixed(5))]),
      e: pattern.creases.map(({ from, to, kind }) => [from, to, CODE[kind] ?? 3]),
    };
  }),
);
writeFileSync(out, JSON.stringify(rows));
