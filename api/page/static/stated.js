// What was stated: in what the banks differ, and what they have in common.

import { element, fill, table } from './element.js';
import { Part } from './part.js';
import { sides, split } from './question.js';
import { exact } from './units.js';
import { human, longLabel, word, words } from './strings.js';

export class Stated extends Part {
  constructor(context) {
    super(words.statedTitle, words.statedNote, { withTable: false });
    this.context = context;
    this.root.classList.add('assumed');
  }

  show(picture) {
    this.picture = picture;
    const { question } = picture.asked;
    const flat = Object.fromEntries(sides.map((s) => [s, flatten(question.system(s))]));
    const paths = [...new Set(sides.flatMap((s) => [...flat[s].keys()]))].sort();
    const shown = (s, path) => (flat[s].has(path) ? this.value(path, flat[s].get(path)) : words.noValue);
    const rows = paths.map((path) => [path, ...sides.map((s) => shown(s, path))]);
    const name = (path) => [longLabel(path), ' ', element('code', {}, path)];
    const wide = (title, ...made) => [element('h4', {}, title), element('div', { class: 'wide', tabindex: '0', role: 'region', aria: { label: title } }, table(...made))];
    fill(this.body,
      wide(words.differTitle, [words.member, ...sides.map((s) => words.letter[s])], rows.filter(([, a, b]) => a !== b).map(([path, a, b]) => [name(path), a, b])),
      wide(words.alikeTitle, [words.member, words.value], [[longLabel('place'), words.placeName(question.place())], ...rows.filter(([, a, b]) => a === b).map(([path, a]) => [name(path), a])]));
  }

  redraw() {
    if (this.picture) this.show(this.picture);
  }

  value(path, x) {
    const facts = this.context.facts.of(path);
    if (path.endsWith('.key')) return this.context.facts.entry(x)?.title ?? x;
    if (typeof x === 'object') return this.inWords(path, x);
    if (typeof x !== 'number') return word(x);
    const scale = this.context.units.scale(split(path).rest, facts?.unit);
    return `${path === 'calendar_year' ? x : exact(this.context.units.show(scale, x))} ${scale.unit}`.trim();
  }

  // inWords writes a list, or an object in one: name, value and unit of each member. A
  // name of one word that has a unit is that unit.
  inWords(path, x) {
    if (Array.isArray(x)) return x.map((y) => this.inWords(path, y)).join(x.some((y) => typeof y === 'object') ? '; ' : ', ');
    if (x === null || typeof x !== 'object') return String(x);
    return Object.entries(x).map(([name, value]) => {
      const unit = this.context.facts.of(`${path}.${name}`)?.unit;
      return [unit && !name.includes('_') ? '' : human(name).replace(/ per$/, ''), this.inWords(`${path}.${name}`, value), unit].filter(Boolean).join('\u00a0');
    }).join(', ');
  }
}

// flatten gives the members of an object by dotted path; lists stay whole.
function flatten(object, path = '', out = new Map()) {
  for (const [name, value] of Object.entries(object)) {
    const at = path ? `${path}.${name}` : name;
    if (at === 'name') continue;
    if (value !== null && typeof value === 'object' && !Array.isArray(value)) flatten(value, at, out);
    else out.set(at, value);
  }
  return out;
}
