// Line charts by uPlot in the page's own colours.

import uPlot from './uplot/uPlot.esm.js';
import { css, element, fill } from './element.js';

const utc = (s) => uPlot.tzDate(new Date(s * 1e3), 'Etc/UTC');

// Plot is one chart in its own box. It is as wide as the box and follows it.
export class Plot {
  // make gives the options of uPlot: series, axes and scales as they are meant,
  // colours by the names of the style sheet's properties.
  constructor(height, make, label) {
    this.height = height;
    this.make = make;
    this.box = element('div', { class: 'plot', role: 'img', aria: { label } });
    this.chart = null;
    new ResizeObserver(() => this.resize()).observe(this.box);
  }

  show(data) {
    this.data = data;
    if (this.chart && this.chart.series.length === data.length) this.chart.setData(data);
    else this.redraw();
  }

  // redraw makes the chart anew, after the colours or units have changed.
  redraw() {
    if (!this.data) return;
    this.chart?.destroy();
    fill(this.box);
    const o = this.make();
    const axis = { stroke: css('--soft'), grid: { stroke: css('--rule'), width: 1 }, ticks: { show: false }, font: '12px system-ui, sans-serif' };
    this.chart = new uPlot({
      width: this.width(), height: this.height, tzDate: utc, padding: [8, 20, 0, 0],
      cursor: { y: false, points: { size: 6 }, drag: { x: false, y: false }, ...o.cursor },
      legend: { live: true },
      scales: o.scales,
      axes: o.axes.map((a) => ({ ...axis, ...a })),
      series: o.series.map((s, i) => (i === 0 ? s : { points: { show: false }, width: 1.75, ...s, stroke: css(s.stroke), dash: s.dash?.map((d) => d * devicePixelRatio) })),
      hooks: o.hooks,
    }, this.data, this.box);
  }

  width() {
    return Math.max(200, this.box.clientWidth || 600);
  }

  resize() {
    if (this.chart && this.chart.width !== this.width()) this.chart.setSize({ width: this.width(), height: this.height });
  }
}

// lines are the two banks: A solid, B dashed, so that they differ without colour.
export const lines = (names, value) => [
  { label: names.a, stroke: '--a', value },
  { label: names.b, stroke: '--b', dash: [6, 3], value },
];
