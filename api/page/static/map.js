// The runs of a study over two inputs: a table whose cells are coloured by a figure,
// and of a sizing the smallest systems that meet its limit.

import { element, fill, table } from './element.js';
import { legend } from './part.js';
import { exact, round } from './units.js';
import { longLabel, words } from './strings.js';

// Steps of colour that text can be read on.
const steps = [0, 1, 2, 3, 6];

export class StudyMap {
  // load is called with the values of a run that is picked, by path.
  constructor(context, load) {
    Object.assign(this, { context, load });
    this.frontier = element('div');
    this.cells = element('div', { class: 'wide', tabindex: '0', role: 'region', aria: { label: words.studyTitle } });
    this.legend = element('div');
    this.root = element('div', { class: 'study-map' }, this.frontier, this.cells, this.legend);
  }

  show(study, paths, runs, figure) {
    const scale = this.context.units.scale(figure, study.columns.find((c) => c.name === figure).unit ?? '');
    const value = (r) => (typeof r?.[figure] === 'number' ? this.context.units.show(scale, r[figure]) : null);
    const of = new Map(runs.map((r) => [paths.map((p) => r[p]).join('\n'), r]));
    const [down, across] = paths.length > 1 ? paths : [null, paths[0]];
    const values = (path) => (path ? [...new Set(runs.map((r) => r[path]))].sort((a, b) => a - b) : [undefined]);
    const known = runs.map(value).filter((v) => v !== null);
    const [low, high] = [Math.min(...known), Math.max(...known)];
    const best = new Map((study.summary?.sizing?.frontier ?? []).map((c) => [c.candidate, c]));
    const cell = (x, y) => {
      const run = of.get((down ? [y, x] : [x]).join('\n'));
      if (!run) return words.noValue;
      if (run.fault) return element('span', { title: run.fault }, words.refusedRun);
      const share = high > low ? (value(run) - low) / (high - low) : 0;
      const step = steps[value(run) === 0 ? 0 : Math.min(steps.length - 1, 1 + Math.floor(Math.sqrt(share) * (steps.length - 1)))];
      const where = [this.named(across, x), down && this.named(down, y)].filter(Boolean).join(', ');
      return element('button', { type: 'button', class: `heat dark-${step}${best.has(run.candidate) ? ' best' : ''}`, title: words.loadRun(where), aria: { label: `${where}: ${round(value(run))} ${scale.unit}${best.has(run.candidate) ? ', ' + words.onFrontier : ''}` },
        on: { click: () => this.load(Object.fromEntries(paths.map((p) => [p, run[p]]))) } }, round(value(run)));
    };
    const xs = values(across);
    fill(this.cells, table([down ? `${longLabel(down)} ↓  ${longLabel(across)} →` : longLabel(across), ...xs.map((x) => this.number(across, x))],
      values(down).reverse().map((y) => [down ? this.number(down, y) : words.figureOf(figure), ...xs.map((x) => cell(x, y))])));
    fill(this.legend, legend([['dark-0', `${round(low)} ${scale.unit}`], ['dark-6', `${round(high)} ${scale.unit}`]]), element('p', { class: 'note' }, words.studyHow));
    this.tell(study, paths, best);
  }

  // tell lists the frontier of a sizing.
  tell(study, paths, best) {
    const { sizing } = study.summary ?? {};
    if (!sizing) {
      fill(this.frontier);
      return;
    }
    const list = [...best.values()].map((c) => paths.map((p, i) => [p, c.values[i]]));
    fill(this.frontier, element('h4', {}, words.frontierTitle), list.length === 0 ? element('p', {}, words.noFrontier) : element('ul', { class: 'frontier' }, list.sort((a, b) => a[0][1] - b[0][1]).map((pairs) => element('li', {},
      pairs.map(([p, x]) => this.named(p, x)).join(', '), ' ', element('button', { type: 'button', class: 'plain', on: { click: () => this.load(Object.fromEntries(pairs)) } }, words.loadAsB)))));
  }

  number(path, x) {
    const scale = this.context.units.scale(path, this.context.facts.of(path)?.unit);
    return `${exact(this.context.units.show(scale, x))} ${scale.unit}`.trim();
  }

  named(path, x) {
    return `${longLabel(path)} ${this.number(path, x)}`;
  }
}
