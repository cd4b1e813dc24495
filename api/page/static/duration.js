// How full, how often: the state of charge sorted, against the part of the year.

import { fill, table } from './element.js';
import { Part } from './part.js';
import { Plot, lines } from './plot.js';
import { sides } from './question.js';
import { round } from './units.js';
import { words } from './strings.js';

const points = 200;

export class Duration extends Part {
  constructor() {
    super(words.durationTitle, words.durationNote);
    const percent = (_, v) => (v === null || v === undefined ? words.noValue : `${round(v)} %`);
    const axis = { values: (_, t) => t.map((v) => `${v} %`), size: 52 };
    this.plot = new Plot(220, () => ({ scales: { x: { time: false, range: [0, 100] }, y: { range: [0, 100] } }, axes: [{ ...axis, size: 30 }, axis],
      series: [{ label: words.partOfYear, value: percent }, ...lines(words.letter, percent)] }), words.durationTitle);
    fill(this.body, this.plot.box);
  }

  show(picture) {
    if (!picture.more) return;
    const at = Array.from({ length: points + 1 }, (_, i) => i / points);
    const curves = sides.map((s) => {
      const sorted = Float32Array.from(picture.hours[s].soc).sort().reverse();
      return at.map((x) => 100 * sorted[Math.min(sorted.length - 1, Math.floor(x * sorted.length))]);
    });
    this.plot.show([at.map((x) => 100 * x), ...curves]);
    this.table(() => table([words.partOfYear, ...sides.map((s) => words.letter[s])],
      at.filter((_, i) => i % 10 === 0).map((x, i) => [`${round(100 * x)} %`, ...curves.map((c) => `${round(c[i * 10])} %`)])));
  }

  redraw() {
    this.plot.redraw();
  }
}
