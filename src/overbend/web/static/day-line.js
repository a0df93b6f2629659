// @ts-check
/**
 * The line of a steam day: what happened, as the server has it, and what it does not have yet.
 *
 * What is ticked is kept on the device until the server says it has it; its name makes sending
 * it twice harmless. Times are the server's, so that two devices agree.
 */

/** @typedef {{uid: string, at: number, what: string, step: string, text: string, who: string}} Happening */

const POLL = 3000;
const WAIT = 8000; // ms until an answer counts as lost

export class Line {
  /** @param {string} id @param {number} run @param {() => void} changed */
  constructor(id, run, changed) {
    this.place = id.split("/").map(encodeURIComponent).join("/");
    this.run = run;
    this.changed = changed;
    this.key = `day-${id}-${run}`;
    /** @type {Happening[]} */
    this.known = [];
    /** @type {Happening[]} */
    this.waiting = this.remembered();
    this.offset = 0; // s, the server's clock against this one
    this.trip = Infinity; // s, of the answer the offset is from
    this.answers = 0;
    this.up = true;
    this.locked = false;
    this.busy = false;
    this.lost = false; // something kept here was not taken
    this.singly = false; // one by one, after the server could not read several
  }

  /** @returns {Happening[]} */
  remembered() {
    try {
      const found = JSON.parse(localStorage.getItem(this.key) ?? "[]");
      return found.filter((/** @type {any} */ e) => [e?.uid, e?.what, e?.step, e?.text].every((v) => typeof v === "string") && typeof e.at === "number");
    } catch { return []; }
  }

  remember() {
    try { localStorage.setItem(this.key, JSON.stringify(this.waiting)); } catch { /* private windows may refuse */ }
  }

  /** Seconds since 1970 by the server's clock. */
  now() { return Date.now() / 1000 + this.offset; }

  /** Everything that happened, sent or not, without what was taken back. @returns {Happening[]} */
  all() {
    const names = new Set(this.known.map((e) => e.uid));
    const every = [...this.known, ...this.waiting.filter((e) => !names.has(e.uid))];
    const back = new Set(every.filter((e) => e.what === "back").map((e) => e.text));
    return every.filter((e) => e.what !== "back" && !back.has(e.uid));
  }

  /** @param {string} what @param {string} step @param {string} [text] */
  add(what, step, text = "") {
    const bytes = crypto.getRandomValues(new Uint8Array(16)); // randomUUID asks for a secure page
    const uid = Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
    this.waiting.push({ uid, at: this.now(), what, step, text, who: "" });
    this.remember();
    this.changed();
    this.sync();
  }

  start() {
    this.sync();
    setInterval(() => this.sync(), POLL);
    addEventListener("online", () => this.sync());
    document.addEventListener("visibilitychange", () => { if (!document.hidden) this.sync(); });
  }

  async sync() {
    if (this.busy) return;
    this.busy = true;
    const sent = this.waiting.slice(0, this.singly ? 1 : 100);
    try {
      const asked = Date.now() / 1000;
      const answer = sent.length ? await this.send(sent) : await this.ask();
      this.locked = answer.status === 403 || answer.redirected;
      if (this.locked) throw new Error("locked");
      if (answer.status >= 500) throw new Error("down");
      if (answer.ok) this.heard(await answer.json(), asked);
      else this.refused(sent);
    } catch { this.up = false; }
    this.busy = false;
    this.changed();
    if (this.up && this.waiting.length && this.waiting.length !== sent.length) this.sync();
  }

  /** @param {{events: Happening[], had: string[], now: number}} said @param {number} asked */
  heard(said, asked) {
    if (said.now) this.compare(said.now, asked, Date.now() / 1000);
    this.answers += 1;
    this.up = true;
    this.known = said.events;
    const had = new Set([...said.had, ...said.events.map((e) => e.uid)]);
    this.waiting = this.waiting.filter((e) => !had.has(e.uid));
    this.remember();
  }

  /** The quickest answer says best how the clocks differ, until one of them is set. @param {number} there @param {number} asked @param {number} got */
  compare(there, asked, got) {
    const trip = got - asked;
    const offset = there - 0.5 * (asked + got);
    const set = Math.abs(offset - this.offset) > trip + this.trip; // more than two trips explain
    if (trip < 0 || (trip > this.trip && !set)) return;
    this.trip = trip;
    this.offset = offset;
  }

  /** What cannot be read is sent one by one, and only what is refused by itself is let go, and said. @param {Happening[]} sent */
  refused(sent) {
    this.up = true;
    this.lost = this.lost || sent.length === 1;
    if (sent.length === 1) this.heard({ events: this.known, had: [sent[0].uid], now: 0 }, 0);
    this.singly = sent.length > 1 || this.waiting.length > 0;
  }

  ask() { return fetch(`/day-state/${this.place}?run=${this.run}`, { signal: AbortSignal.timeout(WAIT) }); }

  /** @param {Happening[]} events */
  send(events) {
    return fetch(`/day-events/${this.place}`, {
      method: "POST", headers: { "content-type": "application/json" }, signal: AbortSignal.timeout(WAIT),
      body: JSON.stringify({ run: this.run, events }),
    });
  }
}
