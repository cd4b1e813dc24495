// Cell temperature day by day, with the window in which the cells take charge.

import { fill, table } from './element.js';
import { Part } from './part.js';
import { Plot } from './plot.js';
import { sides } from './question.js';
import { dayName, moment, monthNames, round } from './units.js';
import { words } from './strings.js';

export class Cells extends Part {
  constructor(units) {
    super(words.cellsTitle, words.cellsNote);
    this.units = units;
    const value = (_, v) => (v === null || v === undefined ? words.noValue : `${round(v)} ${this.scale().unit}`);
    const line = (label, stroke, dash, width = 1.5) => ({ label, stroke, dash, width, value });
    this.plot = new Plot(240, () => ({
      scales: { x: { time: true } },
      axes: [{ splits: (u) => monthNames.map((_, m) => Date.UTC(new Date(u.data[0][0] * 1000).getUTCFullYear(), m, 1) / 1000), values: (u) => (u.width < 480 ? monthNames.map((m) => m[0]) : monthNames), align: 1, size: 24 }, { values: (_, t) => t.map((v) => `${v} ${this.scale().unit}`), size: 58 }],
      series: [{ value: (_, t) => (t === null || t === undefined ? words.noValue : dayName(new Date(t * 1000))), label: words.when },
        ...sides.flatMap((s) => [line(`${words.letter[s]} ${words.cellsBand.low}`, '--' + s, s === 'b' ? [6, 3] : undefined), line(`${words.letter[s]} ${words.cellsBand.high}`, '--' + s, s === 'b' ? [6, 3] : undefined, 0.75)]),
        line(words.chargeCold, '--dark-hours', [2, 2], 1), line(words.chargeHot, '--dark-hours', [2, 2], 1)],
    }), words.cellsTitle);
    fill(this.body, this.plot.box);
  }

  scale() {
    return this.units.scale('bank_c', '°C');
  }

  show(picture) {
    this.picture = picture;
    if (!picture.more) return;
    const scale = this.scale();
    const { days, perDay } = picture.hours.a;
    const times = Array.from({ length: days }, (_, d) => moment(picture.year, d * 24).getTime() / 1000);
    const daily = (s, pick) => times.map((_, d) => this.units.show(scale, pick(...picture.more[s].bank_c.slice(d * perDay, (d + 1) * perDay))));
    const bands = sides.flatMap((s) => [daily(s, Math.min), daily(s, Math.max)]);
    const level = (celsius) => times.map(() => (celsius === null ? null : this.units.show(scale, celsius)));
    this.plot.show([times, ...bands, level(picture.window.cold), level(picture.window.hot)]);
    this.table(() => table([words.day, ...sides.flatMap((s) => [`${words.letter[s]} ${words.cellsBand.low}`, `${words.letter[s]} ${words.cellsBand.high}`])],
      times.map((t, d) => [dayName(new Date(t * 1000)), ...bands.map((b) => `${round(b[d])} ${scale.unit}`)])));
  }

  redraw() {
    this.plot.redraw();
    if (this.picture) this.show(this.picture);
  }
}
