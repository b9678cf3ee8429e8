/**
 * A second opinion on one vertex, sharing nothing with the program: lays the sectors on a circle as a folded loop of
 * segments on a line and tries every order of layers. Only for small degrees.
 */

/** All M/V strings (one letter a crease) for which some layer order exists. Sector i lies between crease i and i + 1. */
export function assignmentsByLayerOrders(sectors: readonly number[]): Set<string> {
  const n = sectors.length;
  // Crease i is the left end of sector i in walking order; the walk turns round at each crease.
  const position: number[] = [0];
  for (let i = 0; i < n; i++) position.push(position[i] + (i % 2 === 0 ? sectors[i] : -sectors[i]));
  const found = new Set<string>();
  if (Math.abs(position[n]) > 1e-9) return found;
  const span = (i: number): [number, number] => {
    const [a, b] = [position[i], position[i + 1]];
    return a < b ? [a, b] : [b, a];
  };
  for (const level of permutations(n)) {
    let sound = true;
    for (let c = 0; sound && c < n; c++) {
      const [before, after] = [(c + n - 1) % n, c];
      const [low, high] = [Math.min(level[before], level[after]), Math.max(level[before], level[after])];
      const x = position[c];
      for (let s = 0; sound && s < n; s++) {
        if (s === before || s === after || level[s] < low || level[s] > high) continue;
        const [from, to] = span(s);
        // A layer between the two leaves of a crease may not reach past it.
        if (from < x - 1e-9 && to > x + 1e-9) sound = false;
      }
      for (let d = 0; sound && d < n; d++) {
        const [otherBefore, otherAfter] = [(d + n - 1) % n, d];
        const four = new Set([before, after, otherBefore, otherAfter]);
        if (four.size < 4 || Math.abs(position[d] - x) > 1e-9) continue;
        // Two creases on one spot, opening to the same side, may be nested or apart but not interleaved.
        const opensUp = (s: number): boolean => span(s)[0] > x - 1e-9;
        if (opensUp(before) !== opensUp(otherBefore)) continue;
        const inside = (s: number): boolean => level[s] > low && level[s] < high;
        if (inside(otherBefore) !== inside(otherAfter)) sound = false;
      }
    }
    if (!sound) continue;
    let letters = '';
    for (let c = 0; c < n; c++) {
      const before = (c + n - 1) % n;
      // Even sectors lie face up. Seen on the sheet's face, a crease is a valley if the next layer of a face-up one is on top.
      const up = before % 2 === 0;
      letters += level[c] > level[before] === up ? 'V' : 'M';
    }
    found.add(letters);
  }
  return found;
}

function* permutations(n: number): Generator<number[]> {
  const order = Array.from({ length: n }, (_, i) => i);
  const step = function* (k: number): Generator<number[]> {
    if (k === n) {
      yield order;
      return;
    }
    for (let i = k; i < n; i++) {
      [order[k], order[i]] = [order[i], order[k]];
      yield* step(k + 1);
      [order[k], order[i]] = [order[i], order[k]];
    }
  };
  yield* step(0);
}
