// The answer in numbers and words: which bank, and what is the difference.

import { element, fill, table } from './element.js';
import { costRows } from './money.js';
import { Part } from './part.js';
import { sides } from './question.js';
import { cents, round, stampText } from './units.js';
import { figureName, headline, ofGrid, word, words } from './strings.js';

const other = { a: 'b', b: 'a' };

// Verdict is the two large numbers and the sentence under them.
export class Verdict {
  constructor(units) {
    this.units = units;
    this.open = innerWidth >= 700; // what the verdict rests on
    this.numbers = element('div', { class: 'numbers' });
    this.sentence = element('div', { class: 'sentence', aria: { live: 'polite' } });
    this.took = element('p', { class: 'note took' });
    this.pair = element('div', { class: 'question', hidden: true });
    this.rests = element('div', { class: 'rests', aria: { live: 'polite' } });
    this.lesson = element('p', { class: 'lesson', hidden: true });
    this.contents = element('nav', { class: 'contents', aria: { label: words.contents } });
    this.links = element('p', { class: 'paper-links' });
    this.root = element('section', { class: 'verdict' }, this.pair, this.numbers, this.sentence, this.rests, this.lesson, element('p', { class: 'note' }, words.oneYear), this.links, this.contents, this.took);
  }

  show(picture) {
    this.picture = picture;
    fill(this.numbers, sides.map((s) => element('div', { class: 'number bank-' + s },
      element('b', {}, words.letter[s]),
      element('p', { class: 'big' }, element('span', { data: { dark: s } }, round(picture.answers[s].figures.downtime_h)), ' ', element('small', {}, 'h')),
      element('p', { class: 'what' }, words.darkAYear),
      element('p', { class: 'note band' }, ''),
      element('p', { class: 'note' }, picture.banks[s]))));
    if (!picture.deep && !this.rests.firstChild) fill(this.rests, words.weighing);
    const pair = words.pairs[picture.pair];
    this.pair.hidden = !pair;
    if (pair) {
      fill(this.pair, element('h3', {}, pair.question), element('p', {}, pair.explained),
        element('p', { class: 'actions' }, element('button', { type: 'button', class: 'plain', on: { click: () => print() } }, words.printSheet)));
      fill(this.lesson, element('b', {}, words.lessonTitle, ': '), pair.lesson);
    }
    this.lesson.hidden = !pair;
    fill(this.sentence, this.sentences(picture).map((text) => element('p', {}, text)));
  }

  // deepen adds what the service makes of it, and how far the numbers reach.
  deepen(picture) {
    const { verdict } = picture.deep;
    sides.forEach((s, i) => {
      const { low, high } = picture.deep[s].bands.figures.downtime_h;
      const text = round(low) === round(high) ? '' : words.bandOf(round(low), round(high));
      this.numbers.children[i].querySelector('.band').textContent = text;
    });
    fill(this.rests, element('details', { open: this.open }, element('summary', {}, words.restsOn), element('ul', {}, [element('b', {}, verdict.title), ...verdict.words].map((text) => element('li', {}, text)))));
    this.rests.firstChild.addEventListener('toggle', (e) => { this.open = e.target.open; });
  }

  sentences(picture) {
    const f = { a: picture.answers.a.figures, b: picture.answers.b.figures };
    const q = (name, unit, x) => this.units.quantity(name, unit, x);
    const out = [];
    const better = f.a.downtime_h < f.b.downtime_h ? 'a' : 'b';
    const less = f[better].downtime_h;
    const more = f[other[better]].downtime_h;
    const names = [words.letter[better], words.letter[other[better]]];
    if (more < 0.05) out.push(words.neither);
    else if (more - less < Math.max(0.1, 0.02 * more)) out.push(words.alike(q('downtime_h', 'h', more)));
    else if (less === 0) out.push(words.never(...names, q('downtime_h', 'h', more)));
    else out.push(words.less(names[0], q('downtime_h', 'h', more - less), names[1]));
    const runs = f.a.generator_h < f.b.generator_h ? 'a' : 'b';
    const hours = Math.abs(f.a.generator_h - f.b.generator_h);
    const litres = f[other[runs]].fuel_l - f[runs].fuel_l;
    if (hours >= 1 && litres > 0) out.push((runs === better || more < 0.05 ? words.generatorLess : words.generatorLessBut)(words.letter[runs], q('generator_h', 'h', hours), q('fuel_l', 'l', litres)));
    else if (f.a.generator_h > 0 && f.b.generator_h > 0 && hours < 1) out.push(words.generatorSame);
    const harm = (s) => f[s].charged_too_cold_h;
    const harmed = sides.filter((s) => harm(s) > 0);
    const hurt = (s) => q('charged_too_cold_h', 'h', harm(s));
    if (harmed.length === 2) out.push(words.harmedBoth(hurt('a'), hurt('b')));
    for (const s of harmed) {
      const gains = f[s].downtime_h < f[other[s]].downtime_h && harm(s) > 1.2 * harm(other[s]) && harm(s) - harm(other[s]) >= 1;
      if (harmed.length === 1 || gains) out.push(harmed.length === 1 ? words.harmed(words.letter[s], hurt(s), gains) : words.bought(words.letter[s]));
    }
    return out;
  }

  redraw() {
    if (!this.picture) return;
    this.show(this.picture);
    if (this.picture.deep) this.deepen(this.picture);
  }
}

// Figures is every figure side by side with the difference in words; the ones
// that a quote uses first.
export class Figures extends Part {
  constructor(units, facts) {
    super(words.figuresTitle, words.beforeRounding, { withTable: false });
    this.units = units;
    this.facts = facts;
    this.first = element('div', { class: 'wide figures', tabindex: '0', role: 'region', aria: { label: words.figuresTitle } });
    this.rest = element('div', { class: 'wide figures', tabindex: '0', role: 'region', aria: { label: words.allFigures } });
    this.all = element('details', { class: 'table', on: { toggle: () => this.fillRest() } }, element('summary', {}, words.allFigures), this.rest);
    fill(this.body, this.first, this.all);
  }

  show(picture) {
    this.picture = picture;
    const by = new Map(picture.figures.map((row) => [row.figure, row]));
    const grid = sides.some((s) => by.get('grid_h')?.values[s] > 0);
    this.headline = headline.filter((name) => by.has(name) && (grid || !ofGrid.includes(name)));
    fill(this.first, this.rows(this.headline.map((name) => by.get(name)), costRows(picture)));
    this.fillRest();
  }

  deepen(picture) {
    this.show(picture);
  }

  fillRest() {
    if (this.all.open && this.picture) fill(this.rest, this.rows((this.picture.deep ?? this.picture).figures.filter((row) => !this.headline.includes(row.figure))));
  }

  redraw() {
    if (this.picture) this.show(this.picture);
  }

  rows(rows, costs = []) {
    return table([words.figure, ...sides.map((s) => words.letter[s]), words.difference],
      [...rows.map((row) => [element('span', { title: this.facts.figure(row.figure) }, figureName(row.figure)), ...sides.map((s) => [this.value(row, row.values[s]), this.band(row, s)]), this.difference(row)]),
        ...costs.map((c) => { const say = (x) => `${c.fine ? cents(x) : round(x)}\u00a0${c.unit}`; return [c.title, ...c.values.map((x) => (x === null ? words.noValue : say(x))), c.values.includes(null) ? '' : words.lessMore(say(Math.abs(c.values[1] - c.values[0])), c.values[1] > c.values[0])]; })]);
  }

  // band is how far a figure reaches when the load is a little more or less.
  band(row, s) {
    const band = this.picture.deep?.[s].bands.figures[row.figure];
    if (!band || typeof row.values[s] !== 'number') return null;
    const scale = this.units.scale(row.figure, row.unit ?? '');
    const [low, high] = [band.low, band.high].map((x) => round(this.units.show(scale, x)));
    return low === high ? null : element('small', {}, `${low}–${high}`);
  }

  value(row, x) {
    if (x === undefined || x === null || x === '') return words.noValue;
    if (typeof x === 'string') return stampText(x);
    return this.units.quantity(row.figure, row.unit ?? '', x);
  }

  difference(row) {
    const { a, b } = row.values;
    if (typeof a !== 'number' || typeof b !== 'number') return !a || !b || a.slice(0, 10) === b.slice(0, 10) ? '' : words.earlierLater;
    // A difference of temperatures is no temperature, and one of per cents counts points.
    const name = /^(lowest|highest)_cell_c$/.test(row.figure) ? 'seasonal_swing_c' : row.figure;
    const text = this.units.quantity(name, row.unit ?? '', Math.abs(b - a)).replace('%', (unit, at, whole) => words.points(Number.parseFloat(whole)));
    return Number.parseFloat(text) === 0 ? words.same : words.lessMore(text, b > a);
  }
}

// Findings is what the service says in words of each bank.
export class Findings extends Part {
  constructor() {
    super(words.findingsTitle, '', { withTable: false });
    this.note.hidden = true;
  }

  show(picture) {
    const both = picture.answers.a.findings.filter((x) => picture.answers.b.findings.includes(x));
    const list = (title, name, items) => items.length > 0 && [element('h4', { class: name }, title), element('ul', {}, items.map((x) => element('li', {}, x)))];
    fill(this.body, list(words.both, '', both),
      sides.map((s) => list(words.bankName[s], 'bank-' + s, picture.answers[s].findings.filter((x) => !both.includes(x)))),
      element('p', { class: 'note' }, picture.notes.join(' ')));
  }
}

// bankText names a bank in a few words.
export function bankText(question, facts, side) {
  const key = question.get(`${side}.bank.module.key`);
  const title = (facts.entry(key)?.title ?? key ?? '').replace(/,[^,]*disconnect$/, '');
  return words.bankLine(question.get(`${side}.bank.modules`), title, word(question.get(`${side}.bank.operation`)));
}
