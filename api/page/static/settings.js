// What the reader chose for this screen: units and paper. Kept in the browser.

import { element } from './element.js';
import { words } from './strings.js';

const kept = {
  get(name) {
    try {
      return localStorage.getItem('bankyear.' + name);
    } catch {
      return null; // a browser may forbid it
    }
  },
  set(name, value) {
    try {
      localStorage.setItem('bankyear.' + name, value);
    } catch {
      // then it holds until the page is left
    }
  },
};

export class Settings {
  constructor(units, redraw) {
    const systems = Object.keys(words.unitSystems);
    const papers = Object.keys(words.papers);
    const from = (name, choices) => (choices.includes(kept.get(name)) ? kept.get(name) : choices[0]);
    units.system = from('units', systems);
    document.documentElement.dataset.paper = from('paper', papers);
    const select = (id, text, choices, chosen, change) => element('span', {}, element('label', { for: id }, text), ' ',
      element('select', { id, on: { change: (e) => { kept.set(id, e.target.value); change(e.target.value); redraw(); } } },
        Object.entries(choices).map(([value, name]) => element('option', { value, selected: value === chosen }, name))));
    this.root = element('div', { class: 'settings' },
      select('units', words.units, words.unitSystems, units.system, (v) => { units.system = v; }),
      select('paper', words.paper, words.papers, document.documentElement.dataset.paper, (v) => { document.documentElement.dataset.paper = v; }));
    matchMedia('(prefers-color-scheme: dark)').addEventListener('change', redraw);
    // Paper to print on is light, whatever the screen is.
    const screen = () => document.documentElement.dataset.paper;
    let before = 'auto';
    addEventListener('beforeprint', () => { before = screen(); document.documentElement.dataset.paper = 'light'; redraw(); });
    addEventListener('afterprint', () => { document.documentElement.dataset.paper = before; redraw(); });
  }
}
