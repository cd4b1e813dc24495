// A file dropped on the page, or chosen: it goes to the service, which keeps it and
// says whether it can be trusted.

import { element, fill } from './element.js';
import { words } from './strings.js';

// Upload sends one kind of file. query gives the parameters of a first try; retry,
// when the first was refused for want of one, those of a second, or null. done gets
// the answer and the file's name, and gives what to show under it.
export class Upload {
  constructor({ text, address, query, retry, done, beside = null }) {
    Object.assign(this, { address, query, retry, done });
    this.progress = element('progress', { max: 1, hidden: true, aria: { label: text } });
    this.report = element('div', { class: 'report', aria: { live: 'polite' } });
    const input = element('input', { type: 'file', class: 'unseen', on: { change: (e) => { this.take(e.target.files[0]); e.target.value = ''; } } });
    this.zone = element('label', { class: 'drop' }, input, text);
    this.root = element('div', { class: 'upload' }, this.zone, beside, this.progress, this.report);
  }

  // listen takes a file that is dropped anywhere on a group of inputs.
  listen(group) {
    const over = (e, is) => {
      e.preventDefault();
      this.zone.classList.toggle('over', is);
    };
    group.addEventListener('dragover', (e) => over(e, true));
    group.addEventListener('dragleave', (e) => over(e, false));
    group.addEventListener('drop', (e) => {
      over(e, false);
      this.root.closest('details').open = true;
      this.take(e.dataTransfer.files[0]);
    });
  }

  async take(file) {
    if (!file) return;
    this.progress.hidden = false;
    try {
      let [status, body] = await this.send(file, this.query());
      const again = status === 422 && this.retry(body);
      if (again) [status, body] = await this.send(file, { ...this.query(), ...again });
      fill(this.report, status < 300 ? await this.done(body, file.name) : [element('p', { class: 'problem' }, words.uploadRefused(file.name)),
        element('ul', {}, (body.faults?.length ? body.faults : [{ message: body.detail ?? body.title }]).slice(0, 5).map((f) => element('li', {}, [f.parameter, words.fault(f)].filter(Boolean).join(': '))))]);
    } catch (error) {
      fill(this.report, element('p', { class: 'problem' }, words.uploadBroken(file.name, error.message)));
    } finally {
      this.progress.hidden = true;
    }
  }

  // send posts the file; only this kind of request tells how far it is.
  send(file, query) {
    return new Promise((resolve, reject) => {
      const request = new XMLHttpRequest();
      request.open('POST', `${this.address}?${new URLSearchParams(query)}`);
      request.setRequestHeader('Accept', 'application/json');
      request.setRequestHeader('Content-Type', 'application/octet-stream');
      request.responseType = 'json';
      request.upload.addEventListener('progress', (e) => { this.progress.value = e.total ? e.loaded / e.total : 0; });
      request.addEventListener('load', () => (request.response ? resolve([request.status, request.response]) : reject(new Error(`HTTP ${request.status}`))));
      request.addEventListener('error', () => reject(new Error(words.noAnswer)));
      request.send(file);
    });
  }
}
