// Stacked columns month by month, the two banks beside each other.

import { element, fill, table } from './element.js';
import { Part, legend } from './part.js';
import { sides } from './question.js';
import { monthNames, round } from './units.js';
import { words } from './strings.js';

const gap = 6;
const high = 150;
const left = 40;

// Months stacks layers, each [name, text, kWh of a month]. A layer with nothing in it is
// left out.
export class Months extends Part {
  constructor(title, note, layers) {
    super(title, note);
    this.layers = layers;
    this.drawing = element('div');
    this.width = 700;
    new ResizeObserver(() => this.resize()).observe(this.drawing);
    this.legend = element('div');
    fill(this.body, this.drawing, this.legend);
  }

  // resize draws again in another width: text keeps its size.
  resize() {
    if (!this.drawing.clientWidth || this.width === this.drawing.clientWidth) return;
    this.width = this.drawing.clientWidth;
    if (this.picture) this.show(this.picture);
  }

  show(picture) {
    this.picture = picture;
    if (!picture.more) return;
    const months = Object.fromEntries(sides.map((s) => [s, picture.more[s].months]));
    const value = (s, m, layer) => layer[2](months[s][m]);
    const layers = this.layers.filter((layer) => sides.some((s) => months[s].some((month) => layer[2](month) > 0)));
    fill(this.legend, legend(layers.map(([name, text]) => [name, text])));
    const total = (s, m) => layers.reduce((sum, layer) => sum + value(s, m, layer), 0);
    const n = months.a.length;
    const most = Math.max(1, ...sides.flatMap((s) => months[s].map((_, m) => total(s, m))));
    const step = niceStep(most / 3);
    const top = Math.ceil(most / step) * step;
    const { width } = this;
    const wide = Math.max(4, ((width - left) / n - gap) / 2);
    const svg = element('svg', { viewBox: `0 -8 ${width} ${high + 40}`, width, height: high + 40, role: 'img', class: 'stack', aria: { label: this.root.firstChild.textContent } });
    for (let v = 0; v <= top + 1e-9; v += step) {
      const y = high - (high * v) / top;
      svg.append(element('line', { x1: left - 4, x2: width, y1: y, y2: y, class: 'rule' }), element('text', { x: left - 8, y: y + 4, class: 'axis end' }, round(v)));
    }
    for (let m = 0; m < n; m++) {
      const x = left + m * (2 * wide + gap);
      sides.forEach((s, i) => {
        let y = high;
        for (const layer of layers) {
          const h = (high * value(s, m, layer)) / top;
          if (h <= 0) continue;
          y -= h;
          svg.append(element('rect', { x: x + i * wide, y, width: wide - 1, height: h, class: 'layer ' + layer[0] },
            element('title', {}, `${words.letter[s]}, ${monthNames[m]}, ${layer[1]}: ${round(value(s, m, layer))} kWh`)));
        }
        svg.append(element('text', { x: x + i * wide + wide / 2, y: high + 13, class: `axis middle ink-${s}` }, words.letter[s]));
      });
      svg.append(element('text', { x: x + wide, y: high + 27, class: 'axis middle' }, monthNames[m]));
    }
    fill(this.drawing, svg);
    this.table(() => table([words.month, ...sides.flatMap((s) => layers.map((layer) => `${words.letter[s]}: ${layer[1]}`))],
      months.a.map((_, m) => [monthNames[m], ...sides.flatMap((s) => layers.map((layer) => `${round(value(s, m, layer))} kWh`))])));
  }
}

// niceStep is the next of 1, 2, 5 times a power of ten.
export function niceStep(x) {
  const power = 10 ** Math.floor(Math.log10(x));
  return [1, 2, 5, 10].map((k) => k * power).find((k) => k >= x - 1e-9);
}

const refusals = (month) => Object.entries(month.curtailed_by_cause_kwh).reduce((sum, [cause, x]) => sum + (cause === 'bank_full' ? 0 : x), 0);

export const servedMonths = () => new Months(words.monthsTitle, words.monthsNote, [
  ['from-sun', words.sources.solar, (m) => m.books.load_from_solar_kwh],
  ['from-bank', words.sources.bank, (m) => m.books.load_from_bank_kwh],
  ['from-generator', words.sources.generator, (m) => m.books.load_from_generator_kwh],
  ['from-grid', words.sources.grid, (m) => m.books.load_from_grid_kwh],
  ['unserved', words.sources.unserved, (m) => m.books.unserved_kwh],
]);

export const solarMonths = () => new Months(words.sunTitle, words.sunNote, [
  ['from-sun', words.sinks.load, (m) => m.books.solar_to_load_kwh],
  ['from-bank', words.sinks.bank, (m) => m.books.solar_to_bank_kwh],
  ['loss', words.sinks.loss, (m) => m.books.solar_loss_kwh],
  ['spare', words.sinks.full, (m) => m.curtailed_by_cause_kwh.bank_full],
  ['limited', words.sinks.refused, refusals],
]);
