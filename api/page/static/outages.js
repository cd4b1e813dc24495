// Every outage of the year, each opening to what was around it; then the incidents
// of the year, and the decisions that the true state of charge would have changed.

import { element, fill } from './element.js';
import { Part } from './part.js';
import { chain, changes } from './chain.js';
import { sides } from './question.js';
import { round, stampText } from './units.js';
import { word, words } from './strings.js';

const atOnce = 20;
const percent = (x) => `${round(100 * x)} %`;

// opens is a line that opens to what is made only then.
const opens = (line, inside) => element('details', { class: 'outage', on: { toggle: (t) => t.target.open && t.target.childElementCount === 1 && t.target.append(inside()) } }, element('summary', {}, line));

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
    if (picture.more) for (const s of sides) this.list(s, picture.more[s], atOnce);
  }

  redraw() {
    if (this.picture) this.show(this.picture);
  }

  list(side, more, most) {
    const { events, incidents, decisions } = more;
    const left = events.length - most;
    fill(this.lists[side],
      events.length === 0 ? element('p', {}, words.noOutages) : element('ol', {}, events.slice(0, most).map((e) => element('li', {}, this.outage(e)))),
      left > 0 && element('button', { type: 'button', class: 'plain', on: { click: () => this.list(side, more, events.length) } }, words.moreOutages(left)),
      incidents.length > 0 && opens(words.incidents(incidents.length), () => changes(incidents)),
      decisions.length > 0 && opens(words.decisions(decisions.length), () => element('ol', { class: 'chain' }, decisions.map((d) => element('li', {},
        element('time', { datetime: d.at }, stampText(d.at)), ' ', words.decision(word(d.decision), percent(d.reported_soc_fraction), percent(d.soc_fraction)))))));
  }

  outage(e) {
    const length = e.hours < 1 ? `${Math.max(1, Math.round(e.hours * 60))} min` : `${round(e.hours)} h`;
    return element('details', { class: 'outage', on: { toggle: (t) => t.target.open && t.target.childElementCount === 2 && t.target.append(...chain(e, this.units)) } }, element('summary', {}, words.outageLine(stampText(e.start), length, word(e.cause))),
      element('p', {}, words.outageMore(percent(e.soc_fraction), e.reported_soc_fraction === undefined ? null : percent(e.reported_soc_fraction), this.units.quantity('cell_c', '°C', e.cell_c)), ' ',
        element('button', { type: 'button', class: 'plain', on: { click: () => this.choose((Date.parse(e.start + 'Z') - Date.UTC(this.picture.year, 0, 1)) / 3600e3) } }, words.showWeek)));
  }
}
