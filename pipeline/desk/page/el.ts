/** Elements without markup: text is set as text, so that nothing in a file's name can become part of the page. */

type Listeners = { readonly [K in keyof HTMLElementEventMap]?: (event: HTMLElementEventMap[K]) => void };

export interface Props {
  readonly class?: string;
  readonly text?: string;
  readonly on?: Listeners;
  /** Attributes; those that are false or undefined are left out. */
  readonly [attribute: string]: unknown;
}

export type Child = Node | string | null | false | undefined;

export function el<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  props: Props = {},
  children: readonly Child[] = [],
): HTMLElementTagNameMap[K] {
  return fill(document.createElement(tag), props, children);
}

export function svg<K extends keyof SVGElementTagNameMap>(
  tag: K,
  props: Props = {},
  children: readonly Child[] = [],
): SVGElementTagNameMap[K] {
  return fill(document.createElementNS('http://www.w3.org/2000/svg', tag), props, children);
}

function fill<E extends Element>(element: E, { text, on, ...attributes }: Props, children: readonly Child[]): E {
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== undefined && value !== null && value !== false)
      element.setAttribute(name, value === true ? '' : String(value));
  }
  if (text !== undefined) element.textContent = text;
  for (const [name, listener] of Object.entries(on ?? {})) element.addEventListener(name, listener as EventListener);
  for (const child of children) if (child) element.append(child);
  return element;
}

/** Sets an attribute only where it changes, for the sake of readers of the page and of the browser's work. */
export function attr(element: Element, name: string, value: string | number | boolean | null): void {
  if (value === null || value === false) {
    if (element.hasAttribute(name)) element.removeAttribute(name);
    return;
  }
  const text = value === true ? '' : String(value);
  if (element.getAttribute(name) !== text) element.setAttribute(name, text);
}

export function setText(element: Element, text: string): void {
  if (element.textContent !== text) element.textContent = text;
}

export function show(element: HTMLElement, visible: boolean): void {
  element.hidden = !visible;
}
