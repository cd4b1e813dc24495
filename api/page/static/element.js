// Elements made by script. Markup holds no style and no script, so that the
// page's policy can forbid both.

const svgNames = new Set(['svg', 'g', 'rect', 'path', 'line', 'text', 'title', 'circle']);

// element makes an element: properties by name, `on` for listeners, `data` and
// `aria` by their short names, children as nodes or text; null is left out.
export function element(name, properties = {}, ...children) {
  const svg = svgNames.has(name);
  const e = svg ? document.createElementNS('http://www.w3.org/2000/svg', name) : document.createElement(name);
  for (const [key, value] of Object.entries(properties)) {
    if (value === null || value === undefined || value === false) continue;
    if (key === 'on') for (const [event, listener] of Object.entries(value)) e.addEventListener(event, listener);
    else if (key === 'data') Object.assign(e.dataset, value);
    else if (key === 'aria') for (const [aria, text] of Object.entries(value)) e.setAttribute('aria-' + aria, text);
    else e.setAttribute(key, value === true ? '' : value);
  }
  fill(e, ...children);
  return e;
}

// fill replaces what is inside.
export function fill(e, ...children) {
  e.replaceChildren(...children.flat(9).filter((c) => c !== null && c !== undefined && c !== false));
  return e;
}

// table is a plain table; the first cell of a row is its heading.
export function table(heads, rows, caption) {
  return element('table', {},
    caption && element('caption', {}, caption),
    element('thead', {}, element('tr', {}, heads.map((h) => element('th', { scope: 'col' }, h)))),
    element('tbody', {}, rows.map((row) => element('tr', {},
      row.map((cell, i) => (i === 0 ? element('th', { scope: 'row' }, cell) : element('td', {}, cell)))))));
}

const pen = document.createElement('canvas').getContext('2d');

// textWidth is how wide a text is in the type of an element, in pixels.
export function textWidth(e, text) {
  const { fontSize, fontFamily } = getComputedStyle(e);
  pen.font = `${fontSize} ${fontFamily}`;
  return pen.measureText(text).width;
}

// colour is a custom property of the style sheet as red, green and blue, 0..255.
export function colour(name) {
  const text = getComputedStyle(document.documentElement).getPropertyValue(name).trim();
  const n = parseInt(text.slice(1), 16);
  return [(n >> 16) & 255, (n >> 8) & 255, n & 255];
}

// css is a custom property of the style sheet as text.
export const css = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
