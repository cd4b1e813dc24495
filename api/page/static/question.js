// The question: one site, load and array, and two banks. It is the station that
// the page starts with, and what was stated beside it. A stated value has a
// dotted path, with a. or b. in front when it belongs to one bank:
// "array.planes.roof.tilt_deg", "b.bank.modules".

import { ladder } from './ladder.js';
import { label, words } from './strings.js';

export const sides = ['a', 'b'];

// candidates are what the banks are called in a comparison.
export const candidates = { a: 'bank_a', b: 'bank_b' };

// sideOf is the letter of a candidate.
export const sideOf = (name) => sides.find((s) => candidates[s] === name);

const generators = 'generators';

// mostSets is how many generator sets a system has at most, and setNames what new ones
// are called.
export const mostSets = 3;
const setNames = ['second', 'third'];

// about are stated beside the system and no part of it: the place with its weather,
// and the prepared pair that the page was opened with.
export const about = ['place', 'pair', 'study'];

export class Question {
  // station is a request without site and weather; places are the sites with
  // the key of their weather.
  constructor(station, places) {
    this.station = station;
    this.places = places;
    this.stated = new Map();
    this.banks = { a: { ...station.bank, modules: 2 }, b: station.bank };
  }

  // copy is the question as it stands.
  copy() {
    const q = new Question(this.station, this.places);
    q.stated = new Map(this.stated);
    return q;
  }

  place() {
    return this.places.find((p) => p.key === this.stated.get('place')) ?? this.places[0];
  }

  // name is what the system is called on paper when nobody gave it another.
  name() {
    const load = this.stated.has('load.id') ? words.ownMeter : this.stated.has('load.key') ? label(String(this.stated.get('load.key'))) : '';
    if (!load && this.place() === this.places[0]) return this.station.name;
    return words.systemName(load || words.ownLoad, this.place());
  }

  // own is what a path goes back to when it is no longer stated: its value in what is
  // stated above it, or of both banks where it is one's, else the station's; undefined
  // where there is none.
  own(path) {
    const { side, rest } = split(path);
    const higher = (p) => (p ? [p, ...higher(above(p))] : []);
    for (const p of [...higher(above(path)), ...(side ? higher(rest) : [])]) {
      if (this.stated.has(p)) return walk(this.stated.get(p), rest.split('.').slice(split(p).rest.split('.').length));
    }
    return this.stationOwn(path);
  }

  stationOwn(path) {
    if (path === 'place') return this.places[0].key;
    if (path === 'name') return this.name();
    if (path === 'pair' || path === 'study' || (path === 'load.scale_to_kwh_per_day' && this.stated.has('load.id'))) return undefined;
    const { side, rest } = split(path);
    const tokens = rest.split('.');
    if (side && tokens[0] === 'bank') return walk(this.banks[side], tokens.slice(1));
    if (tokens[0] === 'site') return walk(this.place().site, tokens.slice(1));
    if (rest === 'array.planes.roof.losses.snow_fraction') return this.place().snow_fraction;
    return walk(this.station, tokens);
  }

  // get is the value at a path; null where it was taken out.
  get(path) {
    return this.stated.has(path) ? this.stated.get(path) : this.own(path);
  }

  // set states a value; undefined goes back to its own.
  set(path, value) {
    if (value === undefined || same(value, this.own(path))) this.stated.delete(path);
    else this.stated.set(path, value);
  }

  isStated(path) {
    return this.stated.has(path);
  }

  // sets are the generator sets of both systems by name.
  sets() {
    const sets = this.merged('').generators;
    return isObject(sets) ? Object.fromEntries(Object.entries(sets).filter(([, set]) => set !== null)) : {};
  }

  // addSet gives both systems one more generator set and tells its name: the station's
  // where that was taken out, else one like the last in order, the next after it.
  addSet() {
    const sets = this.sets();
    const stations = Object.keys(this.station[generators]);
    const name = [...stations, ...setNames].find((n) => !(n in sets));
    const last = Object.values(sets).sort((x, y) => order(y) - order(x))[0];
    const fresh = stations.includes(name) ? undefined : { ...last, lead_order: Math.min(9, order(last) + 1) };
    this.set(`${generators}.${name}`, fresh);
    return name;
  }

  // removeSet takes a generator set out; what was stated of the station's is kept for
  // when it comes back.
  removeSet(name) {
    const path = `${generators}.${name}`;
    if (this.stationOwn(path) === undefined) for (const p of this.below(path)) this.stated.delete(p);
    this.set(path, this.own(path) === undefined ? undefined : null);
  }

  // renameSet gives a set another name, with all that was stated of it.
  renameSet(name, next) {
    const from = `${generators}.${name}`;
    const whole = this.get(from);
    const stated = this.below(from).map((p) => [p, this.stated.get(p)]);
    for (const [p] of stated) this.stated.delete(p);
    this.set(from, this.own(from) === undefined ? undefined : null);
    const to = (p) => p.replace(from, `${generators}.${next}`);
    if (whole !== undefined) this.set(to(from), whole);
    for (const [p, value] of stated) this.set(to(p), value);
  }

  // below are the stated paths under one, of both banks.
  below(path) {
    return [...this.stated.keys()].filter((p) => split(p).rest.startsWith(path + '.'));
  }

  // system is the request of one side without weather.
  system(side) {
    const out = this.merged(side);
    const rungs = walk(this.station, [generators, 'main', 'start_below']);
    for (const set of Object.values(out[generators] ?? {})) if (set?.start_below && same(set.start_below, rungs)) set.start_below = ladder(rungs, out.bank.module);
    return out;
  }

  // merged is the station with what is stated of a side: '' for what both have.
  merged(side) {
    const place = this.place();
    const out = structuredClone(this.station);
    out.name = this.name();
    out.site = { ...place.site };
    out.bank = structuredClone(this.banks[side]);
    assign(out, ['array', 'planes', 'roof', 'losses', 'snow_fraction'], place.snow_fraction);
    if (this.stated.has('load.key') || this.stated.has('load.id')) delete out.load.appliances;
    if (this.stated.has('load.id')) delete out.load.scale_to_kwh_per_day;
    const paths = [...this.stated.keys()].filter((p) => !about.includes(p) && ['', side].includes(split(p).side)).sort(byRank);
    const gone = paths.filter((p) => this.stated.get(p) === null).map((p) => split(p).rest + '.');
    for (const path of paths) {
      const { rest } = split(path);
      if (gone.some((g) => rest.startsWith(g))) continue; // waits for when it comes back
      assign(out, rest.split('.'), structuredClone(this.stated.get(path)));
    }
    return out;
  }

  // body is the comparison to ask for: bank a is the base, b a merge patch on it.
  // The bank of b is given whole, so that its faults are told at b.
  body(weather) {
    const a = this.system('a');
    const b = this.system('b');
    for (const out of [a, b]) if (out.prices && !out.prices.currency) out.prices.currency = '¤'; // the sign for any currency
    const change = patch(a, b) ?? {};
    change.bank = whole(a.bank, b.bank);
    const base = JSON.stringify(a).slice(0, -1) + ',"weather":' + weather + '}';
    return `{"base":${base},"candidates":{"${candidates.a}":{},"${candidates.b}":${JSON.stringify(change)}}}`;
  }

  // bankOf is what was stated of one bank; setBank states that of a bank.
  bankOf(side) {
    const bank = this.system(side).bank;
    const paths = [...this.stated.keys()].filter((p) => p.startsWith(side + '.')).map((p) => p.slice(2));
    return { modules: bank.modules, stated: new Map(paths.map((p) => [p, this.stated.get(`${side}.${p}`)])) };
  }

  setBank(side, bank) {
    for (const path of [...this.stated.keys()]) if (path.startsWith(side + '.')) this.stated.delete(path);
    for (const [path, value] of bank.stated) this.set(`${side}.${path}`, value);
    this.set(`${side}.bank.modules`, bank.modules);
  }

  // fragment and read keep the question in the address.
  fragment() {
    return [...this.stated].map(([path, value]) => path + '=' + encodeURIComponent(written(value))).join('&');
  }

  read(fragment) {
    this.stated.clear();
    const parts = fragment.replace(/^#/, '').split('&').filter((part) => part.indexOf('=') > 0).map((part) => [decode(part.slice(0, part.indexOf('='))), decode(part.slice(part.indexOf('=') + 1))]);
    for (const [path, value] of parts.sort(([x], [y]) => byRank(x, y))) {
      if (/^[a-z0-9_]+(\.[a-z0-9_]+)*$/.test(path)) this.set(path, readValue(value));
    }
  }
}

const order = (set) => set?.lead_order ?? 1;

// byRank is the order in which paths are stated: of both banks before of one, and what
// is above others before them.
const byRank = (x, y) => split(x).side.length - split(y).side.length || x.length - y.length || (x < y ? -1 : 1);

const above = (path) => path.slice(0, Math.max(0, path.lastIndexOf('.')));

// split takes the letter of a bank off a path.
export function split(path) {
  const side = path.startsWith('a.') ? 'a' : path.startsWith('b.') ? 'b' : '';
  return { side, rest: side ? path.slice(2) : path };
}

// pathOf is the path that a JSON Pointer of a comparison's fault means.
export function pathOf(pointer) {
  const tokens = pointer.split('/').slice(1).map((t) => t.replaceAll('~1', '/').replaceAll('~0', '~'));
  if (tokens[0] === 'candidates') return [sideOf(tokens[1]) ?? tokens[1], ...tokens.slice(2)].join('.');
  const rest = tokens.slice(tokens[0] === 'base' ? 1 : 0);
  if (rest[0] === 'weather' || rest[0] === 'site') return 'place';
  return (rest[0] === 'bank' ? 'a.' : '') + rest.join('.');
}

function decode(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

function written(value) {
  return typeof value === 'string' && readValue(value) === value ? value : JSON.stringify(value);
}

function readValue(text) {
  try {
    return JSON.parse(text);
  } catch {
    return text;
  }
}

export function walk(value, tokens) {
  for (const token of tokens) {
    if (value === null || typeof value !== 'object') return undefined;
    value = value[token];
  }
  return value;
}

function assign(object, tokens, value) {
  for (const token of tokens.slice(0, -1)) {
    if (object[token] === null || typeof object[token] !== 'object') object[token] = {};
    object = object[token];
  }
  const last = tokens.at(-1);
  if (value === null) delete object[last];
  else object[last] = value;
}

export const same = (x, y) => JSON.stringify(x) === JSON.stringify(y);

export const isObject = (v) => v !== null && typeof v === 'object' && !Array.isArray(v);

// patch is the JSON Merge Patch from one value to another, undefined for none.
function patch(from, to) {
  if (same(from, to)) return undefined;
  if (!isObject(from) || !isObject(to)) return to;
  const out = {};
  for (const key of Object.keys(from)) if (!(key in to)) out[key] = null;
  for (const key of Object.keys(to)) {
    const change = patch(from[key], to[key]);
    if (change !== undefined) out[key] = change;
  }
  return out;
}

// whole is a patch that states everything in `to`.
function whole(from, to) {
  if (!isObject(to)) return to;
  const out = {};
  if (isObject(from)) for (const key of Object.keys(from)) if (!(key in to)) out[key] = null;
  for (const key of Object.keys(to)) out[key] = whole(from?.[key], to[key]);
  return out;
}
