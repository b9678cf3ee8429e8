import type { TextMark } from './drawing.ts';

/**
 * A plain single-stroke alphabet on a 4 by 6 grid, base line at 0, capitals to 6: text without any installed font.
 * Each string lists strokes; a stroke is points written as two digits (x, y).
 */
const STROKES: Readonly<Record<string, string>> = {
  A: '00 26 40|12 32',
  B: '00 06 36 45 43 33 03|33 42 41 30 00',
  C: '45 36 16 05 01 10 30 41',
  D: '00 06 26 44 42 20 00',
  E: '46 06 00 40|03 33',
  F: '46 06 00|03 33',
  G: '45 36 16 05 01 10 30 41 43 23',
  H: '00 06|40 46|03 43',
  I: '20 26',
  J: '46 41 30 10 01',
  K: '00 06|46 03 40',
  L: '06 00 40',
  M: '00 06 23 46 40',
  N: '00 06 40 46',
  O: '10 01 05 16 36 45 41 30 10',
  P: '00 06 36 45 43 33 03',
  Q: '10 01 05 16 36 45 41 30 10|22 40',
  R: '00 06 36 45 43 33 03|23 40',
  S: '45 36 16 05 04 13 33 42 41 30 10 01',
  T: '06 46|26 20',
  U: '06 01 10 30 41 46',
  V: '06 20 46',
  W: '06 10 23 30 46',
  X: '00 46|06 40',
  Y: '06 23 46|23 20',
  Z: '06 46 00 40',
  0: '10 01 05 16 36 45 41 30 10',
  1: '15 26 20|10 30',
  2: '05 16 36 45 44 00 40',
  3: '05 16 36 45 44 33 13|33 42 41 30 10 01',
  4: '30 36 02 42',
  5: '46 06 03 33 42 41 30 00',
  6: '45 36 16 05 01 10 30 41 42 33 03',
  7: '06 46 10',
  8: '13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33',
  9: '01 10 30 41 45 36 16 05 04 13 43',
  '-': '13 33',
  '.': '20 21',
  ',': '1- 21',
  ':': '21 22|24 25',
  '/': '00 46',
  '=': '02 42|04 44',
  '+': '03 43|21 25',
};

/** Advance of one letter, in grid steps of the alphabet. */
const ADVANCE = 5.5;

/** Polylines (page px) that write the text; small letters become capitals of 0.75 height. */
export function letterStrokes(text: TextMark): number[][] {
  const unit = text.height / 6;
  const cos = Math.cos(text.angleRad);
  const sin = Math.sin(text.angleRad);
  const out: number[][] = [];
  let along = 0;
  for (const letter of text.text) {
    const capital = letter.toUpperCase();
    const size = capital !== letter ? 0.75 * unit : unit;
    for (const stroke of (STROKES[capital] ?? '').split('|')) {
      const points: number[] = [];
      for (const pair of stroke.split(' ')) {
        if (pair.length < 2) continue;
        const right = along + Number(pair[0]) * size;
        const up = (pair[1] === '-' ? -1 : Number(pair[1])) * size;
        points.push(text.x + right * cos + up * sin, text.y + right * sin - up * cos);
      }
      if (points.length >= 4) out.push(points);
    }
    along += ADVANCE * size;
  }
  return out;
}
