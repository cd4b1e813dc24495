// Six prepared pairs for teaching a customer: each is a question, and two banks
// that answer it. What is not stated is the field station's.

import { element } from './element.js';
import { Question } from './question.js';
import { words } from './strings.js';

const both = (values) => Object.fromEntries(Object.entries(values).flatMap(([path, value]) => [[`a.${path}`, value], [`b.${path}`, value]]));

const four = { 'bank.modules': 4, 'bank.link_faults.mean_hours_between': 0 };
const alone = { ...four, 'bank.operation': 'voltage_only' };
const room = { 'bank.enclosure.kind': 'ventilated_room', 'bank.enclosure.heater_w_per_module': 0 };

// Left on from the bank before: 24 cells, absorption and compensation of a charger
// for lead-acid (common practice, no source).
const leadAcid = { absorb_v: 57.6, absorb_max_s: 7200, tail_a: 16, float_v: 54, restart_charge_v: 50.4, charge_a: 145, compensation_v_per_c: -0.096 };

export const pairs = {
  cable: { ...both({ ...four, 'bank.link_faults.listed': [{ start: '2025-01-15T08:00', hours: 72 }] }), 'a.bank.on_link_loss': 'bank_opens' },
  frost: { ...both({ ...alone, ...room, 'bank.module.key': 'lfp_16s_100ah_one_switch' }), 'b.bank.enclosure.heater_w_per_module': 80 },
  estimate: { ...both(alone), 'generators.main.start_below': null, 'a.bank.estimate.offset_a': 0.5 },
  wake: { ...both({ ...four, ...room }), 'controls.visit_response_h': 168, 'b.bank.woken_by': ['generator', 'visit'], 'b.generators.main.start_signal': 'own_controller', 'b.generators.main.signal_fed_from': 'own_battery', 'b.inverter.charger_starts_without_bank': true },
  settings: { ...both(alone), ...Object.fromEntries(Object.entries(leadAcid).map(([name, value]) => [`a.bank.settings.${name}`, value])) },
  module: { ...both({ ...four, 'bank.modules_out.modules': 1, 'bank.modules_out.start': '2025-10-15T08:00' }), 'a.bank.operation': 'voltage_only' },
};

// pairLinks are links to the pairs: the address says everything.
export function pairLinks(question) {
  return element('nav', { class: 'pairs', aria: { labelledby: 'pairs-title' } }, element('h3', { id: 'pairs-title' }, words.pairsTitle),
    element('ol', {}, Object.entries(pairs).map(([key, stated]) => {
      const q = new Question(question.station, question.places);
      q.set('pair', key);
      for (const [path, value] of Object.entries(stated)) q.set(path, value);
      return element('li', {}, element('a', { href: '#' + q.fragment() }, words.pairs[key].question));
    })));
}
