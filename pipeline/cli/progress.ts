import type { StageName } from '../types.ts';
import type { Terminal } from './terminal.ts';

/** Work shorter than this needs no progress lines. */
const QUIET_MS = 1000;

const STAGE_WORDS: Readonly<Record<StageName, string>> = {
  intake: 'reading the picture',
  rectify: 'finding and straightening the sheet',
  ink: 'telling ink from paper',
  strokes: 'following the lines',
  lattice: 'looking for the grid',
  graph: 'joining lines at vertices',
  kinds: 'telling mountains from valleys',
  resolve: 'weighing ink against folding laws',
  validity: 'trying whether it folds flat',
  report: 'laying the pattern over the picture',
};

/** A line for each stage once the work has taken a second, where a person is watching. */
export function progressLines(terminal: Terminal, name: string): (stage: StageName, share: number) => void {
  if (!terminal.interactive) return () => {};
  const start = performance.now();
  return (stage, share) => {
    if (performance.now() - start < QUIET_MS) return;
    terminal.err(`  ${name}: ${String(Math.round(share * 100)).padStart(3)} %  ${STAGE_WORDS[stage]}`);
  };
}
