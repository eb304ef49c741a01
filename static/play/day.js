// What was asked and what was done, as this phone knows it; and the one place where something new is recorded.

import { settled, stepOf } from "./cadence.js";
import { uuid7 } from "./queue.js";
import { waitingOf, waitingWith, waitingWithout, walkOf, walkWith } from "./waiting.js";
import { zoneOf, unitOf } from "./words.js";

const clock = (record) => Date.parse(record.at) + record.offset_ms;
const byTime = (a, b) => clock(a) - clock(b) || a.number - b.number;
const phoneTime = () => new Date().toISOString();
const localDay = (time) => new Date(time).toDateString();
const ITEMS = { strike: "strike_mark" }; // by quick log, where its item has another name
const isCounted = ({ log, logging }) => log !== "shots" || logging === "end";
const countOf = (block) => (block?.log === "shots" ? "tally" : "outcome");
const aimedAt = (values) => values.target || values.target_name || "";

export class Day {
  #records = new Map();
  home = "#/"; // where the addresses of this player's pages begin
  who = ""; // what the player is called, where somebody else logs
  flags = { helped: false, warm_up: false }; // stay as they are from ball to ball

  constructor({ server, queue, work }) {
    this.server = server;
    this.queue = queue;
    this.lastDone = null; // what "Undo" takes back
    this.take(work);
  }

  /** Take over the server's account of the day; what this phone recorded since is laid over it, the highest revision
   * wins. */
  take(work) {
    const { player, plan, blocks, clubs, swings, venues } = work;
    Object.assign(this, { work, player, plan, blocks, clubs, swings, venues });
    this.unit = unitOf(player.unit);
    this.rememberedVisit = work.visit;
    // Of visits the server tells the last one only: it does not replace what was recorded here.
    for (const [id, { kind }] of this.#records) if (kind !== "visit") this.#records.delete(id);
    for (const shot of work.shots) this.note({ kind: "shot", at: shot.hit_at, ...shot });
    for (const stop of work.stops) this.note({ kind: "stop", ...stop });
    for (const guess of work.guesses) this.note({ kind: "eye_check", ...guess });
    for (const [kind, items] of Object.entries(work.items)) for (const item of items) this.note({ kind, ...item });
    for (const { id, revision, ball } of work.skips) this.note({ kind: "skip", id, revision, values: { ball } });
    for (const record of this.queue.records) if (record.player === player.id) this.note(record);
  }

  /** Lay a record over what is known; returns whether that was not known. */
  note(record) {
    const { revision = 0 } = this.#records.get(record.id) ?? {};
    // Times from the server are by its own clock: no offset, and no running number before ours.
    if (record.revision >= revision) {
      this.#records.set(record.id, { deleted: false, at: "1970-01-01T00:00:00Z", offset_ms: 0, number: 0, ...record });
    }
    return record.revision > revision;
  }

  // --- what was done

  shotsOf(block) {
    const asked = new Set(block.balls.map((ball) => ball.id));
    return this.#live("shot").filter((record) => asked.has(record.values.ball)).sort(byTime);
  }

  shot(id) {
    return this.#records.get(id);
  }

  /** What closes today's balls: a stop of today by the phone's day, or by the academy's as the server told it today. */
  get stop() {
    const told = this.#isToday(this.work.server_time_ms) ? this.work.stops.map(({ id }) => this.shot(id)) : [];
    return [...told, ...this.today("stop")].find((record) => !record.deleted);
  }

  /** What was recorded of a kind and not taken back. */
  #live(kind) {
    return [...this.#records.values()].filter((record) => record.kind === kind && !record.deleted);
  }

  /** What of it was recorded today, in order. */
  today(kind) {
    return this.#live(kind).filter((record) => this.#isToday(clock(record))).sort(byTime);
  }

  #isToday(time) {
    return localDay(time) === localDay(this.now);
  }

  get now() {
    return Date.now() + this.server.offset_ms;
  }

  /** The balls that a live record of a kind is about. */
  #ballsOf(kind) {
    return new Set(this.#live(kind).map((record) => record.values.ball));
  }

  /** What was logged of a kind for a block, in order. */
  #of(kind, block) {
    return this.#live(kind).filter((record) => record.values.block === block.id).sort(byTime);
  }

  /** The balls of a block that need nothing more; of one with another quick log than shots what was logged so far. */
  answered(block) {
    if (block.log !== "shots") return this.#of(ITEMS[block.log] ?? block.log, block);
    if (block.logging === "end") return this.tally(block) ? block.balls : block.balls.slice(0, walkOf(this, block).hits.length);
    const hit = this.#ballsOf("shot");
    for (const { values } of waitingOf(this)) hit.add(values.ball);
    return settled(block, hit, this.#ballsOf("skip"));
  }

  /** Whether nothing is left to do in a block; one that is counted ends with its count. */
  isDone(block) {
    return isCounted(block) ? Boolean(this.tally(block)) : !this.step(block).length;
  }

  /** How many balls of a block were hit, logged or not. */
  hit(block) {
    if (isCounted(block)) return this.tally(block)?.values.balls ?? walkOf(this, block).hits.filter(Boolean).length;
    const skipped = this.#ballsOf("skip");
    return this.answered(block).filter((ball) => !skipped.has(ball.id)).length;
  }

  /** The balls to hit before the next result, the last of them to be logged; none when all are answered, or where no
   * single ball is. */
  step(block) {
    return block.log !== "shots" ? [] : stepOf(block, new Set(this.answered(block)));
  }

  block(id) {
    return this.blocks.find((block) => block.id === id);
  }

  blockOf(shot) {
    return this.blocks.find((block) => block.balls.some((ball) => ball.id === shot.values.ball));
  }

  club(id) {
    return this.clubs.find((club) => club.id === id);
  }

  // --- where the player stands

  /** The last visit, whether still going or only remembered. */
  get lastVisit() {
    const own = [...this.#records.values()].filter((record) => record.kind === "visit").sort(byTime).at(-1);
    if (own) return { id: own.id, started: clock(own), ...own.values };
    const held = this.rememberedVisit;
    return held && { ...held, ...held.values, started: Date.parse(held.started_at) };
  }

  /** Today's visit: a stay at the range does not go on overnight. */
  get visit() {
    const last = this.lastVisit;
    return last && this.#isToday(last.started) ? last : null;
  }

  place(visit = this.visit) {
    const venue = this.venues.find(({ id }) => id === visit?.venue);
    const line = venue?.tee_lines.find(({ id }) => id === visit.tee_line);
    return { venue, line, bay: line?.bays.find(({ id }) => id === visit.bay) };
  }

  /** Distances the player lasered in this visit, by target. They are the phone's own until a shot carries them. */
  lasered() {
    const held = this.queue.kept(this.#laserName);
    return held && held.visit === this.visit?.id ? held.distances : {};
  }

  get #laserName() {
    return `lasered.${this.player.id}`;
  }

  /** How far the ball's target is from where the player stands; null where nobody knows. */
  distance_m(ball) {
    const visit = this.visit;
    if (visit?.stand === "lasered" && this.lasered()[ball.target]) return this.lasered()[ball.target];
    const onLine = this.place().line?.targets.some(({ id }) => id === ball.target);
    if (ball.target_m === null || visit?.stand !== "offset" || !onLine) return ball.target_m;
    const angle = (ball.direction_deg * Math.PI) / 180;
    return Math.hypot(ball.target_m * Math.cos(angle) - visit.offset_m, ball.target_m * Math.sin(angle)) || null;
  }

  outsideArc(ball) {
    const { bay } = this.place();
    const { direction_deg: angle } = ball;
    return Boolean(bay && ball.target && (angle < bay.arc_left_deg || angle > bay.arc_right_deg));
  }

  /** What a result is entered against: a target at a known distance, a spot at none, or nothing (a stock ball). */
  askOf(block, values) {
    const target_m = values.target_m ?? null;
    const mode = target_m ? "target" : aimedAt(values) ? "spot" : "stock";
    const { unit } = this;
    const eye = values.measured_by === "eye";
    return { mode, target_m, unit, eye, hidden: Boolean(block && !block.number_shown && mode !== "stock"),
      zone_m: zoneOf(unit, target_m) };
  }

  // --- recording

  /** Record one thing: resolves to it once it is on the phone's disk, and it is sent when that is possible.
   *
   * `before` is the record that it corrects. `at` is the phone's time of what happened earlier than now. `kept` and
   * `once` as in `Queue.add`: null where `once` is a ball that was answered already, in another tab of this phone.
   * Throws when the phone's storage is full. */
  record(kind, values, { before = null, deleted = false, id = uuid7(), at = phoneTime(), ...keeping } = {}) {
    const { me, offset_ms } = this.server;
    // A correction keeps the time of the hit: the ball was hit when it was hit. What is known from the server alone has
    // the server's time, by its own clock; the time by the phone that hit it stays with the first revision.
    const time = { at: before?.at ?? at, offset_ms: before?.offset_ms ?? offset_ms };
    const revision = (before?.revision ?? 0) + 1;
    const item = { kind, id: before?.id ?? id, player: this.player.id, revision, deleted, device: me.device, ...time, values };
    return this.queue.add(item, keeping); // which tells us of it by `note`
  }

  /** What a shot at a ball says before its result is known. */
  begin(block, ball, club = ball.club) {
    const { id, measured_by, ball_type, surface, wind, wind_from } = this.visit;
    const aimed = aimedAt(ball);
    const values = {
      ball: ball.id, visit: id, club,
      target: ball.target, target_name: ball.target_name, target_m: this.distance_m(ball),
      elevation_m: aimed ? ball.elevation_m : null,
      // A swing was named for the club that was asked: another club at the same flag is hit by feel.
      swing: club === ball.club || !aimed ? ball.swing : "feel",
      number_shown: aimed ? block.number_shown : null,
      measured_by, ball_type, surface, wind, wind_from,
    };
    return { ...values, fresh: this.#isFresh(block, values) };
  }

  /** Club or target differs from the ball hit before it today, logged or not; the first ball of the day is fresh. */
  #isFresh(block, values) {
    const step = this.step(block);
    const before = step[step.findIndex(({ id }) => id === values.ball) - 1] ?? this.#lastHit();
    return !before || before.club !== values.club || aimedAt(before) !== aimedAt(values);
  }

  /** The last ball hit today, as asked where nothing was logged of it. */
  #lastHit() {
    const walked = this.blocks.filter(({ log, logging }) => log === "shots" && logging === "end").map((block) => {
      const { hits, at, offset_ms } = walkOf(this, block);
      const tally = this.tally(block);
      const last = hits.length ? hits.lastIndexOf(true) : (tally?.values.balls ?? 0) - 1;
      return { values: block.balls[last], at: at ?? tally?.at, offset_ms: offset_ms ?? tally?.offset_ms, number: 0 };
    });
    const hits = [...this.#live("shot"), ...waitingOf(this), ...walked.filter(({ values }) => values)].sort(byTime);
    return hits.findLast((hit) => this.#isToday(clock(hit)))?.values;
  }

  /** Record a ball's shot; null where another tab of this phone has answered the ball already. */
  async logShot(values, more) {
    return this.#done(await this.record("shot", values, { once: values.ball, ...more }));
  }

  async skip(ball) {
    return this.#done(await this.record("skip", { ball: ball.id }, { once: ball.id }));
  }

  #done(record) {
    if (record) this.lastDone = record;
    return record;
  }

  async correct(shot, values) {
    const now = await this.record("shot", values, { before: shot });
    if (this.lastDone?.id === shot.id) this.lastDone = now;
  }

  /** Something hurts: closes the day's balls. */
  stopToday(block) {
    return this.record("stop", { block: block?.id ?? null });
  }

  /** A guess is kept before the laser is read: it can neither be lost nor bettered. */
  guess(guess_m) {
    return this.record("eye_check", { guess_m, measured_m: null });
  }

  measure(guess, measured_m) {
    return this.record("eye_check", { ...guess.values, measured_m }, { before: guess });
  }

  /** Begin a visit, with the distances that were lasered for it, by target. */
  startVisit(values, distances) {
    const id = uuid7();
    return this.record("visit", values, { id, kept: { [this.#laserName]: { visit: id, distances } } });
  }

  /** Take back what was recorded: a new revision with the deleted mark, so that the server hears of it too. */
  async undo(record) {
    const { id, kind, values } = record;
    // A ball that had waited waits again.
    const kept = record.waited ? waitingWith(this, record.waited) : {};
    if (kind === "later") await this.queue.keep(waitingWithout(this, values.ball));
    else await this.record(kind, values, { before: this.shot(id) ?? record, deleted: true, kept });
    if (this.lastDone?.id === id) this.lastDone = null;
  }

  // --- what is logged afterwards

  /** Count a ball as hit, with its time and what is known of it so far. */
  async enterLater(block, ball, values) {
    const time = { at: phoneTime(), offset_ms: this.server.offset_ms, number: 0 };
    const entry = { kind: "later", id: ball.id, block: block.id, n: ball.n, ...time, values };
    await this.queue.keep(waitingWith(this, entry));
    return this.#done(entry);
  }

  /** Record the shot of a ball that waited: it leaves the waiting in the same transaction. */
  async enter(entry, values) {
    const kept = waitingWithout(this, values.ball);
    const shot = await this.record("shot", values, { at: entry.at, once: values.ball, kept });
    // Another tab was quicker: the ball is in, and waits no more.
    if (!shot) await this.queue.keep(kept);
    return this.#done(shot && { ...shot, waited: entry });
  }

  /** What was counted at the end of a block. */
  tally(block) {
    return this.#of(countOf(block), block).at(-1);
  }

  /** Go on in a block that is only counted; `hits` says of each ball so far whether it was hit. */
  walk(block, hits) {
    return this.queue.keep(walkWith(this, block, { hits, at: phoneTime(), offset_ms: this.server.offset_ms }));
  }

  /** Record how a block went, or, without one, what was hit beside the plan. */
  async count(block, values) {
    return this.#done(await this.log(countOf(block), { block: block?.id, ...values }, block && this.tally(block)));
  }

  /** Record practice that is no shot; `before` is the record that it corrects. */
  log(kind, values, before) {
    return this.record(kind, { visit: this.visit?.id ?? null, ...values }, { before });
  }
}
