// The year of each bank in plain words, for somebody who reads nothing else.

import { element, fill } from './element.js';
import { Part } from './part.js';
import { sides } from './question.js';
import { round, stampText } from './units.js';
import { words } from './strings.js';

export class InShort extends Part {
  constructor(units) {
    super(words.inShortTitle, '', { withTable: false });
    this.units = units;
    this.note.hidden = true;
    this.root.classList.add('in-short');
  }

  show(picture) {
    this.picture = picture;
    fill(this.body, sides.map((s) => element('p', {}, this.say(words.letter[s], picture.answers[s].figures))));
  }

  redraw() {
    if (this.picture) this.show(this.picture);
  }

  say(letter, f) {
    const q = (name, unit) => this.units.quantity(name, unit, f[name]);
    const say = words.inShort;
    const outages = f.outages + f.short_outages;
    const out = [f.downtime_h === 0 ? say.never(letter) : outages === 1 ? say.once(letter, q('longest_outage_h', 'h'), stampText(f.longest_outage_start))
      : say.dark(letter, q('downtime_h', 'h'), f.dark_nights, q('longest_outage_h', 'h'), stampText(f.longest_outage_start))];
    if (f.generator_h > 0) out.push(say.generator(q('generator_h', 'h'), f.generator_starts, q('fuel_l', 'l')));
    if (f.grid_h > 0) out.push(say.grid(q('grid_h', 'h'), q('grid_kwh', 'kWh')));
    out.push(say.sun(`${round(100 * f.load_met_by_solar_fraction)}\u00a0%`));
    if (f.years_to_80_pct > 0) out.push(say.cells(round(f.years_to_80_pct)));
    if (f.years_on_float > 0 && !(f.years_by_cycles <= f.years_on_float)) out.push(say.plates(round(f.years_on_float)));
    else if (f.years_by_cycles > 0) out.push(say.cycles(round(f.years_by_cycles)));
    if (f.charged_too_cold_h > 0) out.push(say.harmed(q('charged_too_cold_h', 'h')));
    return out.join(' ');
  }
}
