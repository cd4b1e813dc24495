// The settings sheet of one bank: what to program, whose it is, where it came from,
// and what happens if it is wrong.

import { element, fill, table } from './element.js';
import { Part } from './part.js';
import { exact } from './units.js';
import { word, words } from './strings.js';

export class Sheet extends Part {
  constructor(units, side) {
    super(`${words.sheetTitle}: ${words.bankName[side]}`, '', { withTable: false });
    this.units = units;
    this.side = side;
    this.root.classList.add('long', 'sheet-of-' + side);
  }

  show() {}

  // program draws what the service says of the system.
  program(picture) {
    this.picture = picture;
    const { settings } = picture.sheets[this.side];
    this.note.textContent = picture.banks[this.side];
    const { data_linked: linked, after_link_loss: lost, generators } = settings;
    fill(this.body, this.rows(settings.rows), linked && this.linked(linked),
      lost && [element('h4', {}, words.linkLost), element('ul', {}, lost.consequences.map((c) => element('li', {}, c))), lost.rows.length > 0 && this.rows(lost.rows)],
      generators.map((g) => [element('h4', {}, words.generatorRules(g.name)), element('ul', {}, g.rules.map((r) => element('li', {}, r)))]));
  }

  rows(rows) {
    const value = (r) => `${typeof r.value === 'number' ? exact(Number(r.value.toPrecision(5))) : r.value}\u00a0${r.unit ?? ''}`.trim();
    const heads = [words.setting, words.value, words.whose, words.cameFrom, words.ifWrong];
    const sheet = element('div', { class: 'wide', tabindex: '0', role: 'region', aria: { label: words.sheetTitle } }, element('div', { class: 'program' },
      table(heads, rows.map((r) => [[element('span', { class: 'device' }, r.device), ' ', r.setting], value(r), words.owners[r.owner] ?? r.owner, r.rule, r.if_wrong]))));
    for (const cell of sheet.querySelectorAll('td')) cell.dataset.head = heads[cell.cellIndex]; // stands before it where the columns are stacked
    return sheet;
  }

  linked(l) {
    const c = (x) => this.units.quantity('cell_c', '°C', x);
    const span = (r) => (r.from_c === undefined ? words.below(c(r.to_c)) : r.to_c === undefined ? words.from(c(r.from_c)) : words.fromTo(c(r.from_c), c(r.to_c)));
    const amps = (x, y) => (x === y ? short(x) : words.fromTo(short(x), short(y)));
    const ceiling = (byC, bySoC) => [table([words.cellTemperature, words.aModule, words.theBank], byC.map((r) => [span(r), amps(r.from_module_a, r.to_module_a), amps(r.from_bank_a, r.to_bank_a)])),
      element('p', { class: 'note' }, words.bySoC(bySoC.map((x) => `× ${short(x.factor_fraction)} (${percent(x.soc_fraction)})`).join(', ')))];
    return [element('h4', {}, words.linkedAsks), element('p', {}, words.linkedSay(short(l.voltage_v), short(l.full_v), short(l.full_a), short(l.full_hold_s), percent(l.resume_below_soc_fraction), l.resume_below_v && short(l.resume_below_v))),
      ceiling(l.charge_by_c, l.charge_factor_by_soc),
      l.discharge_by_c && [element('p', {}, words.linkedLets), ceiling(l.discharge_by_c, l.discharge_factor_by_soc)]];
  }

  redraw() {
    if (this.picture) this.program(this.picture);
  }
}

const short = (x) => exact(Number(x.toFixed(2)));
const percent = (x) => `${short(100 * x)} %`;

// Fit is the fit check of both banks: what is the same is told once.
export class Fit extends Part {
  constructor() {
    super(words.fitTitle, words.fitNote, { withTable: false });
    this.root.classList.add('long');
  }

  show() {}

  program(picture) {
    const { a, b } = picture.sheets;
    const key = (f) => `${f.check}\n${f.subject}`;
    const other = new Map(b.fit.map((f) => [key(f), f]));
    const all = a.fit.flatMap((f) => {
      const g = other.get(key(f));
      other.delete(key(f));
      return g && g.reason === f.reason ? [['', f]] : [['a', f], ...(g ? [['b', g]] : [])];
    }).concat([...other.values()].map((f) => ['b', f]));
    const count = (v, s) => picture.sheets[s].fit.filter((f) => f.verdict === v).length;
    fill(this.body, ['a', 'b'].map((s) => element('p', { class: 'said bank-' + s }, element('b', {}, words.letter[s]), ' ', words.fitCount(count('fail', s), count('caution', s), count('pass', s)))),
      ['fail', 'caution', 'pass'].map((v) => all.filter(([, f]) => f.verdict === v).map(([s, f]) => this.finding(s, f))),
      element('h4', {}, words.wakeTitle), ['a', 'b'].map((s) => this.wake(s, picture.sheets[s].wake_chains, s === 'b' && same(a.wake_chains, b.wake_chains))));
  }

  finding(side, f) {
    return element('div', { class: `finding ${f.verdict}` }, element('b', { class: 'verdict-word' }, words.verdictWords[f.verdict]),
      element('div', {}, element('p', {}, element('b', {}, f.subject.replace(/^./, (c) => c.toUpperCase())), side && [' ', element('b', { class: 'bank-' + side }, words.letter[side])]), element('p', {}, f.reason), element('p', { class: 'note' }, words.basisOf(f.basis))));
  }

  // wake tells each chain, and its first link that does not hold.
  wake(side, chains, alike) {
    if (alike) return null;
    return element('ul', { class: 'bank-' + side }, chains.map((c) => element('li', {}, element('b', {}, words.letter[side]), ' ', c.broken ? words.chainBroken(waker(c), c.broken, c.links.find((l) => l.link === c.broken).why) : words.chainHolds(waker(c)))));
  }
}

const waker = (c) => word(c.by) + (c.of ? ' ' + c.of : '');
const same = (x, y) => JSON.stringify(x) === JSON.stringify(y);
