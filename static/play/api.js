// Talks to the server: JSON only. A redirect, another content type or no reply at all counts as no answer.

const SLOW_MS = 20_000;

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
  if (reply.status === 401) throw new Refusal("signed_out", answer.message);
  if (reply.status === 403 && answer.error === "csrf") throw new Refusal("csrf", answer.message);
  if (!reply.ok) throw new Refusal(reply.status < 500 ? "refused" : "no_answer", answer.message);
  return answer;
}

/** The server as this page knows it: who is signed in, and how far the phone's clock is off. */
export class Server {
  me = null;
  offset_ms = 0;

  /** Ask who is signed in. The answer is taken over only if it is the same person as before. */
  async hello() {
    const asked = Date.now();
    const me = await ask("me.json");
    if (this.me && this.me.user !== me.user) throw new Refusal("other_user");
    this.me = me;
    // The server read its clock about half way between the question and the answer.
    this.offset_ms = Math.round(me.server_time_ms - (asked + Date.now()) / 2);
    return me;
  }

  work(player) {
    return ask(`work.json?player=${encodeURIComponent(player)}`);
  }

  /** Send items; return the answers. A stale token is renewed once, by a fresh handshake. */
  async send(items) {
    try {
      return await this.#post(items);
    } catch (refusal) {
      if (refusal.kind !== "csrf") throw refusal;
      await this.hello();
      return this.#post(items);
    }
  }

  async #post(items) {
    const headers = { "Content-Type": "application/json", "X-CSRFToken": this.me.csrf };
    const { answers } = await ask("../sync/", { method: "POST", headers, body: JSON.stringify({ items }) });
    if (!Array.isArray(answers)) throw new Refusal("no_answer");
    return answers;
  }
}
