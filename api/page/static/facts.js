// What the service says of its inputs: the OpenAPI document and the catalogue.

import { split, walk } from './question.js';

export class Facts {
  constructor(openapi, catalogue) {
    this.schemas = openapi.components.schemas;
    this.entries = catalogue.entries;
    this.known = new Map();
  }

  // of is what is known of a path: unit, range, default, basis, choices, meaning;
  // null for a path that no request has.
  of(path) {
    const { rest } = split(path);
    if (!this.known.has(rest)) this.known.set(rest, this.find(rest));
    return this.known.get(rest);
  }

  find(path) {
    let schema = this.schemas.Request;
    let member = null;
    for (const token of path.split('.')) {
      const whole = this.resolve(schema);
      const object = whole.items ? this.resolve(whole.items) : whole; // a member of each item
      member = object.properties?.[token] ?? (isSchema(object.additionalProperties) ? object.additionalProperties : null);
      if (!member) return null;
      schema = member;
    }
    const types = [this.resolve(member).type].flat().filter((t) => t !== 'null');
    return {
      type: types[0],
      unit: member['x-unit'] ?? '',
      doc: member.description ?? '',
      basis: member['x-basis'] ?? '',
      default: member.default,
      choices: member.enum ?? null,
      low: member.minimum ?? member.exclusiveMinimum,
      high: member.maximum ?? member.exclusiveMaximum,
      lowOpen: member.minimum === undefined && member.exclusiveMinimum !== undefined,
      highOpen: member.maximum === undefined && member.exclusiveMaximum !== undefined,
    };
  }

  resolve(schema) {
    const ref = schema.$ref ?? schema.anyOf?.[0]?.$ref;
    return ref ? this.schemas[ref.split('/').at(-1)] : schema;
  }

  figure(name) {
    return this.schemas.Figures.properties[name.split('.')[0]]?.description ?? '';
  }

  // catalogueOf is the kind of catalogue entry that a path's key names.
  kinds(kind) {
    return this.entries.filter((e) => e.kind === kind);
  }

  entry(key) {
    return this.entries.find((e) => e.key === key);
  }

  // fromCatalogue is the value that a catalogue entry gives at a path.
  fromCatalogue(question, path) {
    const tokens = path.split('.');
    for (let n = tokens.length - 1; n > 0; n--) {
      const key = question.get(tokens.slice(0, n).join('.') + '.key');
      if (typeof key === 'string') return walk(this.entry(key)?.values, tokens.slice(n));
    }
    return undefined;
  }
}

const isSchema = (x) => x !== null && typeof x === 'object';
