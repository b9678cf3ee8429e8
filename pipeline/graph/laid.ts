import type { Carrier } from './carriers.ts';
import type { MeantLine } from './meant-lines.ts';
import { pointOn } from './meant-strokes.ts';
import type { Stretch } from './nodes.ts';

/** The carrier on that line, in its own sense; its positions along it stay as they are. */
export function laidOn<C extends Pick<Carrier, 'nx' | 'ny' | 'off' | 'dx' | 'dy'>>(c: C, line: MeantLine): C {
  const sense = Math.sign(line.nx * c.nx + line.ny * c.ny);
  const [nx, ny] = [sense * line.nx, sense * line.ny];
  return { ...c, nx, ny, off: sense * line.off, dx: ny, dy: -nx };
}

/** Carriers and their runs laid where they were meant; those of which that is not known stay. */
export function laidAsMeant(
  carriers: readonly Carrier[],
  runs: readonly (readonly Stretch[])[],
  lines: readonly (MeantLine | null)[],
): { carriers: Carrier[]; runs: (readonly Stretch[])[] } {
  const out: Carrier[] = [];
  const laid = carriers.map((c, i) => {
    const line = lines[i] ?? null;
    const own = runs[i];
    if (!line || own.length === 0) {
      out.push(c);
      return own;
    }
    const on = laidOn(c, line);
    const t = (own[0].from + own[own.length - 1].to) / 2;
    const [x, y] = pointOn(c, t);
    const shift = on.dx * x + on.dy * y - t;
    out.push({ ...on, from: c.from + shift, to: c.to + shift });
    return own.map((run) => ({ from: run.from + shift, to: run.to + shift }));
  });
  return { carriers: out, runs: laid };
}
