// What every page of ours begins with: the station and the places that it offers,
// what the service says of its inputs, and the question in the address.

import { Facts } from './facts.js';
import { Question } from './question.js';
import { fetchJSON } from './service.js';
import { locale, words } from './strings.js';
import { Units } from './units.js';
import { Weathers } from './weathers.js';

// speak puts the words of this language into the frame.
function speak() {
  document.documentElement.lang = locale.slice(0, 2);
  for (const e of document.querySelectorAll('[data-word]')) e.textContent = words.frame[e.dataset.word];
}

export async function open() {
  speak();
  const [station, places, openapi, catalogue] = await Promise.all(['/page/station.json', '/page/places.json', '/openapi.json', '/v1/catalogue'].map((a) => fetchJSON(a)));
  const question = new Question(station, places);
  question.read(location.hash);
  const weathers = new Weathers(places);
  await weathers.find(question.get('place')).catch(() => {}); // gone: the first place stands in
  return { question, weathers, facts: new Facts(openapi, catalogue), units: new Units(), assumed: new Map() };
}
