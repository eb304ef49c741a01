// What was logged and is not yet with the server. An item is kept on the phone, by user, until the server names it.

const BATCH = 100;
const LONGEST_WAIT_MS = 60_000;

/** A UUID version 7 (RFC 9562, section 5.7): 48 bits of Unix milliseconds, then random bits. */
export function uuid7() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  new DataView(bytes.buffer).setUint16(0, Math.floor(Date.now() / 2 ** 32));
  new DataView(bytes.buffer).setUint32(2, Date.now() % 2 ** 32);
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/(.{8})(.{4})(.{4})(.{4})(.{12})/, "$1-$2-$3-$4-$5");
}

/** The next running number of this device. They begin at the clock's milliseconds, so that a phone that lost its
 * storage goes on above what it gave before: a correction under an old number would be taken for a repeat. */
export function nextNumber(device) {
  const key = `ledger.number.${device}`;
  const number = (Number(localStorage.getItem(key)) || Date.now()) + 1;
  localStorage.setItem(key, number);
  return number;
}

const sameItem = (a, b) => a.kind === b.kind && a.id === b.id;

export class Queue {
  trouble = null; // the last Refusal, null once something was answered
  #failures = 0;
  #timer = 0;
  #sending = null;
  #askedMeanwhile = false;

  /** `send(items)` brings the answers or throws a Refusal; `changed()` is called whenever there is news. */
  constructor({ user, send, changed }) {
    this.key = `ledger.queue.${user}`;
    this.send = send;
    this.changed = changed;
    const again = () => document.visibilityState === "visible" && this.flush();
    for (const news of ["online", "pageshow"]) addEventListener(news, again);
    document.addEventListener("visibilitychange", again);
    // Another tab of the same phone added or sent something.
    addEventListener("storage", (event) => event.key === this.key && this.changed());
  }

  get items() {
    return JSON.parse(localStorage.getItem(this.key) ?? "[]");
  }

  get faulty() {
    return this.items.filter((item) => item.fault);
  }

  #keep(items) {
    localStorage.setItem(this.key, JSON.stringify(items));
    this.changed();
  }

  /** Keep an item on the phone, in place of an earlier revision, then try to send. Throws when the phone is full. */
  async add(item) {
    this.#keep([...this.items.filter((held) => !sameItem(held, item)), item]);
    this.flush();
  }

  /** Let go of an item that the server will not take. */
  discard(item) {
    this.#keep(this.items.filter((held) => !sameItem(held, item)));
  }

  /** Send whatever waits. One sender at a time, over all tabs. */
  flush() {
    if (this.#sending) {
      this.#askedMeanwhile = true;
      return this.#sending;
    }
    const locked = (work) => (navigator.locks ? navigator.locks.request(this.key, work) : work());
    this.#sending = locked(() => this.#sendAll()).finally(() => this.#sent());
    return this.#sending;
  }

  /** What was added after the sender's last look must not wait for the next occasion. */
  #sent() {
    this.#sending = null;
    if (this.#askedMeanwhile) this.flush();
    this.#askedMeanwhile = false;
  }

  async #sendAll() {
    clearTimeout(this.#timer);
    for (;;) {
      const batch = this.items.filter((item) => !item.fault).slice(0, BATCH);
      if (!batch.length) {
        this.trouble = null;
        break;
      }
      try {
        const left = this.#settle(await this.send(batch));
        this.trouble = null;
        // A server that names nothing we sent would be asked for ever.
        if (!left) return this.#tryLater();
        this.#failures = 0;
      } catch (refusal) {
        this.trouble = refusal;
        if (refusal.kind === "no_answer" || refusal.kind === "refused") this.#tryLater();
        break;
      }
    }
    this.changed();
  }

  /** Drop what was answered, unless its revision has grown meanwhile; return how many items were dealt with. */
  #settle(answers) {
    const before = this.items;
    const after = before.flatMap((item) => {
      const answer = answers.find((given) => sameItem(given, item));
      if (!answer || item.revision > answer.revision) return [item];
      if (answer.result === "rejected") return [{ ...item, fault: answer.reason || "The server did not take it." }];
      return ["stored", "duplicate"].includes(answer.result) ? [] : [item];
    });
    this.#keep(after);
    const faulty = (items) => items.filter((item) => item.fault).length;
    return before.length - after.length + faulty(after) - faulty(before);
  }

  #tryLater() {
    const wait = Math.min(LONGEST_WAIT_MS, 2000 * 2 ** this.#failures++);
    this.#timer = setTimeout(() => this.flush(), wait * (0.5 + Math.random() / 2));
  }
}
