// The page: inputs on the left, two banks in the middle, the answer on the right.
// A change of any input asks the service; what it answers is drawn at once.

import { Again, Assumed } from './assumed.js';
import { Carpet } from './carpet.js';
import { Causes } from './causes.js';
import { Cells } from './cells.js';
import { Duration } from './duration.js';
import { element, fill } from './element.js';
import { Form } from './form.js';
import { Grid } from './grid.js';
import { Inrush } from './inrush.js';
import { Limits } from './limits.js';
import { Money } from './money.js';
import { Months, servedMonths, solarMonths } from './months.js';
import { Outages } from './outages.js';
import { pdfLink } from './pdf.js';
import { People } from './people.js';
import { answer, ask, deeper, more } from './picture.js';
import { Reserve } from './reserve.js';
import { pathOf, sides } from './question.js';
import { Asker, Away, Refused } from './service.js';
import { Settings } from './settings.js';
import { open } from './start.js';
import { Study } from './study.js';
import { Figures, Findings, Verdict } from './verdict.js';
import { Week } from './week.js';
import { Years } from './years.js';
import { round } from './units.js';
import { words } from './strings.js';

const at = (id) => document.getElementById(id);
const calm = 4; // ms in which several changes count as one
// ms of rest before the columns of the lower charts are fetched: when these are
// near, and when they are not
const rest = { near: 350, far: 3000 };
const addressRest = 250;
const again = 4000; // before what fills in a picture is asked for again
const deepRest = 250; // before what takes other runs is asked for
const yearsRest = 1200; // before twenty other years are asked for

// examples are made up: round numbers, and no market's.
const examples = { currency: '¤', module_each: 1500, array_per_kw: 1000, solar_charger_each: 600, inverter_each: 3000, generator_each: 6000, data_link: 400, works: 5000, fuel_per_l: 2, generator_service_each: 250, visit_each: 300 };

async function start() {
  const page = new Page(await open());
  page.ask();
}

const scroll = (e, block) => e.scrollIntoView({ block, behavior: matchMedia('(prefers-reduced-motion: reduce)').matches ? 'auto' : 'smooth' });

class Page {
  constructor(context) {
    this.context = context;
    Object.assign(context, {
      change: (path, value) => this.change(path, value),
      state: (path, value) => this.change(path, value),
      changed: () => this.restated(),
      startAgain: () => this.restart(),
      copyBank: () => this.banks((from) => ({ a: from.a, b: from.a })),
      examplePrices: () => this.examplePrices(),
      loadRun: (values) => this.loadRun(values),
      nameStudy: (id) => { context.question.set('study', id); this.writeAddress(); },
      swapBanks: () => this.banks((from) => ({ a: from.b, b: from.a })),
    });
    this.settings = new Settings(context.units, () => this.redraw());
    fill(at('settings'), this.settings.root);
    this.form = new Form(context, at('have'), at('banks'));
    const week = new Week();
    const choose = (hour) => {
      week.choose(hour);
      scroll(week.root, 'nearest');
    };
    this.verdict = new Verdict(context.units);
    const sheet = [new Causes(words.causesTitle, words.causesNote, 'downtime_by_cause_h', 'h', words.noDark), new Grid(), new Carpet(choose)];
    for (const part of sheet) part.root.classList.add('on-sheet');
    this.years = new Years();
    this.parts = [this.verdict, this.years, new Figures(context.units, context.facts), ...sheet, new People(context.units), new Limits(context.units), new Reserve(context.units), new Money(context), new Findings(), week,
      new Inrush(context.units), servedMonths(), solarMonths(), new Causes(words.refusedTitle, words.refusedNote, 'curtailed_by_cause_kwh', 'kWh', words.noRefused),
      new Duration(), new Cells(context.units), new Causes(words.windowsTitle, words.windowsNote, 'cell_h_by_window', 'h', ''), new Outages(context.units, choose), new Study(context), new Assumed(context), new Again()];
    this.status = element('p', { class: 'status', role: 'status' }, words.loading);
    this.elsewhere = element('div', { class: 'elsewhere', hidden: true });
    this.answer = element('div', { class: 'parts', hidden: true }, this.parts.map((p) => p.root));
    const jumps = this.parts.slice(1).map((p) => [' ', element('button', { type: 'button', class: 'jump', on: { click: () => scroll(p.root, 'start') } }, p.root.querySelector('h3').textContent)]);
    fill(this.verdict.contents, element('details', {}, element('summary', {}, words.contents), jumps));
    fill(at('answer'), element('h2', { id: 'answer-title' }, words.answerTitle), this.elsewhere, this.status, this.answer);
    this.near = false;
    const watch = new IntersectionObserver((entries) => {
      if (!entries.some((e) => e.isIntersecting)) return;
      watch.disconnect();
      this.near = true;
      if (this.current && !this.current.more) this.showMore(this.current);
    }, { rootMargin: '500px' });
    watch.observe(week.root);
    this.asker = new Asker((q, signal) => this.picture(q, signal), (error) => this.trouble(error));
    this.form.update();
    for (const id of ['skip', 'glance']) at(id).addEventListener('click', (e) => this.toAnswer(e));
    addEventListener('hashchange', (e) => this.addressChanged(new URL(e.newURL).hash));
  }

  // toAnswer goes to the answer and leaves the address, which holds the question.
  toAnswer(event) {
    event.preventDefault();
    at('answer').focus({ preventScroll: true });
    scroll(at('answer'), 'start');
  }

  change(path, value) {
    const { question } = this.context;
    question.set(path, value);
    if (path === 'place') question.set('calendar_year', question.place().calendar_year ?? undefined);
    if (path === 'load.key') for (const p of ['load.id', 'load.scale_to_kwh_per_day']) question.set(p, undefined);
    if (path === 'load.id') for (const p of ['load.key', 'load.scale_to_kwh_per_day']) question.set(p, undefined);
    this.restated();
  }

  // restated follows a change of what is stated: it is another question now.
  restated() {
    this.context.question.set('pair', undefined);
    this.changed();
  }

  changed() {
    this.form.update();
    clearTimeout(this.calm);
    this.calm = setTimeout(() => this.ask(), calm);
    clearTimeout(this.addressTimer);
    this.addressTimer = setTimeout(() => this.writeAddress(), addressRest);
  }

  writeAddress() {
    const fragment = this.context.question.fragment();
    history.replaceState(null, '', fragment ? '#' + fragment : location.pathname + location.search);
  }

  // addressChanged reads an address that somebody went to. The one that is still to
  // be written for the question before would undo it.
  async addressChanged(hash) {
    const { question, weathers } = this.context;
    clearTimeout(this.addressTimer);
    question.read(hash);
    await weathers.find(question.get('place')).catch(() => {});
    this.changed();
  }

  restart() {
    this.context.question.stated.clear();
    this.changed();
  }

  // examplePrices states round numbers, so that somebody sees what prices tell.
  examplePrices() {
    for (const [name, value] of Object.entries(examples)) this.context.question.set('prices.' + name, value);
    this.changed();
  }

  // loadRun makes bank B what a run of a study was.
  loadRun(values) {
    const { question } = this.context;
    for (const [path, value] of Object.entries(values)) question.set(`b.${path}`, value);
    this.restated();
    scroll(at('answer'), 'start');
  }

  // banks gives both banks what was stated of one or the other.
  banks(choose) {
    const { question } = this.context;
    const stated = Object.fromEntries(sides.map((s) => [s, question.bankOf(s)]));
    const next = choose(stated);
    for (const s of sides) question.setBank(s, next[s]);
    this.restated();
  }

  ask() {
    this.years.stop();
    this.digging?.abort();
    this.asker.ask(ask(this.context));
  }

  // picture asks for one comparison and draws it, the numbers first.
  async picture(asked, signal) {
    const picture = await answer(asked, this.context.weathers, signal);
    this.show(picture, asked);
    clearTimeout(this.resting);
    this.resting = setTimeout(() => this.showMore(picture), this.near ? rest.near : rest.far);
    clearTimeout(this.deepTimer);
    this.deepTimer = setTimeout(() => this.showDeep(picture), deepRest);
    clearTimeout(this.yearsTimer);
    this.yearsTimer = setTimeout(() => this.showYears(picture, asked), yearsRest);
  }

  show(picture, asked) {
    this.current = picture;
    this.context.assumed = picture.assumed;
    this.form.update();
    this.form.faults([]);
    this.answer.hidden = false;
    this.answer.classList.remove('stale');
    this.answer.classList.add('shallow');
    document.body.classList.toggle('sheet', Boolean(words.pairs[picture.pair]));
    for (const part of this.parts) part.show(picture);
    this.paper(picture);
    this.verdict.took.textContent = words.computing(Math.round(performance.now() - asked.begin));
    at('glance').hidden = false;
    at('glance').textContent = words.glance(...sides.map((s) => `${round(picture.answers[s].figures.downtime_h)} h`));
    document.documentElement.dataset.pictures = Number(document.documentElement.dataset.pictures ?? 0) + 1;
  }

  // paper links to what can be handed over.
  paper(picture) {
    const to = (show, text) => element('a', { href: `/report${show}#${picture.asked.question.fragment()}` }, text);
    fill(this.verdict.links, words.toPrint, ' ', to('', words.toReport), ' · ', to('?show=settings', words.toSettings), ' · ', to('?show=fit', words.toFit), ' · ', Object.keys(words.papersToPrint).map((paper, i) => [i > 0 && ' · ', pdfLink(picture, this.context, paper)]));
  }

  // behind does what a picture is filled in with, while it is the latest one. A
  // service that does not answer is asked again.
  async behind(picture, work) {
    if (this.current !== picture || this.asker.running) return;
    try {
      await work();
    } catch (error) {
      if (error instanceof Away) setTimeout(() => this.behind(picture, work), again);
      else if (!(error instanceof Refused || error.name === 'AbortError')) throw error;
    }
  }

  // showMore fetches what only the lower charts need.
  showMore(picture) {
    clearTimeout(this.resting);
    return this.behind(picture, async () => {
      const columns = await more(picture);
      if (this.current !== picture) return;
      picture.more = columns;
      for (const part of this.parts) if ([Week, Cells, Duration, Months, Outages].some((kind) => part instanceof kind)) part.show(picture);
    });
  }

  // showDeep fetches what takes other runs than the years themselves.
  showDeep(picture) {
    return this.behind(picture, async () => {
      this.digging = new AbortController();
      picture.deep = await deeper(picture, this.context.weathers, this.digging.signal);
      if (this.current !== picture) return;
      this.answer.classList.remove('shallow');
      for (const part of this.parts) part.deepen?.(picture);
    });
  }

  // showYears asks the same question of twenty other years.
  showYears(picture, asked) {
    return this.behind(picture, async () => this.years.run(asked.body, await this.context.weathers.columns(asked.place), asked.year));
  }

  trouble(error) {
    const notice = at('notice');
    clearInterval(this.countdown);
    notice.hidden = !(error instanceof Away);
    this.status.hidden = error === null || error instanceof Away;
    this.elsewhere.hidden = true;
    if (error === null) return;
    this.answer.classList.add('stale');
    if (error instanceof Away) this.count(notice, error.next ?? 0);
    else if (error instanceof Refused) this.refused(error.problem);
    else {
      this.status.textContent = `${words.broken} ${error.message}`;
      throw error;
    }
  }

  count(notice, ms) {
    let left = Math.round(ms / 1000);
    const say = () => { notice.textContent = left > 0 ? words.away(left) : words.awayNow; };
    say();
    this.countdown = setInterval(() => { left--; say(); }, 1000);
  }

  refused(problem) {
    const told = problem.faults.map((f) => ({ path: pathOf(f.pointer), pointer: f.pointer, text: words.fault(f) }));
    const faults = told.filter((f, i) => told.findIndex((g) => g.path === f.path && g.text === f.text) === i);
    const left = this.form.faults(faults);
    this.status.textContent = faults.length > 0 ? words.refused(faults.length, Boolean(this.current)) : problem.detail ?? problem.title;
    this.elsewhere.hidden = left.length === 0;
    fill(this.elsewhere, element('p', {}, words.elsewhere), element('ul', {}, left.map((f) => element('li', {}, element('code', {}, f.path || f.pointer || '/'), ' ', f.text))));
  }

  redraw() {
    this.form.update();
    for (const part of this.parts) part.redraw?.();
  }
}

start().catch((error) => {
  fill(at('answer'), element('p', { role: 'alert' }, `${words.broken} ${error.message}`));
  throw error;
});
