// One input: its name, control, unit, range, default, where its value comes
// from, and what the service finds wrong with it.

import { element, fill, textWidth } from './element.js';
import { isObject, same, split } from './question.js';
import { exact } from './units.js';
import { label, word, words } from './strings.js';

let number = 0;

const arrow = 22; // of a list of choices, in pixels

// Field shows and changes the value at a path. context has question, facts,
// units, assumed (what the last answer assumed, by path) and change(path, value).
export class Field {
  // slider is its least, most and step; named are the ids of what names it where it
  // has no label of its own.
  constructor(context, path, { slider = null, choices = null, named = '' } = {}) {
    this.context = context;
    this.path = path;
    this.slider = slider;
    this.facts = context.facts.of(path) ?? { type: 'string', unit: '', doc: words.unknownMember, choices: null };
    // Choices that may become more are given as what tells them.
    this.tell = typeof choices === 'function' ? choices : null;
    this.choices = this.tell?.() ?? choices ?? this.facts.choices?.map((c) => [c, word(c)]);
    this.id = 'f' + ++number;
    this.control = this.makeControl();
    this.mark = element('span', { class: 'mark' });
    this.range = element('span', { class: 'range', id: this.id + 'r' });
    this.problem = element('p', { class: 'problem', id: this.id + 'p', hidden: true });
    this.back = element('button', { type: 'button', class: 'back', hidden: true, on: { click: () => this.context.change(this.path, undefined) } });
    if (named) this.control.setAttribute('aria-labelledby', named);
    this.label = named ? null : element('label', { for: this.id, title: this.facts.doc }, this.name());
    this.root = element('div', { class: 'field', data: { path } },
      element('div', { class: 'head' }, this.label, this.mark),
      element('div', { class: 'controls' }, this.controls), this.whole,
      element('div', { class: 'foot' }, this.range, this.back), this.problem);
  }

  name() {
    const { side, rest } = split(this.path);
    return label(rest) + (side ? `, ${words.bankName[side]}` : '');
  }

  // value is what stands there: stated, or what is taken when nothing is stated.
  value() {
    const { question, facts, assumed } = this.context;
    const stated = question.get(this.path);
    if (stated !== undefined && stated !== null) return stated;
    return this.unstated(facts, question, assumed);
  }

  unstated(facts, question, assumed) {
    const fromEntry = facts.fromCatalogue(question, this.path);
    if (fromEntry !== undefined) return fromEntry;
    return assumed.get(this.path)?.value ?? this.facts.default;
  }

  scale() {
    return this.context.units.scale(this.path, this.facts.unit);
  }

  makeControl() {
    const on = (event, read) => ({ [event]: (e) => this.context.change(this.path, read(e.target)) });
    const described = { describedby: `${this.id}r ${this.id}p` };
    if (this.choices) {
      const select = element('select', { id: this.id, aria: described, on: on('change', (t) => this.choices[t.selectedIndex][0]) },
        this.choices.map(([, text]) => element('option', {}, text)));
      this.controls = [select];
      this.whole = element('p', { class: 'whole', aria: { hidden: 'true' } });
      new ResizeObserver(() => this.showWhole()).observe(select);
      return select;
    }
    if (this.facts.type === 'boolean') {
      const box = element('input', { id: this.id, type: 'checkbox', aria: described, on: on('change', (t) => t.checked) });
      this.controls = [box];
      return box;
    }
    if (this.facts.type === 'number' || this.facts.type === 'integer') {
      const input = element('input', { id: this.id, type: 'number', step: 'any', inputmode: 'decimal', autocomplete: 'off', aria: described, on: on('input', (t) => this.number(t)) });
      this.unit = element('span', { class: 'unit' });
      this.controls = [input, this.unit];
      if (this.slider) {
        this.thumb = element('input', { type: 'range', aria: { label: this.name() }, on: on('input', (t) => this.number(t)) });
        this.controls.unshift(this.thumb);
      }
      return input;
    }
    const input = element('input', { id: this.id, type: 'text', autocomplete: 'off', spellcheck: 'false', aria: described, on: on('change', (t) => this.text(t.value)) });
    this.controls = [input];
    return input;
  }

  number(input) {
    if (input.value === '') return undefined;
    return this.context.units.read(this.scale(), Number(input.value));
  }

  text(text) {
    if (this.facts.type === 'string') return text === '' ? undefined : text;
    if (text.trim() === '') return undefined;
    try {
      return JSON.parse(text.trim().startsWith('[') || text.trim().startsWith('{') ? text : `[${text}]`);
    } catch {
      return text; // the service says what is wrong with it
    }
  }

  // update shows the value and where it comes from.
  update() {
    const { question, assumed } = this.context;
    const value = this.value();
    this.put(value);
    const own = question.own(this.path);
    const changed = question.isStated(this.path);
    const inUse = question.get(this.path);
    let mark = '';
    if (inUse === undefined || inUse === null) mark = assumed.has(this.path) || this.context.facts.fromCatalogue(question, this.path) === undefined ? 'assumed' : 'catalogue';
    this.mark.textContent = mark && value !== undefined ? words.mark[mark] : '';
    this.mark.title = mark === 'assumed' ? assumed.get(this.path)?.basis ?? this.facts.basis : '';
    const otherwise = own ?? this.unstated(this.context.facts, question, new Map());
    this.back.hidden = !changed || same(otherwise, value);
    this.back.textContent = otherwise === undefined ? words.leaveOut : isObject(otherwise) ? words.backToOwn : words.backTo(this.shown(otherwise));
    this.range.textContent = this.allowed();
  }

  put(value) {
    if (this.tell && !same(this.tell(), this.choices)) {
      this.choices = this.tell();
      fill(this.control, this.choices.map(([, text]) => element('option', {}, text)));
    }
    if (this.choices) {
      this.control.selectedIndex = this.choices.findIndex(([c]) => same(c, value));
      this.showWhole();
      return;
    }
    if (this.facts.type === 'boolean') {
      this.control.checked = value === true;
      return;
    }
    if (this.facts.type !== 'number' && this.facts.type !== 'integer') {
      if (document.activeElement !== this.control) this.control.value = typeof value === 'string' ? value : value === undefined ? '' : listText(value);
      return;
    }
    const scale = this.scale();
    const shown = typeof value === 'number' ? this.context.units.show(scale, value) : value ?? '';
    this.unit.textContent = scale.unit;
    if (document.activeElement !== this.control || Number(this.control.value) !== shown) {
      if (!(document.activeElement === this.control && this.control.value === '')) this.control.value = shown;
    }
    if (!this.thumb) return;
    const [low, high, step] = this.slider;
    this.thumb.min = this.context.units.show(scale, low);
    this.thumb.max = this.context.units.show(scale, high);
    this.thumb.step = step * scale.factor;
    this.thumb.value = shown;
    this.thumb.setAttribute('aria-valuetext', `${shown} ${scale.unit}`);
  }

  // showWhole writes below a list what is chosen where its field cuts that.
  showWhole() {
    const text = this.control.selectedOptions[0]?.text ?? '';
    this.whole.textContent = textWidth(this.control, text) > this.control.clientWidth - arrow ? text : '';
  }

  shown(value) {
    if (this.choices) return this.choices.find(([c]) => same(c, value))?.[1] ?? String(value);
    if (typeof value === 'boolean') return word(value);
    if (typeof value !== 'number') return typeof value === 'string' ? value : listText(value);
    const scale = this.scale();
    return `${exact(this.context.units.show(scale, value))} ${scale.unit}`.trim();
  }

  // allowed is the range in words; of a text the example that its meaning gives.
  allowed() {
    const { type, doc, low, high, lowOpen, highOpen } = this.facts;
    if (type === 'string' && !this.choices) return /such as [^;]+?(?=;|\. |\.?$)/.exec(doc)?.[0] ?? '';
    if (this.choices || (low === undefined && high === undefined)) return '';
    const scale = this.scale();
    const show = (x) => (this.path === 'calendar_year' ? String(x) : exact(this.context.units.show(scale, x)));
    return words.range(low === undefined ? null : show(low), high === undefined ? null : show(high), lowOpen, highOpen);
  }

  // fault shows what is wrong, or nothing.
  fault(messages) {
    this.problem.hidden = messages.length === 0;
    fill(this.problem, [...new Set(messages)].join(' ')); // items of a list may all have the same
    this.control.toggleAttribute('aria-invalid', messages.length > 0);
    if (messages.length > 0) this.control.setAttribute('aria-invalid', 'true');
    this.root.classList.toggle('wrong', messages.length > 0);
  }
}

const listText = (value) => (Array.isArray(value) && value.every((x) => typeof x !== 'object') ? value.join(', ') : JSON.stringify(value));
