// Whether a part of the system is there at all.

import { element } from './element.js';

// Presence is a box that puts the part at a path in, as `fresh` or as it was when it was
// taken out, and takes it out.
export class Presence {
  constructor(context, path, text, fresh) {
    Object.assign(this, { context, path, last: fresh });
    this.box = element('input', { type: 'checkbox', id: 'has-' + path, aria: { describedby: `has-${path}-problem` }, on: { change: (e) => this.put(e.target.checked) } });
    this.problem = element('p', { class: 'problem', id: `has-${path}-problem`, hidden: true });
    this.root = element('div', { class: 'field check', data: { path } }, this.box, ' ', element('label', { for: this.box.id, title: context.facts.of(path).doc }, text), this.problem);
  }

  put(there) {
    if (!there) this.last = this.context.question.get(this.path) ?? this.last;
    this.context.change(this.path, there ? this.last : null);
  }

  there() {
    const at = this.context.question.merged('')[this.path];
    return at !== undefined && at !== null;
  }

  update() {
    this.box.checked = this.there();
  }

  fault(messages) {
    this.problem.hidden = messages.length === 0;
    this.problem.textContent = messages.join(' ');
  }
}
