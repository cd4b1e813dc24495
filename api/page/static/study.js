// Many systems at once: a sweep over two inputs as a map, or the smallest systems
// that are dark no longer than a limit. The service runs them as a study; a click
// on one loads it as bank B.

import { element, fill } from './element.js';
import { StudyMap } from './map.js';
import { Part } from './part.js';
import { sides } from './question.js';
import { Away, Refused, fetchJSON, fetchLines, postJSON } from './service.js';
import { longLabel, word, words } from './strings.js';

// ranges are what can be varied: first value, last and step to begin with.
const ranges = {
  'bank.modules': [2, 6, 1], 'array.planes.roof.rated_kw': [3, 9, 1], 'array.planes.roof.tilt_deg': [15, 90, 15], 'load.scale_to_kwh_per_day': [5, 13, 2],
  'generators.main.start_soc_fraction': [0.1, 0.6, 0.1], 'generators.main.stop_soc_fraction': [0.5, 0.95, 0.15], 'bank.enclosure.heater_w_per_module': [0, 120, 40], 'bank.module.capacity_ah': [50, 300, 50],
};

const figures = ['downtime_h', 'dark_nights', 'longest_outage_h', 'generator_h', 'fuel_l', 'years_to_80_pct', 'lowest_soc_fraction'];
const often = 400; // ms between looks at the runs of a study that is running
const patience = 1500; // ms before a service that is busy is asked again
const mostCells = 2000;

export class Study extends Part {
  constructor(context) {
    super(words.studyTitle, words.studyNote, { withTable: false });
    this.context = context;
    this.axes = [this.axis('across', 'array.planes.roof.rated_kw'), this.axis('down', 'bank.modules')];
    this.base = select(sides.map((s) => [s, words.bankName[s]]), 'b');
    this.kind = select(Object.entries(words.studyKinds), 'sweep', () => this.kindChanged());
    this.limit = element('input', { type: 'number', min: 0, step: 'any', value: 10 });
    this.limitBox = element('span', { hidden: true }, labelled(words.darkAtMost, this.limit), ' h');
    this.go = element('button', { type: 'button', class: 'plain', on: { click: () => this.submit() } }, words.startStudy);
    this.stop = element('button', { type: 'button', class: 'plain', hidden: true, on: { click: () => this.cancel() } }, words.stopStudy);
    this.progress = element('progress', { max: 1, value: 0, hidden: true, aria: { label: words.studyTitle } });
    this.said = element('p', { class: 'note', role: 'status' });
    this.problems = element('ul', { class: 'wrongs' });
    this.figure = select(figures.map((f) => [f, words.figureOf(f)]), 'downtime_h', () => this.draw());
    this.figureBox = element('p', { hidden: true }, labelled(words.colourBy, this.figure));
    this.map = new StudyMap(context, (values) => context.loadRun(values));
    fill(this.body, element('div', { class: 'study-form' }, element('p', {}, labelled(words.studyKind, this.kind), ' ', labelled(words.studyBase, this.base), ' ', this.limitBox), this.axes.map((a) => a.root),
      element('p', { class: 'actions' }, this.go, this.stop)), this.problems, this.progress, this.said, this.figureBox, this.map.root);
  }

  axis(way, path) {
    const number = () => element('input', { type: 'number', step: 'any' });
    const a = { from: number(), to: number(), step: number(), unit: element('span', { class: 'unit' }) };
    const choose = () => {
      [a.from.value, a.to.value, a.step.value] = ranges[a.path.value];
      a.unit.textContent = this.context.units.scale('', this.context.facts.of(a.path.value)?.unit).unit;
    };
    a.path = select(Object.keys(ranges).map((p) => [p, longLabel(p)]), path, choose);
    choose();
    a.root = element('p', {}, labelled(words.axis[way], a.path), ' ', labelled(words.axisFrom, a.from), ' ', labelled(words.axisTo, a.to), ' ', labelled(words.axisStep, a.step), ' ', a.unit);
    a.spec = () => ({ path: a.path.value, range: { start: Number(a.from.value), end: Number(a.to.value), step: Number(a.step.value) } });
    return a;
  }

  kindChanged() {
    this.limitBox.hidden = this.kind.value !== 'sizing';
  }

  // show opens the study that the address names, and offers what the system has.
  show() {
    const sets = this.context.question.sets();
    for (const option of this.axes.flatMap((a) => [...a.path.options])) option.disabled = option.value.startsWith('generators.') && !(option.value.split('.')[1] in sets);
    const id = this.context.question.get('study');
    if (id && id !== this.id) this.follow(id);
  }

  redraw() {
    this.draw();
  }

  async submit() {
    const { question, weathers } = this.context;
    const weather = await weathers.member(question.place().key);
    const base = JSON.stringify(question.system(this.base.value)).slice(0, -1) + `,"weather":${weather}}`;
    const rest = { kind: this.kind.value, axes: this.axes.map((a) => a.spec()).reverse() };
    if (rest.kind === 'sizing') rest.sizing = { limits: [{ figure: 'downtime_h', at_most: Number(this.limit.value) }] };
    fill(this.problems);
    await this.guard(async () => {
      const checked = await postJSON('/v1/studies?start=false', JSON.stringify(rest).slice(0, -1) + `,"base":${base}}`);
      if (checked.candidates > mostCells) {
        this.said.textContent = words.studyTooLarge(checked.candidates, mostCells);
        return;
      }
      const study = await postJSON('/v1/studies', JSON.stringify(rest).slice(0, -1) + `,"base":${base}}`);
      this.id = study.id; // before the address says so
      this.context.nameStudy(study.id);
      await this.follow(study.id);
    });
  }

  // guard says what the service refuses, or that it does not answer.
  async guard(work) {
    try {
      await work();
    } catch (error) {
      if (error instanceof Refused) fill(this.problems, (error.problem.faults.length > 0 ? error.problem.faults.map((f) => `${f.pointer}: ${words.fault(f)}`) : [error.message]).map((text) => element('li', {}, text)));
      else if (error instanceof Away) this.said.textContent = words.studyAway;
      else throw error;
    }
  }

  // follow shows a study while it runs and when it is done.
  async follow(id) {
    this.events?.close();
    this.id = id;
    await this.guard(async () => {
      this.study = await fetchJSON(`/v1/studies/${id}`);
      this.tell(this.study.progress);
      if (this.study.kind in words.studyKinds) this.kind.value = this.study.kind;
      this.kindChanged();
      await this.look();
      if (over(this.study.state)) return;
      this.events = new EventSource(`/v1/studies/${id}/events`);
      this.events.addEventListener('progress', (e) => this.heard(JSON.parse(e.data)));
    });
  }

  heard(progress) {
    this.tell(progress);
    if (over(progress.state)) {
      this.events.close();
      clearTimeout(this.looking);
      this.looking = undefined;
      this.end(this.id);
    } else this.looking ??= setTimeout(() => { this.looking = undefined; this.guard(() => this.look()); }, often);
  }

  // end reads all of a study that is over; a service that is busy is asked again.
  async end(id) {
    await this.guard(async () => {
      try {
        this.study = await fetchJSON(`/v1/studies/${id}`);
        await this.look();
      } catch (error) {
        if (error instanceof Away && this.id === id) setTimeout(() => this.end(id), patience);
        throw error;
      }
    });
  }

  tell(p) {
    const running = !over(p.state);
    this.progress.hidden = !running;
    this.stop.hidden = !running;
    this.progress.value = p.runs > 0 ? p.done / p.runs : 0;
    this.said.textContent = words.studyProgress(word(p.state), p.done, p.runs, p.remaining_s === undefined ? '' : words.seconds(Math.ceil(p.remaining_s)));
  }

  // look reads the runs that are done.
  async look() {
    const names = this.study.columns.map((c) => c.name);
    this.paths = names.slice(names.indexOf('weather_year') + 1, names.indexOf('hash'));
    const runs = await fetchLines(`/v1/studies/${this.id}/runs?columns=${['candidate', ...this.paths, ...figures, 'fault'].join(',')}`);
    this.runs = runs;
    this.figureBox.hidden = runs.length === 0;
    this.draw();
    document.documentElement.dataset.runs = runs.length;
  }

  draw() {
    if (this.runs?.length) this.map.show(this.study, this.paths, this.runs, this.figure.value);
  }

  async cancel() {
    await this.guard(() => postJSON(`/v1/studies/${this.id}/cancel`, ''));
  }
}

const over = (state) => state === 'done' || state === 'cancelled';

const select = (choices, value, change) => element('select', { on: { change: change ?? (() => {}) } }, choices.map(([v, text]) => element('option', { value: v, selected: v === value }, text)));

const labelled = (text, control) => element('label', { class: 'inline' }, text, ' ', control);
