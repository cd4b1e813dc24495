// Every outage of the year, each opening to what was around it.

import { element, fill } from './element.js';
import { Part } from './part.js';
import { chain } from './chain.js';
import { sides } from './question.js';
import { round, stampText } from './units.js';
import { word, words } from './strings.js';

const atOnce = 20;

export class Outages extends Part {
  constructor(units, choose) {
    super(words.outagesTitle, words.outagesNote, { withTable: false });
    this.units = units;
    this.choose = choose;
    this.lists = Object.fromEntries(sides.map((s) => [s, element('div', { class: 'outage-list' })]));
    fill(this.body, element('div', { class: 'two' }, sides.map((s) => element('div', {}, element('h4', { class: 'bank-' + s }, words.bankName[s]), this.lists[s]))));
  }

  show(picture) {
    this.picture = picture;
    if (picture.more) for (const s of sides) this.list(s, picture.more[s].events, atOnce);
  }

  redraw() {
    if (this.picture) this.show(this.picture);
  }

  list(side, events, most) {
    const left = events.length - most;
    fill(this.lists[side],
      events.length === 0 ? element('p', {}, words.noOutages) : element('ol', {}, events.slice(0, most).map((e) => element('li', {}, this.outage(e)))),
      left > 0 && element('button', { type: 'button', class: 'plain', on: { click: () => this.list(side, events, events.length) } }, words.moreOutages(left)));
  }

  outage(e) {
    const percent = (x) => `${round(100 * x)} %`;
    const length = e.hours < 1 ? `${Math.max(1, Math.round(e.hours * 60))} min` : `${round(e.hours)} h`;
    return element('details', { class: 'outage', on: { toggle: (t) => t.target.open && t.target.childElementCount === 2 && t.target.append(...chain(e, this.units).filter(Boolean)) } }, element('summary', {}, words.outageLine(stampText(e.start), length, word(e.cause))),
      element('p', {}, words.outageMore(percent(e.soc_fraction), percent(e.reported_soc_fraction), this.units.quantity('cell_c', '°C', e.cell_c)), ' ',
        element('button', { type: 'button', class: 'plain', on: { click: () => this.choose((Date.parse(e.start + 'Z') - Date.UTC(this.picture.year, 0, 1)) / 3600e3) } }, words.showWeek)));
  }
}
