// Month by time of day: hours of darkness of both banks.

import { element, fill, table } from './element.js';
import { Part, legend } from './part.js';
import { sides } from './question.js';
import { monthNames, round } from './units.js';
import { words } from './strings.js';

const cell = 13;
const left = 30;
const top = 16;

// darkByMonthAndHour sums the dark part of each interval, in hours.
export function darkByMonthAndHour(picture, side) {
  const dark = Array.from({ length: 12 }, () => new Float64Array(24));
  const { downtime, perDay, monthOf } = picture.hours[side];
  for (let i = 0; i < downtime.length; i++) {
    if (downtime[i] > 0) dark[monthOf[Math.floor(i / perDay)]][Math.floor(((i % perDay) * 24) / perDay)] += (downtime[i] * 24) / perDay;
  }
  return dark;
}

// monthGrid is twelve rows of 24 cells; the cells are in the order of the year.
export function monthGrid(label) {
  const cells = [];
  const svg = element('svg', { viewBox: `0 0 ${left + 24 * cell + 1} ${top + 12 * cell + 1}`, role: 'img', class: 'grid', aria: { label } });
  for (const h of [0, 6, 12, 18]) svg.append(element('text', { x: left + h * cell, y: top - 4, class: 'axis' }, `${h}:00`));
  for (let m = 0; m < 12; m++) {
    svg.append(element('text', { x: 0, y: top + (m + 0.78) * cell, class: 'axis' }, monthNames[m]));
    for (let h = 0; h < 24; h++) cells.push(element('rect', { x: left + h * cell + 0.5, y: top + m * cell + 0.5, width: cell - 1, height: cell - 1, class: 'cell' }));
  }
  svg.append(...cells);
  return { svg, cells };
}

export class Grid extends Part {
  constructor() {
    super(words.gridTitle, words.gridNote);
    this.cells = {};
    this.read = element('p', { class: 'readout', aria: { live: 'polite' } });
    this.legend = element('div');
    fill(this.body, element('div', { class: 'grids' }, sides.map((s) => this.make(s))), this.read, this.legend);
  }

  make(side) {
    const { svg, cells } = monthGrid(words.bankName[side]);
    this.cells[side] = cells;
    cells.forEach((c, i) => c.addEventListener('pointerenter', () => this.tell(side, Math.floor(i / 24), i % 24)));
    return element('figure', {}, element('figcaption', { class: 'bank-' + side }, element('b', {}, words.letter[side])), svg);
  }

  show(picture) {
    this.dark = Object.fromEntries(sides.map((s) => [s, darkByMonthAndHour(picture, s)]));
    const most = Math.max(...sides.flatMap((s) => this.dark[s].flatMap((row) => [...row])));
    this.note.textContent = most > 0 ? words.gridNote : words.noDark;
    this.body.hidden = this.details.hidden = most === 0;
    this.most = Math.max(1, most);
    for (const s of sides) {
      this.dark[s].forEach((row, m) => row.forEach((h, i) => {
        // Steps of the square root, so that a single dark hour is seen.
        const step = h < 0.01 ? 0 : Math.max(1, Math.round(6 * Math.sqrt(h / this.most)));
        this.cells[s][m * 24 + i].setAttribute('class', 'cell dark-' + step);
      }));
    }
    this.read.textContent = '\u00a0';
    const ends = [1, 3, 6].map((k) => [`dark-${k}`, `${round(this.most * (k / 6) ** 2)} h`]);
    fill(this.legend, legend([['dark-0', '0'], ...ends]));
    this.table(() => sides.map((s) => table([words.month, ...Array.from({ length: 24 }, (_, h) => String(h))],
      this.dark[s].map((row, m) => [monthNames[m], ...[...row].map((x) => (x < 0.01 ? '' : round(x)))]), words.bankName[s])));
  }

  tell(side, m, h) {
    if (!this.dark) return;
    this.read.textContent = words.gridCell(words.bankName[side], monthNames[m], h, h + 1, `${round(this.dark[side][m][h])} h`);
  }
}
