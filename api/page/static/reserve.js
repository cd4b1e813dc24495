// What is in reserve: how long the bank lasts without sun, how quickly it is full
// again, how much the load may grow, and what breaks first when it grows further.

import { element, fill, table } from './element.js';
import { Part } from './part.js';
import { sides } from './question.js';
import { word, words } from './strings.js';

export class Reserve extends Part {
  constructor(units) {
    super(words.reserveTitle, '', { withTable: false });
    this.units = units;
    this.note.hidden = true;
  }

  show() {}

  deepen(picture) {
    this.picture = picture;
    const q = (x, unit, name = '') => (x === null || x === undefined ? words.noValue : this.units.quantity(name, unit, x));
    const each = (title, read) => [title, ...sides.map((s) => read(picture.deep[s]))];
    const recharge = (d, by, when) => d.endurance.recharge_h.find((r) => r.by === by && r.when === when && r.operation === d.operation)?.hours;
    const cause = (name) => (name ? word(name) : words.noValue);
    const rows = [
      each(words.growth, (d) => q(d.headroom.load_headroom_fraction, '', 'load_headroom_fraction')),
      each(words.breaksFirst, (d) => cause(d.headroom.breaks_first)),
      each(words.breaksSecond, (d) => cause(d.headroom.breaks_second)),
      each(words.autonomy, (d) => q(d.endurance.autonomy_h, 'h')),
      each(words.rechargeSun, (d) => `${q(recharge(d, 'sun', '25_c'), 'h')} · ${q(recharge(d, 'sun', 'winter'), 'h')}`),
      each(words.rechargeGenerator, (d) => `${q(recharge(d, 'generator', '25_c'), 'h')} · ${q(recharge(d, 'generator', 'winter'), 'h')}`),
      each(words.daysToDamage, (d) => q(d.endurance.days_to_damage, words.days)),
    ].filter(([, ...values]) => values.some((v) => v !== words.noValue && v !== `${words.noValue} · ${words.noValue}`));
    fill(this.body, element('div', { class: 'wide figures', tabindex: '0', role: 'region', aria: { label: words.reserveTitle } }, table([words.figure, ...sides.map((s) => words.letter[s])], rows)),
      sides.map((s) => element('p', { class: 'said bank-' + s }, element('b', {}, words.letter[s]), ' ', picture.deep[s].headroom.words)));
  }

  redraw() {
    if (this.picture) this.deepen(this.picture);
  }
}
