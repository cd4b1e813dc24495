// Twenty years behind the typical one: made from the monthly means of its weather,
// each with other days. What is asked is the same question with other weather.

import { element, fill, table } from './element.js';
import { Part } from './part.js';
import { niceStep } from './months.js';
import { sideOf, sides } from './question.js';
import { postJSON } from './service.js';
import { round } from './units.js';
import { words } from './strings.js';

const count = 20;
const seed = 1;
const row = 34;
const left = 24;

export class Years extends Part {
  constructor() {
    super(words.yearsTitle, words.yearsNote);
    this.root.classList.add('years');
    this.text = element('p', { class: 'sentence', aria: { live: 'polite' } });
    this.progress = element('progress', { max: count, value: 0, hidden: true, aria: { label: words.yearsTitle } });
    this.drawing = element('div');
    this.width = 700;
    new ResizeObserver(() => this.resize()).observe(this.drawing);
    fill(this.body, this.text, this.progress, this.drawing);
  }

  resize() {
    if (!this.drawing.clientWidth || this.width === this.drawing.clientWidth) return;
    this.width = this.drawing.clientWidth;
    if (this.hours) this.draw();
  }

  // show starts anew: the years of the last question are not those of this one.
  show(picture) {
    this.stop();
    this.typical = Object.fromEntries(sides.map((s) => [s, picture.answers[s].figures.downtime_h]));
    this.hours = null;
    this.root.classList.add('waiting');
  }

  stop() {
    this.running?.abort();
  }

  // run asks for the years one after the other, so that a change of an input need
  // not wait for them. body makes the question of a weather.
  async run(body, columns, year) {
    this.stop();
    this.running = new AbortController();
    const { signal } = this.running;
    const monthly = monthlyMeans(columns, year);
    const hours = { a: [], b: [] };
    this.progress.hidden = false;
    for (let member = 0; member < count; member++) {
      this.progress.value = member;
      const comparison = await postJSON('/v1/comparisons?verdict=false', body(JSON.stringify({ monthly, seed, member })), signal);
      for (const c of comparison.candidates) hours[sideOf(c.candidate)].push(c.answer.figures.downtime_h);
    }
    this.progress.hidden = true;
    this.hours = hours;
    this.root.classList.remove('waiting');
    this.draw();
  }

  draw() {
    const sorted = Object.fromEntries(sides.map((s) => [s, [...this.hours[s]].sort((x, y) => x - y)]));
    fill(this.text, sides.map((s) => element('span', { class: 'block' }, this.say(s, sorted[s]))));
    const most = Math.max(1, ...sides.flatMap((s) => [sorted[s].at(-1), this.typical[s]]));
    const step = niceStep(most / 5);
    const top = Math.ceil(most / step) * step;
    const x = (h) => left + ((this.width - left - 24) * h) / top;
    const height = 2 * row + 24;
    const svg = element('svg', { viewBox: `0 0 ${this.width} ${height}`, width: this.width, height, class: 'stack', role: 'img', aria: { label: sides.map((s) => this.say(s, sorted[s])).join(' ') } });
    for (let v = 0; v <= top + 1e-9; v += step) {
      svg.append(element('line', { x1: x(v), x2: x(v), y1: 0, y2: 2 * row, class: 'rule' }), element('text', { x: x(v), y: height - 8, class: 'axis middle' }, `${round(v)} h`));
    }
    sides.forEach((s, i) => {
      svg.append(element('rect', { x: x(this.typical[s]) - 4, y: row * i + 12, width: 8, height: 8, class: 'open-' + s }), element('text', { x: 4, y: row * (i + 0.62), class: `axis ink-${s}` }, words.letter[s]));
      // Years that are alike stand beside each other, not upon each other.
      sorted[s].forEach((h, n) => svg.append(element('rect', { x: x(h) - 2, y: row * i + 6 + (n % 5) * 4.4, width: 4, height: 4, class: 'fill-' + s }, element('title', {}, `${round(h)} h`))));
    });
    fill(this.drawing, svg);
    this.table(() => table([words.year, ...sides.map((s) => words.letter[s])], this.hours.a.map((_, n) => [String(n + 1), ...sides.map((s) => `${round(this.hours[s][n])} h`)])));
  }

  say(side, sorted) {
    const none = sorted.filter((h) => h < 0.05).length;
    return words.yearsSay(words.letter[side], round(sorted[0]), round(sorted.at(-1)), round((sorted[count / 2 - 1] + sorted[count / 2]) / 2), none, count, sorted.filter((h) => h < this.typical[side]).length);
  }
}

// monthlyMeans are what a year is made from: global irradiation in kWh/m² a day,
// air temperature and wind of each month.
export function monthlyMeans(columns, year) {
  const perDay = 86400 / columns.step_s;
  const mean = (values, scale) => {
    const sum = new Float64Array(12);
    const n = new Float64Array(12);
    values.forEach((v, i) => {
      const month = new Date(Date.UTC(year, 0, 1 + Math.floor(i / perDay))).getUTCMonth();
      sum[month] += v;
      n[month]++;
    });
    return Array.from(sum, (s, m) => Number(((scale * s) / n[m]).toFixed(4)));
  };
  const out = { ghi_kwh_m2_d: mean(columns.ghi_w_m2, 24 / 1000), ambient_c: mean(columns.ambient_c, 1) };
  if (columns.wind_m_s) out.wind_m_s = mean(columns.wind_m_s, 1);
  return out;
}
