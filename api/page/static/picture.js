// What is asked of the service for one question, and the answer in the shape in
// which the parts draw it.

import { assumptions } from './assumed.js';
import { mainColumns, moreColumns, readHours } from './hours.js';
import { candidates, sideOf, sides } from './question.js';
import { fetchJSON, postJSON } from './service.js';
import { bankText } from './verdict.js';
import { words } from './strings.js';

// ask is a question as it stands now: what a later change of an input leaves as it was.
export function ask({ question, facts }) {
  const frozen = question.copy();
  return { place: frozen.place().key, begin: performance.now(), pair: frozen.get('pair'), year: frozen.get('calendar_year'), question: frozen, body: (w) => frozen.body(w),
    banks: Object.fromEntries(sides.map((s) => [s, bankText(frozen, facts, s)])), window: chargeWindow(frozen, facts) };
}

// answer asks for one comparison.
export async function answer(asked, weathers, signal) {
  const comparison = await postJSON('/v1/comparisons?verdict=false&detail=hours&columns=' + mainColumns, asked.body(await weathers.member(asked.place)), signal);
  const answers = bySide(comparison);
  const by = (read) => Object.fromEntries(sides.map((s) => [s, read(answers[s])]));
  return { asked, answers, figures: comparison.figures.map(lettered), modules: Object.fromEntries(sides.map((s) => [s, asked.question.get(`${s}.bank.modules`)])), notes: comparison.notes, year: asked.year, banks: asked.banks, pair: asked.pair, assumed: assumptions(answers), window: asked.window,
    hours: by((a) => readHours(a.hours, asked.year)), more: null, deep: null };
}

// deeper is what other runs than the years themselves tell: the verdict, people,
// bands, reserves and limits.
export async function deeper(picture, weathers, signal) {
  const { asked } = picture;
  const comparison = await postJSON('/v1/comparisons?detail=headroom,reliefs', asked.body(await weathers.member(asked.place)), signal);
  const answers = bySide(comparison);
  const { verdict } = comparison;
  return { figures: comparison.figures.map(lettered), verdict: { ...verdict, title: named(verdict.title), words: verdict.words.map(named) },
    ...Object.fromEntries(sides.map((s) => [s, { ...answers[s], operation: asked.question.get(`${s}.bank.operation`) }])) };
}

// sheets are what is read off each system before any year is run.
export async function sheets(asked, weathers, signal) {
  const weather = await weathers.member(asked.place);
  const ask = (s) => postJSON('/v1/sheets', `${JSON.stringify(asked.question.system(s)).slice(0, -1)},"weather":${weather}}`, signal);
  const [a, b] = await Promise.all(sides.map(ask));
  return { a, b };
}

const bySide = (comparison) => Object.fromEntries(comparison.candidates.filter((c) => sideOf(c.candidate)).map((c) => [sideOf(c.candidate), c.answer]));

// lettered is a row of figures with the letters of the banks.
const lettered = (row) => ({ ...row, values: Object.fromEntries(sides.map((s) => [s, row.values[candidates[s]]])) });

// named puts the names of the banks into what the service says of its candidates.
const named = (text) => text.replaceAll(candidates.a, words.bankName.a).replaceAll(candidates.b, words.bankName.b).replace(/^./, (c) => c.toUpperCase());

// more is what only the lower charts need: further columns, the months, the outages.
export async function more(picture) {
  const answers = await Promise.all(sides.map((s) => fetchJSON(`/v1/simulations/${picture.answers[s].hash}?detail=months,events,hours&columns=${moreColumns}`)));
  return Object.fromEntries(sides.map((s, i) => [s, { ...Object.fromEntries(answers[i].hours.columns.map((c) => [c.name, c.values])), months: answers[i].months, events: answers[i].events, incidents: answers[i].incidents, decisions: answers[i].decisions }]));
}

// chargeWindow is the range of cell temperature in which bank a takes charge.
function chargeWindow(question, facts) {
  const read = (name) => question.get(`a.bank.module.protection.${name}`) ?? facts.fromCatalogue(question, `a.bank.module.protection.${name}`) ?? null;
  return { cold: read('charge_cold_c'), hot: read('charge_hot_c') };
}
