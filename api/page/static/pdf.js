// The report as a PDF that the service writes.

import { element } from './element.js';
import { answer } from './picture.js';
import { sides } from './question.js';
import { words } from './strings.js';

const address = (picture, units, paper) => `/v1/simulations/${picture.answers.a.hash}/report.pdf?${new URLSearchParams({ against: picture.answers.b.hash, paper, units: units.system })}`;

// pdfLink opens the report of a picture. A service that no longer keeps the answers
// is asked the question again first.
export function pdfLink(picture, { units, weathers }, paper) {
  const link = element('a', { class: 'pdf', href: address(picture, units, paper), target: '_blank', rel: 'noopener', on: {
    click: async (event) => {
      if (link.dataset.ready) return;
      event.preventDefault();
      const kept = await Promise.all(sides.map((s) => fetch(`/v1/simulations/${picture.answers[s].hash}`, { method: 'HEAD' }).catch(() => ({ ok: false }))));
      if (!kept.every((r) => r.ok)) await answer(picture.asked, weathers).catch(() => {}); // then the service says what is wrong
      link.dataset.ready = 'yes';
      link.click();
      delete link.dataset.ready;
    },
  } }, words.papersToPrint[paper]);
  return link;
}

