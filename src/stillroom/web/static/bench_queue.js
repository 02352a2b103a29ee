// What was done at the bench, kept in this browser and sent to the book once, by id, until it is taken.
const KEY = 'stillroom.bench', CLOCK_KEY = 'stillroom.bench.clock';
const FIRST_RETRY_MS = 2000, LAST_RETRY_MS = 30_000;
const KEEP_MS = 12 * 3600 * 1000;
const SENT = ['id', 'run', 'kind', 'sitting', 'sheet', 'step', 'seconds', 'word', 'process', 'temperature_c'];

/** A one-time id; `randomUUID` is kept from pages that are not on a secure address. */
export function newId() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map(byte => byte.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}

/** The running line, its clock, what was asked once and what is still to be sent. */
export class Kept {
  constructor() {
    this.isKept = true;
    this.fresh();
    this.read();
  }

  fresh() {
    this.events = [];
    this.queue = [];
    this.told = {};
    this.clock = {};
    this.wishes = {};
    this.since = null;
  }

  /** Take over what this browser holds: another window of it may have written. */
  read() {
    try {
      const held = JSON.parse(localStorage.getItem(KEY) ?? 'null');
      if (held?.version === 1) Object.assign(this, held.line);
      this.clock = JSON.parse(localStorage.getItem(CLOCK_KEY) ?? '{}');
    } catch { this.isKept = false; }
  }

  write() {
    const { events, queue, told, wishes, since } = this;
    try {
      localStorage.setItem(KEY, JSON.stringify({ version: 1, line: { events, queue, told, wishes, since } }));
      this.isKept = true;
    } catch { this.isKept = false; }
  }

  /** The last moment seen, often: after a reload it tells whether the clock was set back. */
  writeClock(clock) {
    this.clock = clock;
    try { localStorage.setItem(CLOCK_KEY, JSON.stringify(clock)); } catch { this.isKept = false; }
  }

  /** Let go of runs that ended long ago and have nothing left to send. */
  prune(line, now) {
    const owed = new Set(this.queue.map(event => event.run));
    const over = new Set(line.runs.filter(run => run.endedAt !== null && now - run.endedAt > KEEP_MS && !owed.has(run.id)).map(run => run.id));
    if (!over.size) return;
    this.events = this.events.filter(event => !over.has(event.run));
    for (const run of over) delete this.told[run];
  }
}

export class Sender {
  /**
   * @param {Kept} kept Whose queue is sent.
   * @param {string} address Where to.
   * @param {{onChange: () => void, onRefused: (sentence: string) => void, now: () => number}} hooks
   */
  constructor(kept, address, hooks) {
    this.kept = kept;
    this.address = address;
    this.hooks = hooks;
    this.isSending = false;
    this.wait = FIRST_RETRY_MS;
    this.timer = 0;
    addEventListener('online', () => this.soon());
  }

  soon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.send(), 0);
  }

  /** What has happened by now; a begin that is still to come waits. */
  due() { return this.kept.queue.filter(event => event.at <= this.hooks.now()); }

  async send() {
    const events = this.due();
    if (this.isSending || !events.length) return;
    this.isSending = true;
    let again = 0;
    try {
      const answer = await fetch(this.address, {
        method: 'POST',
        headers: { 'Content-Type': 'application/json', Accept: 'application/json' },
        body: JSON.stringify({ events: events.map(asSent) }),
        redirect: 'error',
      });
      if (!answer.ok) throw new Error(`answered ${answer.status}`);
      this.taken(await answer.json());
      this.wait = FIRST_RETRY_MS;
      this.kept.since = null;
    } catch {
      this.kept.since ??= this.hooks.now();
      again = this.wait;
      this.wait = Math.min(LAST_RETRY_MS, this.wait * 2);
    } finally {
      this.isSending = false;
    }
    this.kept.write();
    this.hooks.onChange();
    if (again) this.timer = setTimeout(() => this.send(), again);
    else if (this.due().length) this.soon();
  }

  taken({ taken = [], refused = [] }) {
    const gone = new Set([...taken, ...refused.map(one => one.id)]);
    if (!gone.size) throw new Error('nothing was taken');
    this.kept.queue = this.kept.queue.filter(event => !gone.has(event.id));
    for (const { sentence } of refused) this.hooks.onRefused(sentence);
  }
}

function asSent(event) {
  const sent = Object.fromEntries(SENT.filter(name => event[name] !== undefined && event[name] !== null).map(name => [name, event[name]]));
  return { ...sent, at: new Date(event.at).toISOString() };
}
