// The reader's own weather and meter readings in place of what the page offers.

import { element } from './element.js';
import { report, sunPicture } from './quality.js';
import { round } from './units.js';
import { Upload } from './upload.js';
import { words } from './strings.js';

// uploads are the two places to drop a file at.
export function uploads(context) {
  let assumedSite = false;
  const siteOf = ({ site }) => Object.fromEntries(Object.entries(site).map(([name, value]) => [`site.${name}`, value]));
  const weather = new Upload({
    text: words.dropWeather, address: '/v1/weather',
    query: () => { assumedSite = false; return {}; },
    retry: (problem) => {
      if (!problem.faults?.some((f) => f.parameter === 'site')) return null;
      assumedSite = true;
      return siteOf(context.question.place());
    },
    done: async (stored, name) => {
      const year = stored.years.at(-1); // of several years the last
      await context.weathers.add(year, name);
      context.change('place', year.id);
      return [assumedSite && element('p', {}, words.siteAssumed), report(year), sunPicture(await context.weathers.columns(year.id), year.calendar_year)];
    },
  });
  const unit = element('select', { id: 'meter-unit' }, Object.entries(words.meterUnits).map(([value, text]) => element('option', { value }, text)));
  const load = new Upload({
    text: words.dropMeter, address: '/v1/loads',
    query: () => ({ unit: unit.value }),
    retry: () => null,
    done: (stored, name) => {
      context.change('load.id', stored.id);
      return element('p', {}, words.uploadedMeter(name, round(stored.kwh_per_day), round(stored.highest_w)));
    },
    beside: element('div', { class: 'beside' }, element('label', { for: 'meter-unit' }, words.readingsIn), unit),
  });
  return { weather, load };
}
