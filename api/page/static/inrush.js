// The starts of motors: what the worst of them asks, and how much more it could ask
// with so many modules.

import { element, fill, table } from './element.js';
import { Part } from './part.js';
import { sides } from './question.js';
import { round, stampText } from './units.js';
import { human, word, words } from './strings.js';

const shown = 8; // modules, of those that the answer tells
const row = 15;
const left = 70;
const width = 340;

export class Inrush extends Part {
  constructor(units) {
    super(words.inrushTitle, words.inrushNote);
    this.units = units;
  }

  show(picture) {
    this.picture = picture;
    const inrush = Object.fromEntries(sides.map((s) => [s, picture.answers[s].inrush]));
    const starts = sides.filter((s) => inrush[s]);
    this.details.hidden = starts.length === 0;
    if (starts.length === 0) {
      fill(this.body, element('p', {}, words.noStarts));
      return;
    }
    fill(this.body, starts.map((s) => element('p', { class: 'said bank-' + s }, element('b', {}, words.letter[s]), ' ', this.say(inrush[s]))),
      element('div', { class: 'grids' }, starts.map((s) => element('figure', {}, element('figcaption', { class: 'bank-' + s }, element('b', {}, words.letter[s])), this.draw(s, inrush[s], picture.modules[s])))));
    this.table(() => table([words.modules, ...starts.flatMap((s) => [`${words.letter[s]}: ${words.margin}`, `${words.letter[s]}: ${words.weakest}`])],
      inrush[starts[0]].by_modules.map((m, i) => [String(m.modules), ...starts.flatMap((s) => { const x = inrush[s].by_modules[i]; return x ? [percent(x.margin_fraction), word(x.weakest)] : ['', '']; })])));
  }

  say(x) {
    const volts = x.bank_v > 0 ? `${x.bank_v.toFixed(1)} V` : words.collapse;
    return words.inrushSay(human(x.appliance), stampText(x.at), round(x.ac_w), round(x.bank_a), volts, percent(x.margin_fraction), word(x.weakest), x.failed_starts);
  }

  // draw is a bar a number of modules; the own number is outlined.
  draw(side, x, modules) {
    const rows = x.by_modules.filter((m) => m.modules <= Math.max(shown, modules));
    const low = Math.min(0, ...rows.map((m) => m.margin_fraction));
    const high = Math.max(0.1, ...rows.map((m) => m.margin_fraction));
    const at = (v) => left + ((width - left - 44) * (v - low)) / (high - low);
    const svg = element('svg', { viewBox: `0 0 ${width} ${rows.length * row + 4}`, role: 'img', class: 'stack', aria: { label: rows.map((m) => `${words.modulesCount(m.modules)}: ${percent(m.margin_fraction)}`).join('; ') } });
    rows.forEach((m, i) => {
      const from = Math.min(at(0), at(m.margin_fraction));
      svg.append(element('text', { x: left - 6, y: i * row + 11, class: `axis end ${m.modules === modules ? 'ink-' + side : ''}` }, words.modulesCount(m.modules)),
        element('rect', { x: from, y: i * row + 2, width: Math.max(1, Math.abs(at(m.margin_fraction) - at(0))), height: row - 4, class: m.margin_fraction < 0 ? 'unserved' : m.modules === modules ? 'fill-' + side : 'soft-' + side }),
        element('text', { x: Math.max(at(0), at(m.margin_fraction)) + 4, y: i * row + 11, class: 'axis' }, percent(m.margin_fraction)));
    });
    svg.append(element('line', { x1: at(0), x2: at(0), y1: 0, y2: rows.length * row + 2, class: 'rule' }));
    return svg;
  }
}

const percent = (x) => `${round(100 * x)} %`;
