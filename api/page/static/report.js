// The report: the same answer as on the page, in the order of a paper that is
// handed over. The address says which question, and which of its parts.

import './sharp.js';
import { Again, Assumed } from './assumed.js';
import { Carpet } from './carpet.js';
import { Causes } from './causes.js';
import { Cells } from './cells.js';
import { Duration } from './duration.js';
import { element, fill } from './element.js';
import { Grid } from './grid.js';
import { Inrush } from './inrush.js';
import { Limits } from './limits.js';
import { Money } from './money.js';
import { servedMonths, solarMonths } from './months.js';
import { Outages } from './outages.js';
import { pdfLink } from './pdf.js';
import { People } from './people.js';
import { answer, ask, deeper, more, sheets } from './picture.js';
import { Reserve } from './reserve.js';
import { same } from './question.js';
import { Asker, Away, Refused } from './service.js';
import { Settings } from './settings.js';
import { Fit, Sheet } from './sheet.js';
import { open } from './start.js';
import { Stated } from './stated.js';
import { Figures, Findings, Verdict } from './verdict.js';
import { Week } from './week.js';
import { Years } from './years.js';
import { InShort } from './in_short.js';
import { words } from './strings.js';

const at = (id) => document.getElementById(id);

// groups are the parts of the report, each with what is in it.
const groups = ({ units, facts }, context) => ({
  summary: [new Verdict(units), new InShort(units), new Years(), new Figures(units, facts), new People(units), new Limits(units), new Reserve(units), new Money(context), new Findings()],
  pictures: [new Causes(words.causesTitle, words.causesNote, 'downtime_by_cause_h', 'h', words.noDark), new Grid(), new Carpet(() => {}), new Week(words.weekOnPaper), new Inrush(units), servedMonths(), solarMonths(),
    new Causes(words.refusedTitle, words.refusedNote, 'curtailed_by_cause_kwh', 'kWh', words.noRefused), new Duration(), new Cells(units), new Causes(words.windowsTitle, words.windowsNote, 'cell_h_by_window', 'h', ''), new Outages(units, () => {})],
  settings: [new Sheet(units, 'a'), new Sheet(units, 'b')],
  fit: [new Fit()],
  inputs: [new Stated(context), new Assumed(context), new Again()],
});

class Report {
  constructor(context) {
    this.context = context;
    Object.assign(context, { change: () => {}, state: null });
    this.groups = groups(context, context);
    this.parts = Object.values(this.groups).flat();
    const settings = new Settings(context.units, () => this.redraw());
    this.shown = new Set((new URLSearchParams(location.search).get('show') ?? Object.keys(this.groups).join(',')).split(','));
    this.status = element('p', { class: 'status', role: 'status' }, words.loading);
    this.title = element('h1', {});
    this.sections = Object.entries(this.groups).map(([name, parts]) => element('section', { data: { group: name }, hidden: !this.shown.has(name) }, parts.map((p) => p.root)));
    fill(at('report'), this.title, this.status, element('div', { class: 'parts', hidden: true }, this.sections));
    this.back = element('a', {}, words.backToPage);
    this.pdfs = element('span', { class: 'pdfs' });
    fill(at('bar'), this.back, element('fieldset', { class: 'show' }, element('legend', { class: 'unseen' }, words.showGroups), Object.keys(this.groups).map((name) => this.box(name))),
      settings.root, this.pdfs, element('button', { type: 'button', class: 'plain', on: { click: () => this.save() } }, words.saveSheets), element('button', { type: 'button', class: 'plain', on: { click: () => print() } }, words.print));
    this.asker = new Asker((q, signal) => this.picture(q, signal), (error) => this.trouble(error));
    addEventListener('hashchange', () => this.addressChanged());
    this.say();
  }

  box(name) {
    const box = element('input', { type: 'checkbox', id: 'show-' + name, checked: this.shown.has(name), on: { change: (e) => this.show(name, e.target.checked) } });
    return element('span', {}, box, ' ', element('label', { for: 'show-' + name }, words.reportGroups[name]));
  }

  // show takes a group in or out; the address says so.
  show(name, is) {
    if (is) this.shown.add(name);
    else this.shown.delete(name);
    for (const s of this.sections) s.hidden = !this.shown.has(s.dataset.group);
    const all = Object.keys(this.groups).every((g) => this.shown.has(g));
    history.replaceState(null, '', `${location.pathname}${all ? '' : '?show=' + [...this.shown].join(',')}${location.hash}`);
    this.redraw();
  }

  // save gives the sheets to the reader as the service tells them.
  save() {
    if (!this.current?.sheets) return;
    const address = URL.createObjectURL(new Blob([JSON.stringify(this.current.sheets, null, 2)], { type: 'application/json' }));
    element('a', { href: address, download: 'sheets.json' }).click();
    setTimeout(() => URL.revokeObjectURL(address), 10000);
  }

  say() {
    const { question } = this.context;
    this.address = question.fragment();
    this.title.textContent = question.get('name');
    document.title = this.title.textContent;
    this.back.href = '/#' + this.address;
  }

  async addressChanged() {
    const { question, weathers } = this.context;
    if (same(location.hash.slice(1), this.address)) return;
    question.read(location.hash);
    await weathers.find(question.get('place')).catch(() => {});
    this.say();
    this.ask();
  }

  ask() {
    this.asker.ask(ask(this.context));
  }

  async picture(asked, signal) {
    const picture = await answer(asked, this.context.weathers, signal);
    picture.more = await more(picture);
    this.current = picture;
    this.context.assumed = picture.assumed;
    at('report').lastElementChild.hidden = false;
    this.trouble(null); // what is still asked for is told where it will stand
    for (const part of this.parts) part.show(picture);
    for (const d of document.querySelectorAll('[data-group="inputs"] details')) d.open = true;
    fill(this.pdfs, Object.keys(words.papersToPrint).map((paper) => pdfLink(picture, this.context, paper)));
    document.documentElement.dataset.pictures = Number(document.documentElement.dataset.pictures ?? 0) + 1;
    picture.sheets = await sheets(asked, this.context.weathers, signal);
    for (const part of this.parts) part.program?.(picture);
    picture.deep = await deeper(picture, this.context.weathers, signal);
    for (const part of this.parts) part.deepen?.(picture);
    document.documentElement.dataset.complete = 'yes';
    await this.years(picture, asked);
  }

  async years(picture, asked) {
    const years = this.groups.summary.find((p) => p instanceof Years);
    await years.run(asked.body, await this.context.weathers.columns(asked.place), asked.year);
    document.documentElement.dataset.years = 'yes';
  }

  trouble(error) {
    this.status.hidden = error === null;
    if (error instanceof Away) this.status.textContent = words.away(Math.round((error.next ?? 0) / 1000));
    else if (error instanceof Refused) fill(this.status, words.refused(error.problem.faults.length, false), element('ul', {}, error.problem.faults.map((f) => element('li', {}, element('code', {}, f.pointer), ' ', words.fault(f)))));
    else if (error) {
      this.status.textContent = `${words.broken} ${error.message}`;
      throw error;
    }
  }

  // redraw follows a change of units or colours; what is hidden has no width to draw in.
  redraw() {
    if (!this.current) return;
    for (const part of this.parts) part.redraw?.();
    fill(this.pdfs, Object.keys(words.papersToPrint).map((paper) => pdfLink(this.current, this.context, paper)));
  }
}

open().then((context) => new Report(context).ask()).catch((error) => {
  fill(at('report'), element('p', { role: 'alert' }, `${words.broken} ${error.message}`));
  throw error;
});
