// The year with somebody on site and with nobody there, side by side.

import { element, fill, table } from './element.js';
import { Part } from './part.js';
import { sides } from './question.js';
import { figureName, words } from './strings.js';

const figures = [['downtime_h', 'h'], ['dark_nights', ''], ['outages', ''], ['longest_outage_h', 'h'], ['generator_h', 'h'], ['fuel_l', 'l'], ['sleeps', ''], ['visits', ''], ['link_down_h', 'h']];

export class People extends Part {
  constructor(units) {
    super(words.peopleTitle, words.peopleNote, { withTable: false });
    this.units = units;
  }

  show() {}

  // deepen draws what other runs than the year itself have told.
  deepen(picture) {
    this.picture = picture;
    const people = (s) => picture.deep[s].people;
    const heads = sides.flatMap((s) => [words.attended(words.letter[s]), words.nobody(words.letter[s])]);
    const value = (glance, [name, unit]) => this.units.quantity(name, unit, glance[name]);
    const alike = sides.every((s) => !people(s).differs);
    fill(this.body,
      sides.map((s) => element('p', { class: 'said bank-' + s }, element('b', {}, words.letter[s]), ' ', people(s).words)),
      alike ? null : element('div', { class: 'wide figures four', tabindex: '0', role: 'region', aria: { label: words.peopleTitle } },
        table([words.figure, ...heads], figures.map((f) => [figureName(f[0]), ...sides.flatMap((s) => [value(people(s).attended, f), value(people(s).nobody_there, f)])]))));
  }

  redraw() {
    if (this.picture) this.deepen(this.picture);
  }
}
