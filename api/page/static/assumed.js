// Everything that nobody stated, with its basis, each with a way to state it; and
// what is needed to make the answer again.

import { element, fill, table } from './element.js';
import { Part } from './part.js';
import { sides } from './question.js';
import { exact } from './units.js';
import { word, words } from './strings.js';

// assumptions joins those of both answers: what belongs to a bank has its letter
// in front.
export function assumptions(answers) {
  const all = new Map();
  for (const s of sides) {
    for (const a of answers[s].assumed) {
      const path = a.pointer.slice(1).replaceAll('/', '.');
      all.set(path.startsWith('bank.') ? `${s}.${path}` : path, a);
    }
  }
  return all;
}

export class Assumed extends Part {
  constructor(context) {
    super(words.assumedTitle, words.assumedNote);
    this.context = context;
    this.root.classList.add('assumed');
  }

  show(picture) {
    this.details.firstChild.replaceChildren(words.assumedCount(picture.assumed.size));
    const { facts, state } = this.context;
    this.table(() => table([words.member, words.value, words.basis, state ? words.change : ''],
      [...picture.assumed].map(([path, a]) => [element('code', {}, path), this.value(a), a.basis,
        state && facts.of(path) && typeof a.value !== 'object' ? element('button', { type: 'button', class: 'plain', on: { click: () => state(path, a.value) } }, words.state) : ''])));
  }

  value(a) {
    const text = typeof a.value === 'number' ? exact(Number(a.value.toPrecision(5))) : typeof a.value === 'object' ? Object.values(a.value).map((x) => (typeof x === 'object' ? JSON.stringify(x) : typeof x === 'number' ? exact(x) : word(x))).join(', ') || words.noValue : word(a.value);
    return `${text} ${a.unit ?? ''}`.trim();
  }
}

export class Again extends Part {
  constructor() {
    super(words.reproduceTitle, words.reproduceNote, { withTable: false });
  }

  show(picture) {
    fill(this.body, element('dl', {}, sides.map((s) => [element('dt', {}, words.bankName[s]), element('dd', {}, element('code', {}, picture.answers[s].hash))])),
      element('p', { class: 'note' }, picture.asked.place.startsWith('w-') ? words.ownWeather(picture.asked.place) : words.weatherSource));
  }
}
