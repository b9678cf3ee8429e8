/** One element of a drawing with what it inherits. */
export interface SvgElement {
  readonly tag: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly parent: SvgElement | null;
  /** Stroke properties after inheritance: attribute, then style sheet, then style attribute, the last wins. */
  readonly style: Readonly<Record<string, string>>;
  /** Not drawn: display none, or inside definitions. */
  readonly hidden: boolean;
  /** Classes, ids and labels of the element and all around it, innermost first. */
  readonly names: readonly string[];
}

const INHERITED = ['stroke', 'stroke-width', 'stroke-dasharray', 'visibility'];
const NOT_DRAWN = new Set([
  'defs',
  'symbol',
  'clipPath',
  'mask',
  'marker',
  'pattern',
  'metadata',
  'title',
  'desc',
  'style',
  'script',
]);
const TAG = /<(\/?)((?:[\w-]+:)?[\w-]+)((?:[^>"']|"[^"]*"|'[^']*')*?)(\/?)>/g;
const ATTRIBUTE = /([\w:.-]+)\s*=\s*(?:"([^"]*)"|'([^']*)')/g;
const ENTITIES: Readonly<Record<string, string>> = { lt: '<', gt: '>', amp: '&', quot: '"', apos: "'" };
const MAX_DEPTH = 500;

/** All elements in document order, parents before children; null where the tags do not close. */
export function elementsOf(text: string): SvgElement[] | null {
  const bare = text.replace(/<!--[\s\S]*?-->|<\?[\s\S]*?\?>|<!DOCTYPE[^[>]*(?:\[[\s\S]*?\])?\s*>/gi, '');
  const rules = styleRules(bare);
  const drawn = bare.replace(/<style[\s\S]*?<\/style>/gi, '').replace(/<!\[CDATA\[[\s\S]*?\]\]>/g, '');
  const elements: SvgElement[] = [];
  const open: SvgElement[] = [];
  for (const [, closing, name, attributeText, empty] of drawn.matchAll(TAG)) {
    const tag = name.replace(/^svg:/, '');
    if (closing) {
      if (open.pop()?.tag !== tag) return null;
      continue;
    }
    const element = makeElement(tag, attributesOf(attributeText), open.at(-1) ?? null, rules);
    elements.push(element);
    if (!empty) open.push(element);
    if (open.length > MAX_DEPTH) return null;
  }
  return open.length === 0 && elements[0]?.tag === 'svg' ? elements : null;
}

interface Rule {
  readonly selector: string;
  readonly style: Readonly<Record<string, string>>;
}

function makeElement(
  tag: string,
  attributes: Readonly<Record<string, string>>,
  parent: SvgElement | null,
  rules: readonly Rule[],
): SvgElement {
  const classes = (attributes.class ?? '').split(/\s+/).filter(Boolean);
  const selectors = new Set([tag, ...classes.flatMap((c) => [`.${c}`, `${tag}.${c}`]), `#${attributes.id}`]);
  const own: Record<string, string> = {};
  for (const key of [...INHERITED, 'display']) if (attributes[key] !== undefined) own[key] = attributes[key].trim();
  for (const rule of rules) if (selectors.has(rule.selector)) Object.assign(own, rule.style);
  Object.assign(own, declarations(attributes.style ?? ''));
  const style: Record<string, string> = {};
  for (const key of INHERITED) {
    const value = own[key] === undefined || own[key] === 'inherit' ? parent?.style[key] : own[key];
    if (value !== undefined) style[key] = value;
  }
  const notShown = own.display === 'none' || style.visibility === 'hidden' || NOT_DRAWN.has(tag);
  const ownNames = [...classes, attributes.id, attributes['inkscape:label'], attributes['data-name']];
  return {
    tag,
    attributes,
    parent,
    style,
    hidden: notShown || (parent?.hidden ?? false),
    names: [...ownNames.filter((n) => n !== undefined), ...(parent?.names ?? [])],
  };
}

function attributesOf(text: string): Record<string, string> {
  const attributes: Record<string, string> = {};
  for (const [, key, double, single] of text.matchAll(ATTRIBUTE)) {
    attributes[key] = (double ?? single).replace(/&(\w+);/g, (whole, entity) => ENTITIES[entity] ?? whole);
  }
  return attributes;
}

/** Simple selectors only: a tag, a class, an id. */
function styleRules(text: string): Rule[] {
  const sheets = [...text.matchAll(/<style[^>]*>([\s\S]*?)<\/style>/gi)].map((match) => match[1]);
  const plain = sheets.join('\n').replace(/<!\[CDATA\[|\]\]>|\/\*[\s\S]*?\*\//g, '');
  return [...plain.matchAll(/([^{}]+)\{([^{}]*)\}/g)].flatMap(([, selectors, body]) =>
    selectors.split(',').map((selector) => ({ selector: selector.trim(), style: declarations(body) })),
  );
}

function declarations(text: string): Record<string, string> {
  const style: Record<string, string> = {};
  for (const part of text.split(';')) {
    const colon = part.indexOf(':');
    if (colon > 0)
      style[part.slice(0, colon).trim()] = part
        .slice(colon + 1)
        .replace(/!important/, '')
        .trim();
  }
  return style;
}
