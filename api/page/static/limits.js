// What each limit costs: the year again with one limit lifted or one thing bought,
// ranked by the dark hours that it saves.

import { element, fill, table } from './element.js';
import { Part } from './part.js';
import { sides } from './question.js';
import { round } from './units.js';
import { words } from './strings.js';

const least = 0.05; // h that count as a difference

export class Limits extends Part {
  constructor(units) {
    super(words.limitsTitle, words.limitsNote);
    this.units = units;
  }

  show() {}

  deepen(picture) {
    this.picture = picture;
    const by = Object.fromEntries(sides.map((s) => [s, new Map(picture.deep[s].reliefs.by_hours.map((r) => [r.relief, r]))]));
    const names = [...new Set(sides.flatMap((s) => [...by[s].keys()]))];
    const saves = (s, name) => by[s].get(name)?.saves_downtime_h ?? 0;
    const what = (name) => sides.map((s) => by[s].get(name)?.what).find(Boolean).replace(/\.$/, '');
    const best = (name) => Math.max(...sides.map((s) => saves(s, name)));
    const worst = (name) => Math.min(...sides.map((s) => saves(s, name)));
    const ranked = names.filter((n) => best(n) >= least || worst(n) <= -least).sort((x, y) => best(y) - best(x) || worst(y) - worst(x));
    const idle = names.filter((n) => !ranked.includes(n));
    const low = Math.min(0, ...ranked.map(worst));
    const span = Math.max(1e-9, Math.max(0, ...ranked.map(best)) - low);
    fill(this.body,
      ranked.length === 0 ? element('p', {}, words.limitsNone) : element('div', { class: 'bars', role: 'img', aria: { label: ranked.map((n) => `${what(n)}: ${sides.map((s) => `${words.letter[s]} ${round(saves(s, n))} h`).join(', ')}`).join('; ') } },
        ranked.map((n) => element('div', { class: 'bar-row' }, element('span', { class: 'bar-name' }, what(n)), element('div', { class: 'bar-pair' }, sides.map((s) => this.bar(s, by[s].has(n) ? saves(s, n) : null, low, span)))))),
      idle.length > 0 && ranked.length > 0 && element('p', { class: 'note' }, words.limitsIdle(idle.map((n) => what(n).replace(/^./, (c) => c.toLowerCase())))));
    const money = sides.some((s) => picture.deep[s].reliefs.by_hours.some((r) => r.money));
    this.table(() => table([words.limit, ...sides.flatMap((s) => [`${words.letter[s]}: ${words.savesDark}`, `${words.letter[s]}: ${words.savesGenerator}`, `${words.letter[s]}: ${words.savesFuel}`, ...(money ? [`${words.letter[s]}: ${words.presentValue}`] : [])])],
      [...ranked, ...idle].map((n) => [what(n), ...sides.flatMap((s) => this.cells(by[s].get(n), money))])));
  }

  cells(r, money) {
    if (!r) return [words.noValue, words.noValue, words.noValue, ...(money ? [words.noValue] : [])];
    return [`${round(r.saves_downtime_h)} h`, `${round(r.saves_generator_h)} h`, this.units.quantity('fuel_l', 'l', r.saves_fuel_l), ...(money ? [r.money ? round(r.money.present_value) : words.noValue] : [])];
  }

  bar(side, value, low, span) {
    const zero = (-100 * low) / span;
    const width = (100 * Math.abs(value ?? 0)) / span;
    return element('div', { class: 'bar' }, element('b', {}, words.letter[side]),
      element('svg', { viewBox: '0 0 100 10', preserveAspectRatio: 'none' }, low < 0 && element('line', { x1: zero, x2: zero, y1: 0, y2: 10, class: 'rule' }),
        element('rect', { class: 'fill-' + side, x: value < 0 ? zero - width : zero, width: value ? Math.max(0.5, width) : 0, height: 10 })),
      element('span', {}, value === null ? words.noValue : `${round(value)} h`));
  }

  redraw() {
    if (this.picture) this.deepen(this.picture);
  }
}
