// Where the weather of a question comes from: the typical years that come with the
// page, and years that were uploaded, which the service keeps by content id.

import { fetchJSON } from './service.js';
import { words } from './strings.js';
import { monthlyMeans } from './years.js';

// snow is the part of a month's sun that snow on a steep array takes, by the
// month's mean temperature: what the places that come with the page have (common
// practice for a cold valley, no source).
const snow = (celsius) => (celsius < -1 ? 0.1 : celsius < 3 ? 0.04 : 0);

const isUploaded = (key) => /^w-[0-9a-f]+$/.test(key);

export class Weathers {
  // places are those that come with the page; uploaded ones are added to them.
  constructor(places) {
    this.places = places;
    this.years = new Map();
  }

  // add makes a place of an uploaded year.
  async add(year, title) {
    const { ambient_c: celsius } = monthlyMeans(await this.columns(year.id), year.calendar_year);
    const place = { key: year.id, title, sky: words.uploaded, snow_fraction: celsius.map(snow), site: year.site, calendar_year: year.dated ? year.calendar_year : null };
    const known = this.places.findIndex((p) => p.key === place.key);
    if (known >= 0) this.places[known] = place;
    else this.places.push(place);
    return place;
  }

  // find makes sure that a place which an address names is among the places.
  async find(key) {
    if (!isUploaded(key) || this.places.some((p) => p.key === key)) return;
    const stored = await fetchJSON(`/v1/weather/${key}`);
    this.years.set(key, stored.data);
    await this.add(stored.years[0], key.slice(0, 10));
  }

  // member is the weather of a place as it stands in a request, as text.
  async member(key) {
    return isUploaded(key) ? JSON.stringify({ id: key }) : JSON.stringify(await this.columns(key));
  }

  // columns are the year itself.
  async columns(key) {
    if (!this.years.has(key)) this.years.set(key, isUploaded(key) ? (await fetchJSON(`/v1/weather/${key}`)).data : await fetchJSON(`/page/places/${key}.json`));
    return this.years.get(key);
  }
}
