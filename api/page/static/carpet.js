// The year hour by hour: a column a day, a row an hour; paler is fuller, and dark
// hours stand out.

import { colour, element, fill, table } from './element.js';
import { Part, legend } from './part.js';
import { sides } from './question.js';
import { clock, dayName, moment, monthNames, round, weekdayName } from './units.js';
import { word, words } from './strings.js';

// Carpet tells of the hour pointed at; choose(hour) is called with one that is
// picked.
export class Carpet extends Part {
  constructor(choose) {
    super(words.yearTitle, words.yearNote);
    this.choose = choose;
    this.hour = null;
    this.canvas = {};
    this.read = element('p', { class: 'readout', aria: { live: 'polite' } }, words.yearHow);
    this.names = element('div', { class: 'month-names', aria: { hidden: 'true' } }, monthNames.map((m) => element('span', {}, m)));
    fill(this.body, sides.map((s) => this.make(s)), this.names, this.read,
      legend([['soc-full', words.fullToEmpty[0]], ['soc-half', '50 %'], ['soc-empty', words.fullToEmpty[1]], ['dark-6', words.fullToEmpty[2]]]));
  }

  make(side) {
    const canvas = element('canvas', { tabindex: '0', role: 'application', aria: { label: `${words.yearTitle}, ${words.bankName[side]}`, roledescription: 'chart' }, on: {
      pointermove: (e) => this.point(e, canvas), pointerleave: () => this.leave(), click: (e) => { this.point(e, canvas); this.pick(); }, keydown: (e) => this.key(e), blur: () => this.leave(),
    } });
    this.canvas[side] = canvas;
    const cursor = element('div', { class: 'cursor', hidden: true });
    canvas.cursor = cursor;
    return element('div', { class: 'carpet' }, element('div', { class: 'hours-axis' }, element('b', { class: 'bank-' + side }, words.letter[side]), ['6', '12', '18'].map((h) => element('span', { data: { hour: h }, aria: { hidden: 'true' } }, h))), element('div', { class: 'cloth' }, canvas, cursor));
  }

  show(picture) {
    this.picture = picture;
    for (const s of sides) this.draw(s);
    this.table(() => this.days(picture));
  }

  draw(side) {
    const { soc, downtime, days, perDay } = this.picture.hours[side];
    const paper = colour('--paper');
    const full = colour('--soc-full');
    const empty = colour('--soc-empty');
    const dark = colour('--dark-hours');
    const canvas = this.canvas[side];
    canvas.width = days;
    canvas.height = 24;
    const context = canvas.getContext('2d');
    const image = context.createImageData(days, 24);
    for (let d = 0; d < days; d++) {
      for (let h = 0; h < 24; h++) {
        const from = Math.floor(d * perDay + (h * perDay) / 24);
        const to = Math.floor(d * perDay + ((h + 1) * perDay) / 24);
        let lost = 0;
        for (let i = from; i < to; i++) lost += downtime[i];
        lost /= to - from;
        const x = soc[to - 1];
        const at = 4 * (h * days + d);
        for (let c = 0; c < 3; c++) {
          const ground = empty[c] + (full[c] - empty[c]) * x;
          image.data[at + c] = lost > 0 ? paper[c] + (dark[c] - paper[c]) * (0.5 + 0.5 * lost) : ground;
        }
        image.data[at + 3] = 255;
      }
    }
    context.putImageData(image, 0, 0);
  }

  redraw() {
    if (this.picture) for (const s of sides) this.draw(s);
  }

  point(event, canvas) {
    if (!this.picture) return;
    const box = canvas.getBoundingClientRect();
    const { days } = this.picture.hours.a;
    const inside = (x, n) => Math.min(n - 1, Math.max(0, Math.floor(x * n)));
    this.tell(inside((event.clientX - box.left) / box.width, days) * 24 + inside((event.clientY - box.top) / box.height, 24));
  }

  // tell says what both banks are at in an hour of the year.
  tell(hour) {
    this.hour = hour;
    const { year, hours } = this.picture;
    const when = moment(year, hour);
    const parts = sides.map((s) => {
      const { soc, downtime, cause, perDay } = hours[s];
      const n = perDay / 24;
      const to = Math.floor((hour + 1) * n);
      let lost = 0;
      for (let i = Math.floor(hour * n); i < to; i++) lost += downtime[i] / n;
      return words.yearHour(words.letter[s], `${round(100 * soc[to - 1])} %`, lost > 0 ? words.darkFor(Math.max(1, Math.round(60 * lost)), cause[to - 1] ? word(cause[to - 1]) : '') : '');
    });
    this.read.textContent = words.yearRead(`${weekdayName(when)}, ${clock(when)}`, parts);
    const day = Math.floor(hour / 24);
    for (const s of sides) {
      const { cursor } = this.canvas[s];
      cursor.hidden = false;
      cursor.style.left = `${(100 * (day + 0.5)) / hours[s].days}%`;
      cursor.style.top = `${(100 * ((hour % 24) + 0.5)) / 24}%`;
    }
  }

  leave() {
    this.read.textContent = words.yearHow;
    for (const s of sides) this.canvas[s].cursor.hidden = true;
  }

  key(event) {
    const step = { ArrowLeft: -24, ArrowRight: 24, ArrowUp: -1, ArrowDown: 1, PageUp: -24 * 30, PageDown: 24 * 30 }[event.key];
    if (!this.picture) return;
    if (step) {
      const last = this.picture.hours.a.days * 24 - 1;
      this.tell(Math.min(last, Math.max(0, (this.hour ?? 0) + (this.hour === null ? 0 : step))));
    } else if (event.key === 'Enter' || event.key === ' ') this.pick();
    else return;
    event.preventDefault();
  }

  pick() {
    if (this.hour !== null) this.choose(this.hour);
  }

  // days is the table behind the picture: too long hour by hour, so day by day.
  days(picture) {
    const rows = [];
    for (let d = 0; d < picture.hours.a.days; d++) {
      rows.push([dayName(moment(picture.year, d * 24)), ...sides.flatMap((s) => {
        const { soc, downtime, perDay } = picture.hours[s];
        const part = [d * perDay, (d + 1) * perDay];
        const lost = downtime.slice(...part).reduce((x, y) => x + y, 0) * (24 / perDay);
        return [`${round(100 * Math.min(...soc.slice(...part)))} %`, lost > 0 ? `${round(lost)} h` : ''];
      })]);
    }
    return table([words.day, ...sides.flatMap((s) => [`${words.letter[s]}: ${words.lowestSoC}`, `${words.letter[s]}: ${words.fullToEmpty[2]}`])], rows);
  }
}
