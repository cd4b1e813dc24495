// Which inputs there are, in which order and group.

import { element, fill } from './element.js';
import { Field } from './fields.js';
import { pairLinks } from './pairs.js';
import { about, sides, split } from './question.js';
import { uploads } from './own_files.js';
import { label, words } from './strings.js';

const groups = [
  ['site', [['place']], [['name'], ['site.elevation_m'], ['calendar_year']]],
  ['load', [['load.key'], ['load.scale_to_kwh_per_day', [1, 40, 0.5]]], [['controls.housekeeping_w']]],
  ['array', [['array.planes.roof.rated_kw', [0, 20, 0.1]], ['array.planes.roof.tilt_deg', [0, 90, 1]], ['array.planes.roof.azimuth_deg', [0, 360, 5]]],
    [['array.chargers.south.key'], ['array.chargers.south.temperature_sensor'], ['array.planes.roof.losses.snow_fraction'], ['array.planes.roof.losses.soiling_fraction']]],
  ['generator', [['generators.main'], ['generators.main.key'], ['generators.main.start_soc_fraction', [0, 1, 0.01]], ['generators.main.stop_soc_fraction', [0, 1, 0.01]], ['generators.main.no_start_hours']],
    [['generators.main.override_when_dark'], ['generators.main.failed_start_fraction'], ['generators.main.fuel_store_l']]],
  ['inverter', [['inverter.key']],
    [['controls.shed_soc_fraction', [0, 1, 0.01]], ['controls.return_soc_fraction', [0, 1, 0.01]], ['controls.low_end.stop_soc_fraction', [0, 0.5, 0.01]], ['controls.low_end.cut_off_v']]],
  ['people', [['controls.operator.on_site']], [['controls.operator.response_h'], ['controls.visit_response_h'], ['controls.remote_view']]],
  ['prices', [], [['prices.currency'], ['prices.module_each'], ['prices.array_per_kw'], ['prices.solar_charger_each'], ['prices.inverter_each'], ['prices.generator_each'], ['prices.data_link'], ['prices.gateway_each'], ['prices.works'],
    ['prices.fuel_per_l'], ['prices.generator_service_each'], ['prices.visit_each'], ['prices.horizon_y'], ['prices.discount_rate_fraction']]],
];

const bankRows = [['bank.modules', [1, 12, 1]], ['bank.module.key'], ['bank.operation'], ['bank.module.disconnect'], ['bank.on_link_loss'],
  ['bank.enclosure.kind'], ['bank.enclosure.heater_w_per_module', [0, 200, 5]]];

const moreBankRows = [['bank.module.voltage_only_charge_a'], ['bank.link_faults.mean_hours_between'], ['bank.link_faults.mean_repair_h'], ['bank.link.gateway.draw_w'], ['bank.link.after_loss'],
  ['bank.estimate.kind'], ['bank.enclosure.insulation_c_per_w'], ['bank.cable_ohm']];

// keyKinds are the paths that name a catalogue entry, and its kind.
const keyKinds = {
  'load.key': 'load', 'array.chargers.south.key': 'solar_charger', 'generators.main.key': 'generator', 'inverter.key': 'inverter', 'bank.module.key': 'module',
};

// Form is all inputs of the page.
export class Form {
  constructor(context, have, banks) {
    this.context = context;
    this.fields = new Map();
    // What was stated and has no place of its own, by bank, and its paths.
    this.extra = Object.fromEntries(['', ...sides].map((s) => [s, element('div', { class: 'extra' }, element('h3', {}, words.groups.stated))]));
    this.added = new Set();
    this.uploads = uploads(context);
    this.where = element('p', { class: 'note' });
    fill(have, element('h2', { id: 'have-title' }, words.haveTitle), groups.map((g) => this.group(...g)),
      this.extra[''], element('p', {}, element('button', { type: 'button', class: 'plain', on: { click: () => context.startAgain() } }, words.startAgain)));
    fill(banks, element('h2', { id: 'banks-title' }, words.banksTitle), this.bankTable());
  }

  group(name, shown, more) {
    const shownFields = shown.map(([path, slider]) => this.field(path, { slider }));
    if (name === 'site') shownFields.push(this.where);
    const upload = { site: this.uploads.weather, load: this.uploads.load }[name];
    const group = element('fieldset', {}, element('legend', {}, words.groups[name]), shownFields,
      element('details', { class: 'more' }, element('summary', {}, words.more), upload?.root, more.map(([path, slider]) => this.field(path, { slider }))));
    upload?.listen(group);
    return group;
  }

  bankTable() {
    const row = ([path, slider]) => {
      const id = 'row-' + path.replaceAll('.', '-');
      return element('div', { class: 'pair' }, element('p', { class: 'row-label', id, title: this.context.facts.of(path)?.doc ?? '' }, label(path)),
        sides.map((s) => this.field(`${s}.${path}`, { slider, named: `${id} head-${s}` })));
    };
    return [
      element('div', { class: 'pair heads' }, sides.map((s) => element('h3', { class: 'bank-' + s, id: 'head-' + s }, element('span', { class: 'unseen' }, words.bankWord + ' '), words.letter[s]))),
      bankRows.map(row),
      element('details', { class: 'more' }, element('summary', {}, words.moreBanks), moreBankRows.map(row)),
      element('div', { class: 'extras' }, this.extra.a, this.extra.b),
      element('p', { class: 'actions' },
        element('button', { type: 'button', class: 'plain', on: { click: () => this.context.copyBank() } }, words.copyBank),
        element('button', { type: 'button', class: 'plain', on: { click: () => this.context.swapBanks() } }, words.swapBanks)),
      pairLinks(this.context.question),
    ];
  }

  field(path, options) {
    const { rest } = split(path);
    const field = path === 'generators.main' ? new GeneratorField(this.context) : new Field(this.context, path, { ...options, choices: this.choices(rest) });
    this.fields.set(path, field);
    return field.root;
  }

  choices(path) {
    const { facts, question } = this.context;
    if (path === 'place') return () => question.places.map((p) => [p.key, words.placeName(p)]);
    if (!keyKinds[path]) return null;
    const entries = facts.kinds(keyKinds[path]).map((e) => [e.key, words.shortTitle(e.title)]);
    return path === 'load.key' ? () => [[undefined, question.isStated('load.id') ? words.ownMeter : words.ownLoad], ...entries] : entries;
  }

  // update shows the question as it is; what was stated and has no field gets one.
  update() {
    const { question, units } = this.context;
    for (const path of question.stated.keys()) {
      if (this.fields.has(path) || about.includes(path)) continue;
      this.extra[split(path).side].append(this.field(path, {}));
      this.added.add(path);
    }
    for (const path of this.added) {
      if (question.isStated(path)) continue;
      this.fields.get(path).root.remove();
      this.fields.delete(path);
      this.added.delete(path);
    }
    for (const extra of Object.values(this.extra)) extra.hidden = extra.childElementCount === 1;
    for (const field of this.fields.values()) field.update();
    const generator = question.hasGenerator();
    for (const [path, field] of this.fields) if (path.startsWith('generators.main.')) field.root.hidden = !generator;
    for (const s of sides) this.fields.get(`${s}.bank.on_link_loss`).control.disabled = question.get(`${s}.bank.operation`) !== 'data_linked';
    const { site } = question.place();
    this.where.textContent = words.sitePlace(site, units.quantity('elevation_m', 'm', site.elevation_m), question.place().sky);
  }

  // faults shows each fault at the field that caused it and gives back those that
  // have none. A fault inside a field's value, or above several, is shown there too.
  faults(list) {
    const at = new Map([...this.fields.keys()].map((path) => [path, []]));
    const elsewhere = [];
    for (const f of list) {
      const path = nearest(f.path, at);
      if (path) at.get(path).push(f.text);
      else elsewhere.push(f);
    }
    for (const [path, messages] of at) {
      const field = this.fields.get(path);
      field.fault(messages);
      if (messages.length > 0) field.root.closest('details')?.setAttribute('open', '');
    }
    return elsewhere;
  }
}

// nearest is the field at a path, at the key of the catalogue entry that the value
// came from, or above; '' for none.
function nearest(path, fields) {
  for (; path; path = path.slice(0, Math.max(0, path.lastIndexOf('.')))) {
    if (fields.has(path)) return path;
    if (fields.has(path + '.key')) return path + '.key';
  }
  return '';
}

// GeneratorField says whether there is a generator at all.
class GeneratorField {
  constructor(context) {
    this.context = context;
    this.box = element('input', { type: 'checkbox', id: 'has-generator', on: { change: (e) => context.change('generators.main', e.target.checked ? undefined : null) } });
    this.problem = element('p', { class: 'problem', hidden: true });
    this.root = element('div', { class: 'field check', data: { path: 'generators.main' } }, this.box, ' ', element('label', { for: 'has-generator' }, words.hasGenerator), this.problem);
  }

  update() {
    this.box.checked = this.context.question.hasGenerator();
  }

  fault(messages) {
    this.problem.hidden = messages.length === 0;
    this.problem.textContent = messages.join(' ');
  }
}
