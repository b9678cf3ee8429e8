/** Quotes the tables by kind of picture from datasets/BENCH.md in the README, between its two marks: `npx tsx scripts/quoteBench.ts`. */
import { readFileSync, writeFileSync } from 'node:fs';

const readme = new URL('../README.md', import.meta.url);
const page = readFileSync(new URL('../datasets/BENCH.md', import.meta.url), 'utf8');
/** Slices measured as people use the program; the others stay in BENCH.md. */
const QUOTED = 'default ink';
const MARKS = /(<!-- bench -->\n)[\s\S]*?(<!-- \/bench -->)/;

/** Of each slice its name, how it was measured, and its first table. */
const parts = page
  .split(/^## /m)
  .slice(1)
  .filter((part) => part.split('\n')[0].endsWith(QUOTED))
  .map((part) => {
    const [name, , measured, ...rest] = part.split('\n');
    const start = rest.findIndex((line) => line.startsWith('|'));
    const length = rest.slice(start).findIndex((line) => !line.startsWith('|'));
    return `**${name}**: ${measured}\n\n${rest.slice(start, start + length).join('\n')}\n`;
  });
if (parts.length === 0) throw new Error('datasets/BENCH.md holds no results: run npm run bench -- --write first');

const text = readFileSync(readme, 'utf8');
if (!MARKS.test(text)) throw new Error('README.md has lost its bench marks');
writeFileSync(
  readme,
  text.replace(MARKS, (_, open, close) => `${open}\n${parts.join('\n')}\n${close}`),
);
