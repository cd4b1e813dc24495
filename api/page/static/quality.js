// Whether weather can be trusted: the service's checks in words, and the sun of the
// year as a picture, in which a clock that is wrong is seen.

import { element, table } from './element.js';
import { monthGrid } from './grid.js';
import { monthNames, round } from './units.js';
import { words } from './strings.js';

const marks = { pass: '✓', caution: '!', fail: '✗', not_tested: '·' };

// report tells an uploaded year.
export function report(year) {
  return [
    element('p', {}, element('b', {}, words.verdicts[year.verdict] ?? year.verdict), ` ${words.uploadedYear(year.rows, year.from?.slice(0, 10), year.filled?.length ?? 0)}`),
    element('ul', { class: 'checks' }, (year.quality?.checks ?? []).map((c) => element('li', { class: c.verdict },
      element('span', { aria: { hidden: 'true' } }, marks[c.verdict] ?? '·'), element('span', { class: 'unseen' }, (words.verdicts[c.verdict] ?? c.verdict) + ' '), c.message))),
  ];
}

// sunPicture draws the mean irradiance by month and time of day; null for a year
// that has none.
export function sunPicture(columns, year) {
  const light = columns.ghi_w_m2 ?? columns.plane_w_m2;
  if (!light) return null;
  const perDay = 86400 / columns.step_s;
  const sum = Array.from({ length: 12 }, () => new Float64Array(24));
  const days = new Float64Array(12);
  for (let i = 0; i < light.length; i++) {
    const month = new Date(Date.UTC(year, 0, 1 + Math.floor(i / perDay))).getUTCMonth();
    if (i % perDay === 0) days[month]++;
    sum[month][Math.floor(((i % perDay) * 24) / perDay)] += (light[i] * 24) / perDay;
  }
  const mean = (m, h) => sum[m][h] / Math.max(1, days[m]);
  const most = Math.max(1, ...sum.flatMap((row, m) => [...row].map((_, h) => mean(m, h))));
  const { svg, cells } = monthGrid(words.sunPicture);
  cells.forEach((cell, i) => {
    const [m, h] = [Math.floor(i / 24), i % 24];
    cell.setAttribute('class', `cell sun-${Math.min(6, Math.ceil((6 * mean(m, h)) / most))}`);
    cell.append(element('title', {}, `${monthNames[m]}, ${h}:00: ${round(mean(m, h))} W/m²`));
  });
  return element('figure', {}, element('figcaption', { class: 'note' }, words.sunPicture), svg,
    element('details', { class: 'table' }, element('summary', {}, words.tableOf, element('span', { class: 'unseen' }, ': ' + words.sunPicture)), element('div', { class: 'wide', tabindex: '0', role: 'region', aria: { label: words.sunPicture } },
      table([words.month, ...Array.from({ length: 24 }, (_, h) => String(h))], monthNames.map((name, m) => [name, ...Array.from({ length: 24 }, (_, h) => round(mean(m, h)))])))));
}
