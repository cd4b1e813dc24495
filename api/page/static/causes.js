// Bars of the two banks by cause.

import { element, fill, table } from './element.js';
import { Part } from './part.js';
import { sides } from './question.js';
import { round } from './units.js';
import { word, words } from './strings.js';

// Causes shows one figure by cause, those that are not 0, the largest first.
export class Causes extends Part {
  constructor(title, note, figure, unit, nothing) {
    super(title, note);
    Object.assign(this, { figure, unit, nothing });
  }

  show(picture) {
    const by = Object.fromEntries(sides.map((s) => [s, picture.answers[s].figures[this.figure]]));
    const causes = Object.keys(by.a).map((c) => ({ c, a: by.a[c], b: by.b[c] })).filter((x) => x.a > 0.005 || x.b > 0.005);
    causes.sort((x, y) => y.a + y.b - x.a - x.b || (x.c < y.c ? -1 : 1));
    this.note.hidden = causes.length === 0;
    this.details.hidden = causes.length === 0;
    if (causes.length === 0) {
      fill(this.body, element('p', {}, this.nothing));
      return;
    }
    const most = Math.max(...causes.flatMap((x) => [x.a, x.b]));
    fill(this.body, element('div', { class: 'bars', role: 'img', aria: { label: causes.map((x) => `${word(x.c)}: ${words.letter.a} ${round(x.a)} ${this.unit}, ${words.letter.b} ${round(x.b)} ${this.unit}`).join('; ') } },
      causes.map((x) => element('div', { class: 'bar-row' }, element('span', { class: 'bar-name' }, word(x.c)), element('div', { class: 'bar-pair' }, sides.map((s) => this.bar(s, x[s], most)))))));
    this.table(() => table([words.cause, words.bankName.a, words.bankName.b], causes.map((x) => [word(x.c), `${round(x.a)} ${this.unit}`, `${round(x.b)} ${this.unit}`])));
  }

  bar(side, value, most) {
    return element('div', { class: 'bar' }, element('b', {}, words.letter[side]),
      element('svg', { viewBox: '0 0 100 10', preserveAspectRatio: 'none' }, element('rect', { class: 'fill-' + side, width: Math.max(value > 0 ? 0.5 : 0, (100 * value) / most), height: 10 })),
      element('span', {}, `${round(value)} ${this.unit}`));
  }
}
