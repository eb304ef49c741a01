// A coach's device that logs for up to eight players: tap the name, tap the result.

import { Refusal } from "./api.js";
import { lastBar } from "./ball.js";
import { LOGGED } from "./cadence.js";
import { button, el, link, select, toggle } from "./dom.js";
import { finishing } from "./entry.js";
import { faultyList } from "./faulty.js";
import { Member } from "./member.js";
import { placeInWords } from "./plan.js";
import { visitPage } from "./visit.js";
import { waitingOf } from "./waiting.js";
import { plural } from "./words.js";

const MOST = 8;

const NOBODY = { players: [], blocks: {}, shared: null, visit: null }; // what is kept of a group, before it is one

const groups = new WeakMap(); // by queue

/** The page of the group, or of one of its players; `here` is what the frame knows, `route` what follows "#/group". */
export function groupPage(here, route, tools) {
  const { queue } = here;
  if (!groups.has(queue)) groups.set(queue, new Group(here, tools));
  const group = groups.get(queue);
  if (!group.ready) return el("p", { class: "lead" }, "Opening the group …");
  const [where, ...rest] = route;
  if (where === "choose" || !group.members.length) return choosePage(group, tools);
  if (where === "visit" || rest[0] === "visit" || !group.visit) return groupVisit(group, tools);
  const member = group.of(where);
  return member ? memberPage(group, member, rest, tools) : tilesPage(group, tools);
}

/** Ask the server for the work of all whom this device holds. */
export const refreshGroup = (queue) => groups.get(queue)?.refresh();

class Group {
  members = [];
  ready = false;

  constructor(here, tools) {
    Object.assign(this, here, { tools });
    this.#load();
  }

  get kept() {
    return { ...NOBODY, ...this.queue.kept("group") };
  }

  keep(change) {
    return this.queue.keep({ group: (held) => ({ ...NOBODY, ...held, ...change }) });
  }

  of(id) {
    return this.members.find(({ player }) => player.id === id);
  }

  async #load() {
    const held = await Promise.all(this.kept.players.map((id) => this.queue.heldDay(id)));
    for (const work of held.filter(Boolean)) this.#hold(work);
    this.#settle();
    this.ready = true;
    this.tools.redraw();
    await this.refresh();
  }

  #hold(work) {
    const { server, queue } = this;
    const member = new Member({ server, queue, work });
    this.members.push(member);
    this.days.set(member.home, member); // which hears of what is logged
  }

  /** What follows from who is in it: what they are called, and who hits whose block. */
  #settle() {
    const { players, shared } = this.kept;
    this.members.sort((a, b) => players.indexOf(a.player.id) - players.indexOf(b.player.id));
    const names = this.members.map(({ player }) => player.name);
    const first = (name) => name.split(" ")[0];
    const isOnly = (name, all) => all.filter((each) => each === name).length === 1;
    const owner = shared && this.of(shared.owner);
    const block = owner?.work.blocks.find(({ id }) => id === shared.block);
    this.members.forEach((member, i) => {
      const name = names[i];
      const whole = isOnly(name, names) ? name : `${name} (${names.slice(0, i + 1).filter((each) => each === name).length})`;
      member.who = isOnly(first(name), names.map(first)) ? first(name) : whole;
      member.share(owner, block);
      member.lastDone ??= lastOf(member);
    });
    this.shared = block ?? null;
  }

  // --- who is in it

  /** Hold the work of these players, and let the others go. Returns what could not be done, in words. */
  async choose(players) {
    const told = [];
    for (const { id, name } of players.filter(({ id }) => !this.of(id))) {
      const work = await this.#ask(id);
      const [other] = this.members;
      if (!work) told.push(`${name} is not on the roster any more.`);
      else if (other && other.player.academy !== work.player.academy) {
        told.push(`${name} is at another academy: log for them in a group of their own.`);
      } else await this.#join(work);
    }
    const ids = players.map(({ id }) => id).filter((id) => this.of(id));
    this.members = this.members.filter(({ player }) => ids.includes(player.id));
    this.last = null;
    await this.keep({ players: ids });
    this.#settle();
    await this.#tidy();
    await this.tools.remember();
    return told.join(" ");
  }

  async #join(work) {
    this.#hold(work);
    await this.keep({ players: [...this.kept.players, work.player.id] });
    const { visit } = this;
    if (visit) await this.members.at(-1).startVisit(visit.values, visit.distances);
  }

  /** Whose day is held and who is not in it any more leaves nothing behind, once all of theirs is sent. */
  async #tidy() {
    const { queue, server } = this;
    const own = [...this.kept.players, ...server.me.players.map(({ id }) => id)];
    const waits = (id) => queue.items.some(({ player }) => player === id) || queue.kept(`later.${id}`)?.length;
    const gone = (await queue.heldPlayers()).filter((id) => !own.includes(id) && !waits(id));
    await queue.forget(gone);
    for (const id of gone) this.days.delete(`#/group/${id}/`);
  }

  // --- what the server says of them

  /** Ask for a player's work and keep it; null where the player is not this coach's any more. */
  async #ask(id) {
    const { queue, server } = this;
    const told = queue.records.filter(({ state }) => state === "sent");
    const work = await server.work(id);
    if (work.me.user !== queue.user) throw new Refusal("other_user");
    if (work.player?.id !== id) return null;
    return queue.keepDay(work, told);
  }

  /** The server names the player no more. */
  async #lose({ player, home }) {
    this.members = this.members.filter((member) => member.home !== home);
    this.days.delete(home);
    await this.keep({ players: this.kept.players.filter((id) => id !== player.id) });
  }

  async refresh() {
    try {
      for (const member of [...this.members]) {
        const work = await this.#ask(member.player.id);
        if (work) member.take(work);
        else await this.#lose(member);
      }
      await this.#tidy();
    } catch (refusal) {
      if (!refusal.kind) throw refusal; // with no signal all stays as it is
    }
    this.#settle();
    this.tools.news();
  }

  // --- where they are, and what they hit

  /** Today's visit of all. */
  get visit() {
    const { visit } = this.kept;
    return visit?.on === this.#today ? visit : null;
  }

  get #today() {
    return new Date(Date.now() + this.server.offset_ms).toDateString();
  }

  async startVisit(values, distances) {
    for (const member of this.members) await member.startVisit(values, distances);
    await this.keep({ visit: { on: this.#today, values, distances } });
  }

  /** The block that a player is in: the shared one, else the one chosen, else the first that is not done. */
  blockOf(member) {
    if (this.shared) return member.block(this.shared.id);
    const left = member.blocks.filter((block) => !member.isDone(block));
    return left.find(({ id }) => id === this.kept.blocks[member.player.id]) ?? left[0] ?? member.blocks[0];
  }

  async shareBlock(told) {
    const [owner, block] = told.split(" ");
    await this.keep({ shared: block ? { owner, block } : null });
    this.#settle();
  }
}

/** The last of today's shots that may be corrected here: what "Undo" takes back in a page that was opened anew. */
function lastOf(member) {
  const since = member.visit?.started ?? Infinity;
  const shots = member.blocks.flatMap((block) => member.shotsOf(block));
  return shots.filter(({ at, may_correct }) => may_correct !== false && Date.parse(at) >= since)
    .sort((a, b) => Date.parse(a.at) - Date.parse(b.at)).at(-1) ?? null;
}

// --- pages

function choosePage(group, tools) {
  const { squad, csrf } = group.server.me;
  group.wanted ??= new Set(group.members.map(({ player }) => player.id));
  const { wanted } = group;
  const told = el("p", { class: "says", role: "status" });
  const count = () => {
    const full = wanted.size === MOST;
    told.textContent = `${wanted.size} of ${MOST} chosen.${full ? " To choose another, take somebody off." : ""}`;
    for (const input of box.querySelectorAll("input")) input.disabled = full && !input.checked;
  };
  const chip = ({ id, name }) => toggle(name, wanted.has(id), (on) => {
    wanted[on ? "add" : "delete"](id);
    count();
  });
  const hold = async () => {
    try {
      told.textContent = "Fetching their blocks …";
      box.inert = true;
      const missed = await group.choose(squad.filter(({ id }) => wanted.has(id)));
      if (!missed) group.wanted = null;
      if (missed) told.textContent = missed;
      else tools.go("#/group");
    } catch (refusal) {
      if (!refusal.kind) throw refusal;
      told.textContent = "No answer. Choose players where there is a signal: from then on none is needed.";
    } finally {
      box.inert = false;
    }
  };
  const box = el("div", {}, el("div", { class: "tiles" }, squad.map(chip)), told,
    el("div", { class: "bottom" }, button("Hold them on this device", hold, "big")));
  count();
  return el("article", {},
    el("h1", { tabindex: -1 }, "Who is in the group?"),
    el("p", {}, `Up to ${MOST}. Their blocks are held on this device: from then on it works with no signal.`),
    !csrf && el("p", { class: "caution" }, "With no signal only those are listed whom this device holds."),
    box, foot(group));
}

const foot = ({ server }) => el("p", { class: "soft" }, `Signed in as ${server.me.name}. `,
  link("Players", "../players/"), " · ", link("Devices and sign-out", "../devices/"));

/** One visit for all: it is asked as of the first player. */
function groupVisit(group, tools) {
  const [first] = group.members;
  const { venues, unit } = first;
  const last = group.kept.visit?.values ?? first.lastVisit;
  const all = { venues, unit, lastVisit: last, visit: group.visit?.values, lasered: () => group.visit?.distances ?? {},
    startVisit: (...given) => group.startVisit(...given) };
  return visitPage(all, { ...tools, go: () => tools.go("#/group"), venue: group.blockOf(first)?.venue });
}

function tilesPage(group, tools) {
  const { members, server } = group;
  const done = members.filter(({ lastDone }) => lastDone);
  const last = group.last?.lastDone ? group.last : done.sort((a, b) => a.lastDone.at.localeCompare(b.lastDone.at)).at(-1);
  const { box } = finishing(group.last ?? members[0], tools); // a second tap after a save opens nobody
  box.append(el("ul", { class: "tiles" }, members.map((member) => el("li", {}, tile(group, member)))));
  const block = last && (last.blockOf(last.lastDone) ?? last.block(last.lastDone.values.block));
  return el("article", {},
    el("h1", { tabindex: -1 }, "Who hits?"),
    el("p", {}, `Logging as ${server.me.name} for ${plural(members.length, "player")}. `),
    box,
    faultyList(group, (id) => group.of(id), tools),
    whoseBlock(group, tools),
    el("p", {}, `You are at ${placeInWords(members[0])}. `, link("Change", "#/group/visit")),
    el("div", { class: "under" }, link("Choose players", "#/group/choose", "button second")),
    foot(group),
    block ? lastBar(last, block, tools) : "");
}

/** A player's name and next ball; it leads to where the result is tapped. */
function tile(group, member) {
  const block = group.blockOf(member);
  const step = block && !member.stop ? member.step(block) : [];
  const wait = waitingOf(member).length;
  const quick = block && block.log !== "shots" && !member.stopped && !member.isDone(block) && block;
  const isOver = !step.length && !quick;
  return el("a", { class: isOver ? "tile over" : "tile", href: member.home + (block ? `block/${block.id}` : "") },
    el("strong", {}, member.who), " ",
    isOver ? el("span", {}, whyOver(group, member, block))
      : quick ? el("span", {}, quick.title) : nextOf(member, block, step),
    wait > 0 && el("span", {}, ` ${wait} to enter`));
}

function whyOver(group, member, block) {
  if (member.stop) return "stopped: something hurts";
  if (block) return member.isDone(block) ? "done" : "to be counted";
  return group.shared ? "no clubs in the bag" : "nothing planned";
}

function nextOf(member, block, step) {
  const ball = step.at(-1);
  const distance_m = block.number_shown && member.distance_m(ball);
  const n = step.length > 1 ? `Balls ${step[0].n} to ${ball.n}` : `Ball ${ball.n}`;
  return [
    el("b", {}, member.club(ball.club)?.label ?? "club"), " ",
    el("span", {}, ball.target_name || "no target", " ",
      distance_m && el("span", { class: "figure" }, member.unit.show(distance_m))), " ",
    el("span", { class: "soft" }, `${n} of ${block.balls.length}`),
  ];
}

/** Each the own block, or one for all. What is counted at its end says nothing of a single ball: it is not shared. */
function whoseBlock(group, { redraw, warn }) {
  const blocks = group.members.flatMap((owner) => owner.work.blocks.filter(({ log, logging }) => log === "shots" && logging !== "end")
    .map((block) => [`${owner.player.id} ${block.id}`, `all share: ${block.title} (${owner.who})${LOGGED[block.logging] ?? ""}`]));
  const { shared } = group.kept;
  const chosen = group.shared ? `${shared.owner} ${shared.block}` : "";
  const choice = select("Which block?", [["", "each their own"], ...blocks], chosen,
    () => group.shareBlock(choice.value()).then(redraw, warn));
  return [choice.node, shared && !group.shared
    && el("p", { class: "caution" }, "The block that all shared is not in the plan now: each has their own.")];
}

function memberPage(group, member, route, tools) {
  const [where, id, part] = route;
  const block = where === "block" ? member.block(id) : null;
  if (block && !group.shared && group.kept.blocks[member.player.id] !== id) {
    group.keep({ blocks: { ...group.kept.blocks, [member.player.id]: id } });
  }
  const isBall = block?.log === "shots" && !part;
  const back = () => {
    group.last = member;
    tools.go("#/group");
  };
  const page = tools.pageOf(member, route, { ...tools, undone: tools.redraw,
    say: (text) => tools.say(`${member.who}: ${text}`),
    redraw: isBall ? back : tools.redraw });
  const heading = page.querySelector("h1");
  if (heading?.textContent !== member.player.name) heading?.prepend(el("span", { class: "who" }, member.who), " ");
  if (isBall && member.work.blocks.length > 1) {
    page.querySelector(".care")?.before(el("p", {}, link(`${member.who}'s blocks`, member.home, "button second")));
  }
  const instead = isBall && member.step(block).at(-1)?.instead;
  if (instead) page.querySelector(".ask")?.append(el("p", { class: "caution" }, `Asked: ${instead}. This is the nearest in the bag.`));
  return page;
}
