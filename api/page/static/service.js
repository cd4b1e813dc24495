// Asking the service: one question at a time, the newest wins, and a service
// that does not answer is asked again.

const patience = 400; // ms that a question may run on when a newer one waits
const firstWait = 1000;
const longestWait = 15000;

// Refused is a problem that asking again does not solve.
export class Refused extends Error {
  constructor(problem) {
    super(problem.detail || problem.title);
    this.problem = problem;
  }
}

// Away is a service that cannot answer now; wait is in ms, 0 when it did not say.
export class Away extends Error {
  constructor(message, wait = 0) {
    super(message);
    this.wait = wait;
  }
}

export async function fetchJSON(address, options = {}) {
  let response;
  try {
    response = await fetch(address, { ...options, headers: { Accept: 'application/json', ...options.headers } });
  } catch (cause) {
    if (cause.name === 'AbortError') throw cause;
    throw new Away(cause.message);
  }
  if (response.status === 429 || response.status >= 500) {
    throw new Away(`HTTP ${response.status}`, Number(response.headers.get('Retry-After')) * 1000 || 0);
  }
  try {
    const body = await response.json();
    if (!response.ok) throw new Refused(body);
    return body;
  } catch (cause) {
    if (cause instanceof Refused || cause.name === 'AbortError') throw cause;
    throw new Away(cause.message);
  }
}

export const postJSON = (address, body, signal) =>
  fetchJSON(address, { method: 'POST', body, signal, headers: { 'Content-Type': 'application/json' } });

// fetchLines reads a table that comes as a line of JSON for each row.
export async function fetchLines(address) {
  let response;
  try {
    response = await fetch(address, { headers: { Accept: 'application/x-ndjson' } });
  } catch (cause) {
    throw new Away(cause.message);
  }
  if (!response.ok) throw response.status === 429 || response.status >= 500 ? new Away(`HTTP ${response.status}`) : new Refused(await response.json());
  return (await response.text()).split('\n').filter(Boolean).map((line) => JSON.parse(line));
}

// Asker answers the newest question. answer(question, signal) does the asking and
// the showing; trouble(error) hears of every failure, null when it is over.
export class Asker {
  constructor(answer, trouble) {
    this.answer = answer;
    this.trouble = trouble;
    this.waiting = null;
    this.running = null;
    this.wait = 0;
    this.timer = 0;
  }

  ask(question) {
    this.waiting = question;
    clearTimeout(this.timer);
    if (!this.running) {
      this.run();
      return;
    }
    const slow = this.running;
    setTimeout(() => this.running === slow && this.waiting && slow.abort(), patience);
  }

  async run() {
    while (this.waiting) {
      const question = this.waiting;
      this.waiting = null;
      this.running = new AbortController();
      try {
        await this.answer(question, this.running.signal);
        this.wait = 0;
        this.trouble(null);
      } catch (error) {
        if (error.name !== 'AbortError') this.failed(question, error);
      } finally {
        this.running = null;
      }
    }
  }

  failed(question, error) {
    if (error instanceof Away && !this.waiting) {
      this.wait = error.wait || Math.min(this.wait * 2 || firstWait, longestWait);
      error.next = this.wait;
      this.timer = setTimeout(() => this.ask(question), this.wait);
    }
    this.trouble(error);
  }
}
