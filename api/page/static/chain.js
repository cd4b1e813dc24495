// What led to an outage: what brought it about, the two days before it, and what
// changed in them; then what changed during it, and what ended it.

import { element } from './element.js';
import { round, stampText } from './units.js';
import { word, words } from './strings.js';

// chain tells one outage; none for a service that tells of no chain.
export function chain(outage, units) {
  const { before } = outage;
  return [
    outage.because && element('p', {}, words.because(words.reasons[outage.because] ?? word(outage.because))),
    before && element('p', {}, words.before(round(before.hours), round(before.solar_available_kwh), round(before.solar_used_kwh), round(before.load_kwh), round(before.generator_kwh), units.quantity('coldest_cell_c', '°C', before.coldest_cell_c))),
    outage.chain?.length > 0 && changes(outage.chain),
    outage.ended_by && element('p', {}, words.ended(words.endings[outage.ended_by] ?? word(outage.ended_by), outage.during.length, outage.during_left_out ?? 0)),
    outage.during?.length > 0 && changes(outage.during),
  ].filter(Boolean);
}

// changes lists events, one a line.
export const changes = (list) => element('ol', { class: 'chain' }, list.map((e) => element('li', {},
  element('time', { datetime: e.at }, stampText(e.at)), ` ${e.what}${e.of ? ': ' + word(e.of) : ''}${e.times ? ` (${words.timesADay(e.times)})` : ''}, ${round(100 * e.soc_fraction)} %`)));
