// The generator sets of the site: each with its inputs, its name, and a way to take it
// out; and a way to add one.

import { element, fill } from './element.js';
import { mostSets } from './question.js';
import { words } from './strings.js';

const shown = [['key'], ['start_soc_fraction', [0, 1, 0.01]], ['stop_soc_fraction', [0, 1, 0.01]], ['no_start_hours']];
const more = [['lead_order'], ['override_when_dark'], ['failed_start_fraction'], ['fuel_store_l']];

// GeneratorSets keeps a block for each set, and the fields in it among those of the form.
export class GeneratorSets {
  constructor(context, form) {
    Object.assign(this, { context, form, blocks: new Map() });
    this.none = element('p', { class: 'note' }, words.noGenerator);
    this.list = element('div');
    this.add = element('button', { type: 'button', class: 'plain', on: { click: () => this.put() } });
    this.root = element('div', {}, this.list, this.none, element('p', { class: 'actions' }, this.add));
  }

  put() {
    const { question, changed } = this.context;
    const name = question.addSet();
    changed();
    this.blocks.get(name).root.querySelector('select').focus();
  }

  remove(name) {
    this.context.question.removeSet(name);
    this.context.changed();
    this.add.focus();
  }

  rename(name, next) {
    this.context.question.renameSet(name, next);
    this.context.changed();
    this.blocks.get(next).showName();
  }

  // update makes and drops blocks as the question has sets; those of the station are only
  // hidden, so that what was stated of them has its place.
  update() {
    const { question } = this.context;
    const sets = question.sets();
    const names = Object.keys(sets).sort((x, y) => (sets[x].lead_order ?? 1) - (sets[y].lead_order ?? 1) || (x < y ? -1 : 1));
    const known = [...names, ...Object.keys(question.station.generators).filter((name) => !(name in sets))];
    for (const [name, block] of this.blocks) {
      if (known.includes(name)) continue;
      block.drop();
      this.blocks.delete(name);
    }
    for (const name of known) if (!this.blocks.has(name)) this.blocks.set(name, new Block(this, name));
    this.arrange(known.map((name) => this.blocks.get(name).root));
    for (const [name, block] of this.blocks) block.arrange(name in sets, names.length > 1);
    this.none.hidden = names.length > 0;
    this.add.textContent = names.length > 0 ? words.addAnotherSet : words.addSet;
    this.add.hidden = names.length >= mostSets;
  }

  // arrange puts the blocks in the order in which they lead; what has the focus keeps it.
  arrange(roots) {
    if (roots.every((root, i) => root === this.list.children[i])) return;
    const focused = document.activeElement;
    fill(this.list, roots);
    if (document.activeElement !== focused) focused.focus({ preventScroll: true });
  }
}

// Block is one set.
class Block {
  constructor(sets, name) {
    const { form } = sets;
    const path = `generators.${name}`;
    Object.assign(this, { sets, name, path, paths: [...shown, ...more].map(([member]) => `${path}.${member}`) });
    const field = ([member, slider]) => form.field(`${path}.${member}`, { slider });
    this.legend = element('legend', {}, words.setTitle(name));
    this.problem = element('p', { class: 'problem', hidden: true });
    this.wrongName = element('p', { class: 'problem', id: `set-${name}-wrong`, hidden: true });
    this.input = element('input', { type: 'text', id: `set-${name}`, value: name, autocomplete: 'off', spellcheck: 'false', aria: { describedby: this.wrongName.id }, on: { change: () => this.rename() } });
    this.details = element('details', { class: 'more' }, element('summary', {}, words.more),
      element('div', { class: 'field' }, element('div', { class: 'head' }, element('label', { for: this.input.id }, words.setName)), element('div', { class: 'controls' }, this.input), this.wrongName),
      more.map(field));
    this.root = element('fieldset', { class: 'set', data: { path } }, this.legend, this.problem, shown.map(field), this.details,
      element('p', { class: 'actions' }, element('button', { type: 'button', class: 'plain', on: { click: () => sets.remove(name) } }, words.removeSet(name))));
    form.fields.set(path, this);
  }

  drop() {
    for (const path of this.paths) this.sets.form.drop(path);
    this.sets.form.drop(this.path);
  }

  // arrange shows the block where its set is there; a set alone needs no title.
  arrange(there, several) {
    this.root.hidden = !there;
    this.legend.classList.toggle('unseen', !several);
    this.sets.form.fields.get(`${this.path}.lead_order`).root.hidden = !several;
  }

  update() {}

  showName() {
    this.details.open = true;
    this.input.focus();
  }

  rename() {
    const next = this.input.value.trim().toLowerCase().replaceAll(/[\s-]+/g, '_');
    const wrong = next === this.name ? '' : !/^[a-z0-9_]+$/.test(next) ? words.setNameRule : next in this.sets.context.question.sets() ? words.setNameTaken(next) : '';
    this.wrongName.hidden = wrong === '';
    this.wrongName.textContent = wrong;
    this.input.setAttribute('aria-invalid', String(wrong !== ''));
    if (wrong === '' && next !== this.name) this.sets.rename(this.name, next);
    else if (wrong === '') this.input.value = next;
  }

  // fault shows what is wrong with the set as a whole.
  fault(messages) {
    this.problem.hidden = messages.length === 0;
    this.problem.textContent = messages.join(' ');
  }
}
