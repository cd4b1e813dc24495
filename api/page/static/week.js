// Seven days hour by hour: state of charge, voltage, and charge current under its
// ceiling.

import { element, fill, table } from './element.js';
import { Part } from './part.js';
import { Plot, lines } from './plot.js';
import { sides } from './question.js';
import { clock, dayName, exact, moment, round, weekdayName } from './units.js';
import { words } from './strings.js';

const days = 7;

// A line at each midnight, with the day that begins.
const timeAxis = {
  splits: (u) => Array.from({ length: days }, (_, d) => u.data[0][0] + 86400 * d),
  values: (u, splits) => splits.map((s) => (u.width < 420 ? String(new Date(s * 1000).getUTCDate()) : (u.width < 600 ? dayName : weekdayName)(new Date(s * 1000)))),
  align: 1, size: 24,
};

export class Week extends Part {
  // say names the week that is drawn.
  constructor(say = words.weekNote) {
    super(words.weekTitle, '');
    this.say = say;
    this.first = null; // day chosen by hand; null for the worst week
    const sync = { cursor: { sync: { key: 'week' } } };
    const percent = (_, v) => (v === null || v === undefined ? words.noValue : `${round(v)} %`);
    const with1 = (unit) => (_, v) => (v === null || v === undefined ? words.noValue : `${round(v)} ${unit}`);
    const x = { value: (_, t) => (t === null || t === undefined ? words.noValue : `${weekdayName(new Date(t * 1000))}, ${clock(new Date(t * 1000))}`), label: words.when };
    this.plots = {
      soc: new Plot(190, () => ({ ...sync, scales: { x: { time: true }, y: { range: [0, 100] } }, axes: [timeAxis, { values: (_, t) => t.map((v) => `${v} %`), size: 52 }], series: [x, ...lines(words.letter, percent)] }), words.soc),
      voltage: new Plot(170, () => ({ ...sync, scales: { x: { time: true } }, axes: [timeAxis, { values: (_, t) => t.map((v) => `${exact(v)} V`), size: 52 }], series: [x, ...lines(words.letter, (_, v) => (v === null || v === undefined ? words.noValue : `${v.toFixed(1)} V`))] }), words.voltage),
      current: new Plot(190, () => ({ ...sync, scales: { x: { time: true } }, axes: [timeAxis, { values: (_, t) => t.map((v) => `${exact(v)} A`), size: 52 }],
        series: [x, ...lines(words.letter, with1('A')), { label: `${words.letter.a} ${words.ceiling}`, stroke: '--a', width: 1, dash: [1, 3], value: with1('A') }, { label: `${words.letter.b} ${words.ceiling}`, stroke: '--b', width: 1, dash: [1, 3], value: with1('A') }] }), words.current),
    };
    const button = (text, act) => element('button', { type: 'button', class: 'plain', on: { click: act } }, text);
    fill(this.body,
      element('p', { class: 'actions' }, button(words.earlier, () => this.move(-days)), button(words.worst, () => this.choose(null)), button(words.later, () => this.move(days))),
      Object.entries(this.plots).map(([name, plot]) => [element('h4', {}, words[name]), plot.box]));
  }

  // show draws the week once the columns for it are there.
  show(picture) {
    this.picture = picture;
    if (picture.more) this.draw();
  }

  redraw() {
    for (const plot of Object.values(this.plots)) plot.redraw();
  }

  // choose takes the week around an hour of the year, null for the worst.
  choose(hour) {
    this.first = hour === null ? null : Math.floor(hour / 24) - 3;
    if (this.picture?.more) this.draw();
  }

  move(by) {
    if (!this.picture) return;
    this.first = this.start() + by;
    this.draw();
  }

  start() {
    const { hours } = this.picture;
    const first = this.first ?? worst(hours);
    return Math.min(hours.a.days - days, Math.max(0, first));
  }

  draw() {
    const { hours, more, year } = this.picture;
    const { perDay } = hours.a;
    const first = this.start();
    const cut = (column) => Array.from(column.slice(first * perDay, (first + days) * perDay));
    const times = cut(hours.a.soc).map((_, i) => moment(year, first * 24 + (i * 24) / perDay).getTime() / 1000);
    this.note.textContent = this.say(weekdayName(moment(year, first * 24)));
    const pair = (f) => sides.map(f);
    // A ceiling that never acts would squeeze the current: it is cut at twice what flows.
    const currents = pair((s) => cut(more[s].bank_a));
    const highest = 1.3 * Math.max(10, ...currents.flat());
    this.plots.soc.show([times, ...pair((s) => cut(hours[s].soc).map((v) => v * 100))]);
    this.plots.voltage.show([times, ...pair((s) => cut(more[s].bank_v))]);
    this.plots.current.show([times, ...currents, ...pair((s) => cut(more[s].charge_ceiling_a).map((v) => (v > highest ? null : v)))]);
    this.table(() => table([words.when, ...sides.flatMap((s) => [`${words.letter[s]}: ${words.soc}`, `${words.letter[s]}: V`, `${words.letter[s]}: A`, `${words.letter[s]}: ${words.ceiling}, A`])],
      times.map((t, i) => {
        const when = new Date(t * 1000);
        const k = first * perDay + i;
        return [`${weekdayName(when)}, ${clock(when)}`, ...sides.flatMap((s) => [`${round(100 * hours[s].soc[k])} %`, more[s].bank_v[k].toFixed(1), round(more[s].bank_a[k]), round(more[s].charge_ceiling_a[k])])];
      })));
  }
}

// worst is the first day of the seven with the most darkness, of those the lowest.
function worst(hours) {
  let best = 0;
  let most = -Infinity;
  const { days: all, perDay } = hours.a;
  const score = Array.from({ length: all }, (_, d) => {
    let sum = 0;
    for (const s of sides) for (let i = d * perDay; i < (d + 1) * perDay; i++) sum += hours[s].downtime[i] * 100 + (1 - hours[s].soc[i]);
    return sum;
  });
  for (let d = 0; d + days <= all; d++) {
    const sum = score.slice(d, d + days).reduce((x, y) => x + y, 0);
    if (sum > most) [best, most] = [d, sum];
  }
  return best;
}
