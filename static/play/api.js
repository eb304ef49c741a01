// Talks to the server: JSON only. A redirect, another content type or no reply at all counts as no answer.

const SLOW_MS = 20_000;
const STEADY_MS = 1_000;

/** Why a request brought nothing: signed_out, csrf, other_user, refused (the server's own words) or no_answer. */
export class Refusal extends Error {
  constructor(kind, message = "") {
    super(message);
    this.kind = kind;
  }
}

async function ask(path, options = {}) {
  let reply, answer;
  try {
    reply = await fetch(path, {
      ...options,
      headers: { Accept: "application/json", ...options.headers },
      redirect: "error",
      cache: "no-store",
      signal: AbortSignal.timeout(SLOW_MS),
    });
    answer = (await reply.json()) ?? {};
  } catch {
    throw new Refusal("no_answer");
  }
  return understood(reply, answer);
}

function understood({ ok, status }, answer) {
  if (status === 401) throw new Refusal("signed_out", answer.message);
  if (status === 403 && answer.error === "csrf") throw new Refusal("csrf", answer.message);
  if (!ok) throw new Refusal(status < 500 ? "refused" : "no_answer", answer.message);
  return answer;
}

/** What early.js asked for, once; null where it asked nothing or got no answer. */
async function takeEarly() {
  const got = await globalThis.early;
  globalThis.early = null;
  return got;
}

/** Ask for something that tells who is signed in; with it comes how far the phone's clock is off. What was `held` of that
 * before stays while it can be right: else a late answer would let balls that were hit one by one change places. */
async function handshake(path, held) {
  // Where another tab has been here meanwhile, what it has sent since is not in the early answer.
  const early = path === "work.json" && !held ? await takeEarly() : null;
  const asked = early?.asked ?? Date.now();
  const answer = early ? understood(early.reply, early.answer) : await ask(path);
  const me = answer.me ?? answer;
  // The server read its clock before its answer came: a time of ours is never ahead of the server's, and behind it by the
  // answer's journey at most. One ahead would be set back when it arrives, and not when it is corrected later.
  const back = early?.back ?? Date.now();
  const offset_ms = Math.floor(me.server_time_ms - back);
  const steady = back - asked + STEADY_MS;
  me.offset_ms = Math.abs(offset_ms - held?.offset_ms) <= steady ? held.offset_ms : offset_ms;
  return answer;
}

/** The server as this page knows it: `me` is the last handshake, perhaps from before the page was opened. */
export class Server {
  me = null;

  get offset_ms() {
    return this.me?.offset_ms ?? 0;
  }

  /** A player's current work, and in `me` who is signed in, whom the caller has to compare. Where the player is not
   * theirs, the work of their own first player. */
  async work(player) {
    try {
      return await handshake(player ? `work.json?player=${encodeURIComponent(player)}` : "work.json", this.me);
    } catch (refusal) {
      if (refusal.kind !== "refused" || !player) throw refusal;
      return this.work();
    }
  }

  /** Send a user's items; return the answers. Nothing goes out under another person's sign-in. */
  async send(items, user) {
    if (!this.me.csrf) await this.#hello();
    try {
      return await this.#post(items, user);
    } catch (refusal) {
      if (refusal.kind !== "csrf") throw refusal;
      await this.#hello(); // a stale token is renewed once
      return this.#post(items, user);
    }
  }

  async #hello() {
    const me = await handshake("me.json", this.me);
    if (this.me.user !== me.user) throw new Refusal("other_user");
    this.me = me;
  }

  async #post(items, user) {
    if (this.me.user !== user) throw new Refusal("other_user");
    const headers = { "Content-Type": "application/json", "X-CSRFToken": this.me.csrf };
    const { answers } = await ask("../sync/", { method: "POST", headers, body: JSON.stringify({ items }) });
    if (!Array.isArray(answers)) throw new Refusal("no_answer");
    return answers;
  }
}
