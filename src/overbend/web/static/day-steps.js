// @ts-check
/** A day's steps: which comes next, what its clock shows. Plain functions of plan and events. */

/** @typedef {import("./day-line.js").Happening} Happening */
/** @typedef {{key: string, part: string, number: number, pieces: number, bender: number, into: number, out: number}} Batch */
/** @typedef {{big: string, long: boolean, due: boolean, under: string, spent?: number}} Clock */

/** Minutes and seconds, hours where there are any. @param {number} seconds */
export function clockText(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  const h = Math.floor(whole / 3600), m = Math.floor((whole % 3600) / 60), s = String(whole % 60).padStart(2, "0");
  return h ? `${h}:${String(m).padStart(2, "0")}:${s}` : `${m}:${s}`;
}

/** A length of time: seconds while they are few. @param {number} seconds */
export function spanText(seconds) { return seconds < 120 ? `${Math.floor(seconds)} s` : clockText(seconds); }

/** Time of day. @param {number} at seconds since 1970 */
export function timeOfDay(at) {
  const day = new Date(1000 * at);
  return `${String(day.getHours()).padStart(2, "0")}:${String(day.getMinutes()).padStart(2, "0")}`;
}

export class Day {
  /** @param {any} plan @param {string[]} steps @param {Happening[]} events */
  constructor(plan, steps, events) {
    this.plan = plan;
    this.steps = steps;
    this.events = events;
    /** @type {Map<string, Happening>} */
    this.ticks = new Map();
    for (const e of events) if (e.what === "tick" && !this.ticks.has(e.step)) this.ticks.set(e.step, e);
  }

  /** @param {string} step @returns {Batch | undefined} */
  batch(step) {
    const key = step.slice(step.indexOf(":") + 1);
    return this.plan.batches.find((/** @type {Batch} */ b) => b.key === key);
  }

  /** @param {string} step */
  part(step) { return this.plan.parts[this.batch(step)?.part ?? ""]; }

  /** Steps of one bender, 0 for all; those of nobody's are everybody's. @param {number} bender */
  of(bender) {
    return this.steps.filter((s) => !bender || !s.includes(":") || this.batch(s)?.bender === bender);
  }

  /** The step that is next. @param {number} bender @returns {string} */
  current(bender) { return this.of(bender).find((s) => !this.ticks.has(s)) ?? ""; }

  /** The event that was ticked last before a step. @param {number} bender */
  before(bender) {
    const done = this.of(bender).filter((s) => this.ticks.has(s));
    return this.ticks.get(done[done.length - 1] ?? "");
  }

  /** Seconds since 1970 at which a step is due; NaN when that is not known yet. @param {string} step */
  due(step) {
    const batch = this.batch(step);
    if (!batch) return NaN;
    if (step.startsWith("in:")) {
      const first = this.steps.find((s) => s.startsWith("in:")) ?? "";
      const at = this.ticks.get(first)?.at;
      return at === undefined ? NaN : at + 60 * (batch.into - (this.batch(first)?.into ?? 0));
    }
    const into = this.ticks.get(`in:${batch.key}`)?.at;
    return into === undefined ? NaN : into + 60 * this.part(step).minutes;
  }

  /** Batches that are in the box: gone in, not yet out. @returns {Batch[]} */
  inside() {
    return this.plan.batches.filter((/** @type {Batch} */ b) => this.ticks.has(`in:${b.key}`) && !this.ticks.has(`out:${b.key}`));
  }

  /** @param {string} key */
  cracked(key) { return this.events.filter((e) => e.what === "cracked" && e.step === key); }

  /** Seconds out of the box. @param {string} step @param {number} now */
  outside(step, now) {
    const out = this.ticks.get(`out:${this.batch(step)?.key}`)?.at;
    return out === undefined ? 0 : Math.max(0, now - out);
  }
}

/** Holds, close or fails: a time against a window. @param {number} seconds @param {{low: number, high: number}} window */
export function judged(seconds, window) {
  return seconds <= window.low ? "holds" : seconds <= window.high ? "close" : "fails";
}
