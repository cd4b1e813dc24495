// A part of the answer: a heading, a note, a picture, and the same as a table.

import { element, fill } from './element.js';
import { words } from './strings.js';

// Part draws a picture. show(picture) is given by each kind of part; it calls
// table with what makes the table, which is only made when it is opened.
export class Part {
  constructor(title, note, { withTable = true } = {}) {
    this.note = element('p', { class: 'note' }, note);
    this.body = element('div', { class: 'drawing' });
    this.details = withTable ? element('details', { class: 'table', on: { toggle: () => this.fillTable() } }, element('summary', {}, words.tableOf, element('span', { class: 'unseen' }, ': ' + title))) : null;
    this.slot = element('div', { class: 'wide', tabindex: '0', role: 'region', aria: { label: title } });
    this.details?.append(this.slot);
    this.root = element('section', { class: 'part' }, element('h3', {}, title), this.note, this.body, this.details);
  }

  table(make) {
    this.make = make;
    this.fillTable();
  }

  fillTable() {
    if (this.details?.open && this.make) fill(this.slot, this.make());
  }
}

// legend names colours; each entry has a class that gives the colour.
export const legend = (entries) => element('ul', { class: 'legend' },
  entries.map(([name, text]) => element('li', {}, element('span', { class: 'swatch ' + name }), text)));
