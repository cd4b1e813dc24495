// Units as people read them. Requests and answers are metric; what is shown may
// be in US units, and fractions are shown in per cent.

import { locale } from './strings.js';

// american has, by metric unit: the US unit, its factor, and what is added.
const american = {
  'l': ['gal', 1 / 3.785411784, 0], // US liquid gallon, exact
  'm': ['ft', 1 / 0.3048, 0],
  '°C': ['°F', 1.8, 32],
  'kg': ['lb', 1 / 0.45359237, 0],
  'm/s': ['mph', 1 / 0.44704, 0],
};

// named are the units of figures and inputs whose names do not end in one.
const named = { 'load.scale_to_kwh_per_day': 'kWh', years_to_80_pct: 'years', years_by_cycles: 'years', years_on_float: 'years', 'bank.enclosure.heater_w_per_module': 'W', 'bank.link_faults.mean_hours_between': 'h', 'grid.outages.mean_hours_between': 'h' };

// differences are temperatures that are no point on the scale.
const differences = /(_above_outdoor|_swing)_c$/;

export class Units {
  constructor(system = 'metric') {
    this.system = system;
  }

  // scale is how a member is shown: its unit, factor and offset.
  scale(name, unit) {
    unit ||= named[name.replace(/^[ab]\./, '')] ?? '';
    if (!unit && /(^|[._])(fraction)$/.test(name)) return { unit: '%', factor: 100, offset: 0 };
    const us = this.system === 'us' && american[unit];
    if (!us) return { unit, factor: 1, offset: 0 };
    return { unit: us[0], factor: us[1], offset: differences.test(name) ? 0 : us[2] };
  }

  // show is a number in the shown unit, without noise of the conversion.
  show(scale, x) {
    return Number((x * scale.factor + scale.offset).toPrecision(10));
  }

  read(scale, x) {
    return Number(((x - scale.offset) / scale.factor).toPrecision(10));
  }

  // quantity is a number with its unit, rounded as a figure is read.
  quantity(name, unit, x) {
    const scale = this.scale(name, unit);
    const text = round(this.show(scale, x));
    if (scale.unit === '') return text;
    return `${text}\u00a0${scale.unit}`;
  }
}

const formats = [0, 1, 2].map((digits) => new Intl.NumberFormat(locale, { maximumFractionDigits: digits, minimumFractionDigits: 0 }));

// round writes three significant digits at most behind the point, and no decimals
// from 10 up: a year on thresholds is not known better.
export function round(x) {
  const size = Math.abs(x);
  return formats[size >= 9.95 ? 0 : size >= 0.095 ? 1 : 2].format(x === 0 ? 0 : x).replace('-', '−');
}

// cents writes two decimals, as a price for each kWh is read.
const twoDecimals = new Intl.NumberFormat(locale, { minimumFractionDigits: 2, maximumFractionDigits: 2 });
export const cents = (x) => twoDecimals.format(x).replace('-', '−');

// exact writes a number as it was given.
const everyDigit = new Intl.NumberFormat(locale, { maximumFractionDigits: 12 });
export const exact = (x) => everyDigit.format(x).replace('-', '−');

// hours of the year as a date, from the calendar year of the rows.
export function moment(year, hour) {
  return new Date(Date.UTC(year, 0, 1) + hour * 3600e3);
}

const dateFormat = new Intl.DateTimeFormat(locale, { day: 'numeric', month: 'short', timeZone: 'UTC' });
const monthFormat = new Intl.DateTimeFormat(locale, { month: 'short', timeZone: 'UTC' });
const weekdayFormat = new Intl.DateTimeFormat(locale, { weekday: 'short', day: 'numeric', month: 'short', timeZone: 'UTC' });

export const dayName = (date) => dateFormat.format(date);
export const weekdayName = (date) => weekdayFormat.format(date);
export const monthNames = Array.from({ length: 12 }, (_, m) => monthFormat.format(Date.UTC(2025, m, 15)));
export const clock = (date) => date.toISOString().slice(11, 16);

// stampText is a local time of an answer, "2025-01-03T04:58:38", for people.
export function stampText(stamp) {
  const date = new Date(stamp + 'Z');
  return Number.isNaN(date.getTime()) ? stamp : `${dayName(date)}, ${clock(date)}`;
}
