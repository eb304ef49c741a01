// What was logged on this phone, by user: it waits until the server names it, and is remembered until the server tells it.

import { got, ofUser, read, write } from "./store.js";

/** The form of a held day. Raise it with each change that a page could not open an older one after. */
const FORM = 1;
const BATCH = 100;
const LONGEST_WAIT_MS = 60_000;
const ASK_NO_MORE = ["signed_out", "other_user", "csrf"]; // time alone heals none of these

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

/** The running number after the last one. They begin at the clock's milliseconds, so that a phone that lost its storage
 * goes on above what it gave before: a correction under an old number would be taken for a repeat. */
const nextNumber = (last) => (last?.number ?? Date.now()) + 1;

const nameOf = ({ kind, id }) => `${kind} ${id}`;
const byNumber = (a, b) => a.number - b.number;
const differs = (one, other) => JSON.stringify(one) !== JSON.stringify(other);
/** What is told late, by another tab, must not put back what is known here: the number grows with each change, and what
 * was sent stays sent. */
const isNews = (record, held) => !held || held.number < record.number
  || (held.number === record.number && held.state !== "sent" && differs(record, held));
/** Whether an account tells of a shot or a skip of this ball that is none of `held`: of those the disk knows better, as
 * of one that was taken back since. */
const answers = ({ shots, skips }, asked, held) => [...shots, ...skips].some(({ id, ball, values }) =>
  (ball ?? values.ball) === asked && !held.some((item) => item.id === id));
const keptAt = (player) => `told.${player}`;
const workOf = (held) => (held?.form === FORM ? held.work : undefined);

export class Queue {
  trouble = null; // the last Refusal, null once something was answered
  discarded = new Set(); // what was let go of by hand: it can be put back while this page is open
  #records = new Map(); // the mirror of what the disk holds of this user, by kind and id
  #kept = new Map();
  #accounts = new Map(); // by player: when the server gave the account of the day that is shown here
  #failures = 0;
  #timer = 0;
  #sending = null;
  #askedMeanwhile = false;
  #closing = new AbortController();

  /** `send(items)` brings the answers or throws a Refusal; `changed({put, gone, kept, days}, elsewhere)` hears of whatever
   * is new, and whether another tab of this phone did it. Call `load` before anything else. */
  constructor({ user, send, changed }) {
    Object.assign(this, { user, send, changed });
    this.tabs = new BroadcastChannel(`ledger ${user}`);
    this.tabs.onmessage = ({ data }) => this.#learn(data, true);
    const isSeen = () => document.visibilityState === "visible";
    const again = () => isSeen() && this.flush();
    const { signal } = this.#closing;
    for (const news of ["online", "pageshow"]) addEventListener(news, again, { signal });
    // What another tab did was told while this one was put aside, or not at all.
    document.addEventListener("visibilitychange", () => isSeen() && this.load(true).then(again), { signal });
  }

  /** Read what the disk holds of this user; once more, `elsewhere`, what other tabs did. */
  async load(elsewhere = false) {
    this.#learn(await read(["items", "kept", "days"], async ({ items, kept, days }) => {
      const [put, values, ...later] = await Promise.all([
        ...[items, kept].map((store) => got(store.getAll(ofUser(this.user)))),
        ...[...this.#accounts.keys()].map((player) => this.#later({ days, kept }, player)),
      ]);
      return { put, kept: values, days: later.filter(Boolean) };
    }), elsewhere);
    return this;
  }

  /** The account of a player's day that another tab keeps, where it is later than the one shown here. */
  async #later({ days, kept }, player) {
    const told = await got(kept.get([this.user, keptAt(player)]));
    return told?.value > this.#accounts.get(player) && workOf(await got(days.get([this.user, player])));
  }

  /** Send and hear no more. What is being kept right now is still told: to the one that comes after it in this tab too. */
  close() {
    this.#closing.abort();
    this.tabs.onmessage = null;
    clearTimeout(this.#timer);
  }

  /** What was recorded here and is not in the server's own account of the day yet: waiting and sent. */
  get records() {
    return [...this.#records.values()].sort(byNumber);
  }

  /** What waits, in the order of running numbers. */
  get items() {
    return this.records.filter(({ state }) => state === "waiting");
  }

  get faulty() {
    return this.items.filter(({ fault }) => fault);
  }

  kept(name) {
    return this.#kept.get(name);
  }

  #learn({ put = [], gone = [], kept = [], days = [] }, elsewhere = false) {
    if (this.#closing.signal.aborted) return;
    const news = {
      put: put.filter((record) => isNews(record, this.#records.get(nameOf(record)))),
      gone,
      kept: kept.filter(({ name, value }) => differs(value, this.#kept.get(name))),
      days,
    };
    for (const record of news.put) this.#records.set(nameOf(record), record);
    for (const record of gone) this.#records.delete(nameOf(record));
    for (const { name, value } of news.kept) this.#kept.set(name, value);
    for (const { player, server_time_ms } of days) this.#accounts.set(player.id, server_time_ms);
    this.changed(news, elsewhere);
  }

  /** Take over what is on the disk now, and tell the other tabs. */
  #tell(news) {
    this.#learn(news);
    this.tabs.postMessage(news);
  }

  /** Keep values by name inside a transaction; a function makes one of what is held there, so that of two tabs neither
   * undoes what the other did. Returns the rows. */
  #put(store, values) {
    const { user } = this;
    return Promise.all(Object.entries(values).map(async ([name, given]) => {
      const value = typeof given === "function" ? given((await got(store.get([user, name])))?.value) : given;
      const row = { user, name, value };
      store.put(row);
      return row;
    }));
  }

  /** Keep an item on the phone, in place of an earlier revision, and values by name with it as `keep` does; then try to
   * send.
   *
   * Returns what was kept. With `once`, a ball, that is null where a shot or a skip of that ball is here already:
   * another tab was quicker. Throws when the phone is full. */
  async add(item, { kept = {}, once = null } = {}) {
    let quicker, rows, later;
    const record = await write(["items", "numbers", "kept", "days"], async (stores) => {
      const { user } = this;
      const { device } = item;
      const [same, held, last, account] = await Promise.all([
        once ? got(stores.items.index("ball").getAll([user, once])) : [],
        item.revision > 1 && got(stores.items.get([user, item.kind, item.id])),
        got(stores.numbers.get(device)),
        once && this.#later(stores, item.player),
      ]);
      quicker = same.filter(({ deleted }) => !deleted); // of all kinds only shots and skips are of a ball
      later = account ? [account] : [];
      // What another tab has let go of stands in the account that it kept.
      if (quicker.length || later.some((work) => answers(work, once, same))) return null;
      const number = nextNumber(last);
      const revision = Math.max(item.revision, (held?.revision ?? 0) + 1);
      const record = { ...item, revision, number, user, state: "waiting" };
      stores.numbers.put({ device, number });
      stores.items.put(record);
      rows = await this.#put(stores.kept, kept);
      return record;
    });
    if (quicker.length || later.length) this.#learn({ put: quicker, days: later });
    if (record) this.#tell({ put: [record], kept: rows });
    this.flush();
    return record;
  }

  /** Keep values by name that only this phone knows; a function is given the one that is held. */
  async keep(values) {
    this.#tell({ kept: await write(["kept"], ({ kept }) => this.#put(kept, values)) });
  }

  /** Keep an item that the server would not take as it is given: without its fault it is sent once more. It keeps its
   * number: it was done when it was done. */
  async putBack(record) {
    await write(["items"], async ({ items }) => items.put(record));
    this.discarded.delete(record);
    this.#tell({ put: [record] });
    this.flush();
  }

  /** Let go of an item that the server will not take. */
  async discard(record) {
    await write(["items"], async ({ items }) => items.delete([this.user, record.kind, record.id]));
    this.discarded.add(record);
    this.#tell({ gone: [record] });
  }

  // --- the server's account of the day

  /** The last one kept of a player, or undefined; also where an older version of this page kept it in another form. */
  async heldDay(player) {
    const work = workOf(await read(["days"], ({ days }) => got(days.get([this.user, player]))));
    if (work) this.#accounts.set(player, work.server_time_ms);
    return work;
  }

  /** Keep the server's account, and let go of `told`, the sent items that were there when it was asked for: it has
   * them. Returns the account to go by: where a later one was kept already, that one, and nothing is let go. */
  async keepDay(work, told) {
    const { user } = this;
    const player = work.player.id;
    const { server_time_ms } = work;
    const gone = told.filter((record) => record.player === player);
    const latest = await write(["days", "items", "kept"], async ({ days, items, kept }) => {
      const held = workOf(await got(days.get([user, player])));
      if (held?.server_time_ms > server_time_ms) return held;
      days.put({ user, player, form: FORM, work: { ...work, me: undefined } }); // who else is looked after is not kept
      await Promise.all([this.#letGo(items, gone), this.#put(kept, { [keptAt(player)]: server_time_ms })]);
      return work;
    });
    // Other tabs go on remembering until they ask for themselves: their account of the day is an older one.
    if (latest === work) this.#unlearn(gone);
    this.#accounts.set(player, latest.server_time_ms);
    return latest;
  }

  /** The players whose day is held. */
  async heldPlayers() {
    const keys = await read(["days"], ({ days }) => got(days.getAllKeys(ofUser(this.user))));
    return keys.map(([, player]) => player);
  }

  /** Let go of these players' days, and of what was sent or kept for them; what waits stays, also to be entered. */
  async forget(players) {
    if (!players.length) return;
    const { user } = this;
    const gone = this.records.filter(({ player, state }) => state === "sent" && players.includes(player));
    const names = [...this.#kept].filter(([name, value]) => {
      const [what, player] = name.split(".");
      return players.includes(player) && !(what === "later" && value?.length);
    }).map(([name]) => name);
    await write(["days", "items", "kept"], async ({ days, items, kept }) => {
      for (const player of players) days.delete([user, player]);
      for (const name of [...names, ...players.map(keptAt)]) kept.delete([user, name]);
      await this.#letGo(items, gone);
    });
    this.#unlearn(gone);
    this.#tell({ kept: names.map((name) => ({ name })) });
  }

  /** Delete records that are as they were from the disk. */
  #letGo(items, records) {
    return Promise.all(records.map(async ({ kind, id, number }) => {
      const now = await got(items.get([this.user, kind, id]));
      if (now?.number === number) items.delete([this.user, kind, id]);
    }));
  }

  #unlearn(records) {
    const ours = ({ kind, id, number }) => this.#records.get(nameOf({ kind, id }))?.number === number;
    for (const record of records.filter(ours)) this.#records.delete(nameOf(record));
  }

  // --- sending

  /** Send whatever waits. One sender at a time, over all tabs. */
  flush() {
    if (this.#closing.signal.aborted) return null;
    if (this.#sending) {
      this.#askedMeanwhile = true;
      return this.#sending;
    }
    const locked = (work) => (navigator.locks ? navigator.locks.request(`ledger ${this.user}`, work) : work());
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
    try {
      for (;;) {
        const batch = this.items.filter(({ fault }) => !fault).slice(0, BATCH);
        if (!batch.length || this.#closing.signal.aborted) break;
        // What is ours alone stays here.
        const answers = await this.send(batch.map(({ user, state, ...item }) => item));
        // A server that names nothing we sent would be asked for ever.
        if (!(await this.#settle(batch, answers))) return this.#tryLater();
        this.#failures = 0;
      }
      this.trouble = null;
    } catch (refusal) {
      if (!refusal.kind) console.error(refusal);
      this.trouble = refusal;
      if (!ASK_NO_MORE.includes(refusal.kind)) this.#tryLater();
    }
    this.changed({});
  }

  /** Mark what was answered. Where the disk holds something else by now, because another tab sent, changed or let go of
   * it, this tab takes that over: it may never have heard. Returns how many items are not as they were. */
  async #settle(batch, answers) {
    const news = await write(["items"], async ({ items }) => {
      const put = [], gone = [];
      await Promise.all(batch.map(async (item) => {
        const answer = answers.find((given) => nameOf(given) === nameOf(item));
        const told = answer && outcomeOf(item, answer);
        const held = await got(items.get([this.user, item.kind, item.id]));
        const isAsSent = held?.state === "waiting" && held.number === item.number;
        if (isAsSent && told) items.put(told);
        const now = isAsSent ? told : (held ?? (told?.state === "sent" && told));
        if (now) put.push(now);
        else if (!held) gone.push(item);
      }));
      return { put, gone };
    });
    this.#tell(news);
    return news.put.length + news.gone.length;
  }

  #tryLater() {
    const wait = Math.min(LONGEST_WAIT_MS, 2000 * 2 ** this.#failures++);
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.flush(), wait * (0.5 + Math.random() / 2));
  }
}

function outcomeOf(held, { result, reason }) {
  if (result === "rejected") return { ...held, fault: reason || "The server did not take it." };
  return ["stored", "duplicate"].includes(result) && { ...held, state: "sent" };
}

// --- who was here last

const WHO = ["", "me"];

/** The last handshake on this phone, without the right to send anything by it; or undefined. */
export async function lastHere() {
  return (await read(["kept"], ({ kept }) => got(kept.get(WHO))))?.value;
}

/** Remember who is here; null forgets it. What waits stays, for that person's next sign-in. */
export function rememberHere(me) {
  const [user, name] = WHO;
  const value = me && { ...me, csrf: undefined };
  return write(["kept"], async ({ kept }) => (me ? kept.put({ user, name, value }) : kept.delete(WHO)));
}

/** How much waits on this phone, whoever logged it. */
export async function waitingHere() {
  const held = await read(["items"], ({ items }) => got(items.getAll()));
  return held.filter(({ state }) => state === "waiting").length;
}
