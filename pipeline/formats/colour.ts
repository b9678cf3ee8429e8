/** The sixteen colours of CSS 1 and the few names that drawings of patterns use besides. */
const NAMES: Readonly<Record<string, string>> = {
  aqua: '#00ffff',
  black: '#000000',
  blue: '#0000ff',
  brown: '#a52a2a',
  cyan: '#00ffff',
  fuchsia: '#ff00ff',
  gray: '#808080',
  green: '#008000',
  grey: '#808080',
  lime: '#00ff00',
  magenta: '#ff00ff',
  maroon: '#800000',
  navy: '#000080',
  olive: '#808000',
  orange: '#ffa500',
  pink: '#ffc0cb',
  purple: '#800080',
  red: '#ff0000',
  silver: '#c0c0c0',
  teal: '#008080',
  violet: '#ee82ee',
  white: '#ffffff',
  yellow: '#ffff00',
};

/** sRGB, 0..255, of #rgb, #rrggbb (an alpha after it is ignored), rgb(r, g, b) or a basic CSS name; null for anything else. */
export function parseColour(text: string): readonly [number, number, number] | null {
  const bare = text.trim().toLowerCase();
  const hex = /^#(?:([0-9a-f]{3})[0-9a-f]?|([0-9a-f]{6})(?:[0-9a-f]{2})?)$/.exec(NAMES[bare] ?? bare);
  if (hex) {
    const digits = hex[2] ?? [...hex[1]].map((d) => d + d).join('');
    return [0, 2, 4].map((at) => Number.parseInt(digits.slice(at, at + 2), 16)) as unknown as [number, number, number];
  }
  const parts =
    /^rgba?\(([^)]*)\)$/
      .exec(bare)?.[1]
      .split(/[\s,/]+/)
      .filter(Boolean) ?? [];
  if (parts.length < 3) return null;
  const rgb = parts.slice(0, 3).map((part) => (part.endsWith('%') ? Number.parseFloat(part) * 2.55 : Number(part)));
  if (!rgb.every(Number.isFinite)) return null;
  const [r, g, b] = rgb.map((v) => Math.min(255, Math.max(0, Math.round(v))));
  return [r, g, b];
}
