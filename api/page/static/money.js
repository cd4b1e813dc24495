// What each system costs over the horizon, once prices are stated.

import { element, fill, table } from './element.js';
import { Part } from './part.js';
import { sides } from './question.js';
import { cents, round } from './units.js';
import { words } from './strings.js';

const lines = ['capital', 'fuel', 'service', 'other', 'replacement', 'residual', 'present_value'];

// bills are those of a picture, null without prices.
export const bills = (picture) => (sides.every((s) => picture.answers[s].money) ? Object.fromEntries(sides.map((s) => [s, picture.answers[s].money])) : null);

// costRows are those among the figures: title and amount of each bank.
export function costRows(picture) {
  const by = bills(picture);
  if (!by) return [];
  const { currency } = by.a;
  const row = (title, read) => ({ title, values: sides.map((s) => read(by[s])), unit: currency });
  return [row(words.money.capital, (b) => b.capital), row(words.money.present_value, (b) => b.present_value), { ...row(words.costPerKWh, (b) => b.cost_per_kwh), fine: true }];
}

export class Money extends Part {
  constructor(context) {
    super(words.moneyTitle, '', { withTable: false });
    this.context = context;
  }

  show(picture) {
    const by = bills(picture);
    if (!by) {
      this.note.textContent = words.noPrices;
      fill(this.body, this.context.examplePrices && element('p', { class: 'actions' }, element('button', { type: 'button', class: 'plain', on: { click: () => this.context.examplePrices() } }, words.examplePrices)));
      return;
    }
    const { currency, horizon_y: years, discount_rate_fraction: rate } = by.a;
    this.note.textContent = words.moneyNote(currency, years, `${round(100 * rate)} %`);
    const missing = [...new Set(sides.flatMap((s) => by[s].not_priced))];
    const difference = (a, b) => (round(Math.abs(b - a)) === '0' ? words.same : words.lessMore(round(Math.abs(b - a)), b > a));
    fill(this.body,
      element('div', { class: 'wide figures', tabindex: '0', role: 'region', aria: { label: words.moneyTitle } }, table([currency, ...sides.map((s) => words.letter[s]), words.difference],
        [...lines.map((name) => [words.money[name], ...sides.map((s) => round(name === 'residual' ? -by[s][name] : by[s][name])), difference(by.a[name], by.b[name])]),
          [words.costPerKWh, ...sides.map((s) => (by[s].cost_per_kwh === null ? words.noValue : cents(by[s].cost_per_kwh))), '']])),
      missing.length > 0 && element('p', {}, words.notPriced(missing)));
  }
}
