/** Writes the traditional bases as FOLD 1.2 files into datasets/bases; run with tsx, replaces what is there. */
import { mkdirSync, writeFileSync } from 'node:fs';
import { traditionalBases } from './bases.ts';
import { foldText } from './fold-text.ts';

const folder = new URL('../bases/', import.meta.url);
mkdirSync(folder, { recursive: true });
for (const base of traditionalBases()) writeFileSync(new URL(`${base.name}.fold`, folder), foldText(base));
