/** Sides traced from a poor guess: the true border is where the scene was drawn. */
import { describe, expect, it } from 'vitest';
import { candidatesOn, groundsOf } from '../../pipeline/rectify/candidates.ts';
import { inkMap, workingCopy } from '../../pipeline/rectify/inkmap.ts';
import { findMarks } from '../../pipeline/rectify/marks.ts';
import { isClosed, refine } from '../../pipeline/rectify/refine.ts';
import { findRegions } from '../../pipeline/rectify/regions.ts';
import { drawingOf, sceneOf } from './plain.ts';
import { renderScene } from './scenes.ts';

describe('a side whose mark runs on into lettering', () => {
  it('is traced straight where nothing is drawn along the bow', async () => {
    // Two diagonals: no creases end between the corners, so that only the ink tells where a side is.
    const plain = drawingOf();
    const { picture } = await renderScene(sceneOf({ drawing: { ...plain, creases: plain.creases.slice(0, 2) } }));
    const map = inkMap(workingCopy(picture.raster), 'dark-ink');
    const marks = findMarks(map, map.noise);
    const candidates = groundsOf(map, marks, findRegions(map)).flatMap((ground) => candidatesOn(ground, map));
    const drawn = candidates.find((c) => {
      const found = c.kinds.length === 4 && c.kinds.every((kind) => kind === 'ink') ? refine([c]) : null;
      return found !== null && isClosed(found.evidence);
    });
    expect(drawn).toBeDefined();
    const right = refine([drawn!])!;
    for (let bowed = 0; bowed < 4; bowed++) {
      // A bow of an eighth of the side, as letters below a corner make.
      const sides = drawn!.sides.map((side, i) => (i === bowed ? { ...side, bow: [0, 240, -240] } : side));
      const found = refine([{ ...drawn!, sides }]);
      expect(found && isClosed(found.evidence)).toBe(true);
      found!.corners.forEach(([x, y], i) => {
        expect(Math.hypot(x - right.corners[i][0], y - right.corners[i][1])).toBeLessThan(1);
      });
    }
  });
});
