// Which inputs there are, in which order and group.

import { element, fill } from './element.js';
import { Field } from './fields.js';
import { GeneratorSets } from './generator_sets.js';
import { pairLinks } from './pairs.js';
import { Presence } from './presence.js';
import { about, sides, split } from './question.js';
import { uploads } from './own_files.js';
import { label, words } from './strings.js';

const groups = [
  ['site', [['place']], [['name'], ['site.elevation_m'], ['calendar_year']]],
  ['load', [['load.key'], ['load.scale_to_kwh_per_day', [1, 40, 0.5]]], [['controls.housekeeping_w']]],
  ['array', [['array.planes.roof.rated_kw', [0, 20, 0.1]], ['array.planes.roof.tilt_deg', [0, 90, 1]], ['array.planes.roof.azimuth_deg', [0, 360, 5]]],
    [['array.chargers.south.key'], ['array.chargers.south.temperature_sensor'], ['array.planes.roof.losses.snow_fraction'], ['array.planes.roof.losses.soiling_fraction']]],
  ['generator', [], []],
  ['grid', [['grid'], ['grid.limit_w'], ['grid.use'], ['grid.connect_soc_fraction', [0, 1, 0.01]], ['grid.disconnect_soc_fraction', [0, 1, 0.01]], ['grid.outages.mean_hours_between'], ['grid.outages.mean_h']],
    [['grid.charges_bank'], ['grid.tariff.price_per_kwh']]],
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

// aGrid is what somebody begins with who says that there is a grid: its power is the
// only member that has no default.
const aGrid = { limit_w: 5000 };

// keyKind is the kind of catalogue entry that a path names, if any.
const keyKinds = { 'load.key': 'load', 'array.chargers.south.key': 'solar_charger', 'inverter.key': 'inverter', 'bank.module.key': 'module' };
const keyKind = (path) => (/^generators\.[^.]+\.key$/.test(path) ? 'generator' : keyKinds[path]);

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
    this.sets = new GeneratorSets(context, this);
    fill(have, element('h2', { id: 'have-title' }, words.haveTitle), groups.map((g) => this.group(...g)),
      this.extra[''], element('p', {}, element('button', { type: 'button', class: 'plain', on: { click: () => context.startAgain() } }, words.startAgain)));
    fill(banks, element('h2', { id: 'banks-title' }, words.banksTitle), this.bankTable());
  }

  group(name, shown, more) {
    if (name === 'generator') return element('fieldset', {}, element('legend', {}, words.groups[name]), this.sets.root);
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
    const field = path === 'grid' ? new Presence(this.context, path, words.hasGrid, aGrid) : new Field(this.context, path, { ...options, choices: this.choices(rest) });
    this.fields.set(path, field);
    return field.root;
  }

  // drop takes the field of a path away.
  drop(path) {
    this.fields.get(path).root.remove();
    this.fields.delete(path);
  }

  choices(path) {
    const { facts, question } = this.context;
    if (path === 'place') return () => question.places.map((p) => [p.key, words.placeName(p)]);
    if (!keyKind(path)) return null;
    const entries = facts.kinds(keyKind(path)).map((e) => [e.key, words.shortTitle(e.title)]);
    return path === 'load.key' ? () => [[undefined, question.isStated('load.id') ? words.ownMeter : words.ownLoad], ...entries] : entries;
  }

  // update shows the question as it is; what was stated and has no field gets one.
  update() {
    const { question, units } = this.context;
    this.sets.update();
    for (const path of question.stated.keys()) {
      if (this.fields.has(path) || about.includes(path)) continue;
      this.extra[split(path).side].append(this.field(path, {}));
      this.added.add(path);
    }
    for (const path of this.added) {
      if (question.isStated(path)) continue;
      this.drop(path);
      this.added.delete(path);
    }
    for (const extra of Object.values(this.extra)) extra.hidden = extra.childElementCount === 1;
    for (const field of this.fields.values()) field.update();
    this.showGrid();
    for (const s of sides) this.fields.get(`${s}.bank.on_link_loss`).control.disabled = question.get(`${s}.bank.operation`) !== 'data_linked';
    const { site } = question.place();
    this.where.textContent = words.sitePlace(site, units.quantity('elevation_m', 'm', site.elevation_m), question.place().sky);
  }

  // showGrid shows what there is to say of a grid, where there is one.
  showGrid() {
    const there = this.fields.get('grid').there();
    const standsBy = this.fields.get('grid.use').value() === 'self_use';
    for (const [path, field] of this.fields) if (path.startsWith('grid.')) field.root.hidden = !there || (!standsBy && path.endsWith('connect_soc_fraction'));
    this.fields.get('grid').root.parentElement.querySelector('details').hidden = !there;
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
