// The player's page: opens the day from what this phone holds, then from the server, and follows the hash to a page.

import { Server } from "./api.js";
import { blockPage, lastBar } from "./ball.js";
import { Day } from "./day.js";
import { at, cannotKeep, cannotOpen, say, showWaiting, warn } from "./frame.js";
import { askToKeepStorage, keepAwake, registerWorker } from "./offline.js";
import { gonePage, nobodyPage, planPage, stoppedPage } from "./plan.js";
import { Queue, lastHere, rememberHere, waitingHere } from "./queue.js";
import { other, secondPages, whenSecondComes } from "./second.js";

const server = new Server();
const days = new Map(); // by player; a coach's group keeps its own beside them
let queue = null; // of the user who is here
let day = null; // of the player who is shown

// --- what the pages may do to the frame

const tools = {
  say,
  warn,
  pageOf,
  redraw: () => show(),
  news: () => mayRedraw() && show(true),
  remember: () => remember(server.me),
  go(hash) {
    if (location.hash === hash) show();
    else location.hash = hash;
  },
  async choose(player) {
    await queue.keep({ player });
    await openDay();
    await refresh();
  },
};

// --- pages by hash

/** A page of a player: `day` is theirs. */
function pageOf(day, [where, id, part, shot], tools) {
  // A ball that was hit can be entered whatever became of the day and of the plan.
  if (part === "later") {
    return withLast(day, other("laterPage", day, id, tools), day.lastDone && day.blockOf(day.lastDone), tools);
  }
  if (day.stop && where !== "visit") return stoppedPage(day, tools);
  const block = where === "block" ? day.block(id) : undefined;
  if (where === "visit" || (block && !part && !day.visit)) {
    const go = () => tools.go(backTo);
    return other("visitPage", day, { ...tools, go, venue: day.block(backTo.split("/")[2])?.venue });
  }
  if (where === "eye-check") return other("eyePage", day, tools);
  if (where === "turf") return other("turfPage", day, null, tools);
  if (where === "others") return other("outcomePage", day, null, tools);
  if (shot) return other("correctPage", day, block, tools, day.shot(shot)); // whatever became of its block
  if (!block) return where === "block" ? gonePage(day) : planPage(day, tools);
  if (part === "shots") return other("pastPage", day, block, tools);
  if (part === "tally") return other("tallyPage", day, block, tools);
  const page = (part !== "summary" && blockPage(day, block, tools)) || other("summaryPage", day, block);
  return withLast(day, page, block, tools);
}

/** A page with what was just saved in a block at its foot. */
function withLast(day, page, block, tools) {
  page.append((block && lastBar(day, block, tools)) ?? "");
  return page;
}

// --- a coach's group: the pages of its players begin with #/group/<player>/

const PLAN = at("home").textContent;
const isCoach = () => server.me?.squad?.length > 0;
const parts = () => location.hash.replace(/^#\//, "").split("/");
const onGroup = () => isCoach() && (!day || parts()[0] === "group");

function coachPage() {
  const [where, ...route] = parts();
  return other("groupPage", { server, queue, days }, where === "group" ? route : [], tools);
}

let backTo = "#/"; // where the visit page leads on to

/** Draw the page that the address names. `byItself` is a redraw that nobody asked for. */
function show(byItself = false) {
  const isGroup = onGroup();
  if (!day && !isGroup) return;
  const route = parts();
  if (route[0] !== "visit") backTo = location.hash || "#/";
  keepAwake(isGroup || route[0] === "block");
  const page = isGroup ? coachPage() : pageOf(day, route, tools);
  // What stays as it was is not taken from under a thumb.
  if (byItself && at("page").firstElementChild?.isEqualNode(page)) return;
  at("alarm").textContent = "";
  at("page").replaceChildren(page);
  const heading = page.querySelector("h1");
  document.title = heading?.textContent ?? "Practice Ledger";
  at("home").textContent = isGroup ? "Group" : PLAN;
  at("home").href = isGroup ? "#/group" : "#/";
  // A finger sees the page from its top; once it is drawn, a screen reader goes on from the new heading. Both need the page
  // laid out, which the next frame does anyway: now, it would be done twice and within the tap.
  requestAnimationFrame(() => {
    if (!byItself) scrollTo(0, 0);
    setTimeout(() => heading?.focus({ preventScroll: true }));
  });
}

// --- opening: what this phone holds first, then what the server says

const SIGNED_OUT = "ledger_signed_out"; // a cookie of the server's: whoever was here has signed out, or another came

let opened = null; // resolves once it is known who is here: to false where nothing can be kept

async function open() {
  opened = begin();
  return (await opened) && refresh();
}

async function begin() {
  try {
    if (document.cookie.includes(SIGNED_OUT)) {
      await rememberHere(null);
      document.cookie = `${SIGNED_OUT}=; path=/; max-age=0; samesite=lax`;
    }
    await welcome(await lastHere());
  } catch (fault) {
    cannotKeep(fault);
    return false;
  }
  return true;
}

/** Begin with a person, or with nobody: their queue, and the last plan that this phone holds of them. Nothing of
 * another's stays. */
async function welcome(me = null) {
  const send = (items) => server.send(items, me.user);
  const theirs = me && (await new Queue({ user: me.user, send, changed: heard }).load());
  queue?.close();
  days.clear();
  day = null;
  queue = theirs;
  server.me = me;
  document.title = "Practice Ledger";
  at("page").textContent = "Opening today's plan …";
  if (me) await openDay();
}

const chosenPlayer = () => {
  const { players } = server.me;
  return (players.find(({ id }) => id === queue.kept("player")) ?? players[0])?.id;
};

async function openDay() {
  const mine = queue;
  const player = chosenPlayer();
  const work = player && !days.has(player) && (await mine.heldDay(player));
  if (mine !== queue) return;
  if (work) days.set(player, new Day({ server, queue, work }));
  turnTo(days.get(player));
}

function turnTo(shown) {
  day = shown ?? null;
  document.body.classList.toggle("left", day?.player.handed === "left");
  showWaiting(queue);
  show();
}

/** There is news in the queue; what another tab did is shown where no thumb is at work. */
function heard({ put = [], gone = [], kept = [], days: accounts = [] }, elsewhere) {
  let isNews = kept.length || gone.length || accounts.length;
  for (const each of days.values()) {
    const { id } = each.player;
    const later = accounts.find(({ player }) => player.id === id);
    if (later || gone.length) each.take(later ?? each.work);
    for (const record of put) if (record.player === id && each.note(record)) isNews = true;
  }
  if (!elsewhere && put.length) askToKeepStorage();
  if (!queue) return;
  showWaiting(queue);
  if (elsewhere) isNews ||= put.some(({ state }) => state === "waiting");
  else isNews = (onPlan() || onGroup()) && put.some(({ fault }) => fault);
  if (!isNews || !mayRedraw()) return;
  if (day) day.resting ||= elsewhere; // a tap that was meant for the ball before must not log the next one
  show(true);
}

const TYPED = "input:not([type=radio], [type=checkbox]), select";

/** Whether the page may be drawn anew by itself: not while something is typed, chosen or corrected on it. */
function mayRedraw() {
  const [where, id, part] = parts();
  const free = !where || (where === "block" ? ["summary", undefined].includes(part) : where === "group" && !id);
  return free && !document.activeElement?.matches(TYPED);
}

/** Send what waits, then ask for the plan; with no signal it stays as it is. Somebody else's sign-in takes the page
 * over. */
async function refresh() {
  try {
    await queue?.flush();
    const mine = queue;
    const told = mine?.records.filter(({ state }) => state === "sent") ?? [];
    const work = await server.work(queue && chosenPlayer() !== server.me.players[0]?.id ? chosenPlayer() : null);
    if (mine !== queue) return;
    if (work.me.user === server.me?.user) server.me = work.me;
    else await welcome(work.me);
    if (gone(work)) return;
    queue.trouble = null;
    if (work.player) await takeOver(work, told);
    else if (isCoach()) tools.news();
    else at("page").replaceChildren(nobodyPage());
    if (gone(work)) return;
    await Promise.all([remember(work.me), forgetOthers(work.me)]);
    secondPages()?.refreshGroup(queue);
    if (mine !== queue) queue?.flush(); // theirs may wait here from before
  } catch (refusal) {
    if (!refusal.kind) warn(refusal);
    else if (!day && !isCoach()) return cannotOpen(refusal, await waitingHere(), open);
    else queue.trouble = refusal;
  }
  if (queue) showWaiting(queue);
}

/** Whether somebody else, or nobody, is here by now. */
const gone = ({ me }) => queue?.user !== me.user;

async function takeOver(work, told) {
  const { id } = work.player;
  if (!days.has(id)) days.set(id, new Day({ server, queue, work }));
  const own = days.get(id);
  if (!day) turnTo(own); // shown before it is kept
  own.take(await queue.keepDay(work, told));
  if (mayRedraw()) show(true);
}

/** Of the players that a coach looks after this device names none but those it holds. */
function remember(me) {
  const held = queue.kept("group")?.players ?? [];
  return rememberHere({ ...me, squad: me.squad?.filter(({ id }) => held.includes(id)) });
}

/** Whom the server names no more, their day is not held any longer; what waits for them stays. */
async function forgetOthers({ players, squad }) {
  const named = [...players, ...squad].map(({ id }) => id);
  await queue.forget((await queue.heldPlayers()).filter((id) => !named.includes(id)));
}

const onPlan = () => ["", "#/"].includes(location.hash);

/** See what changed meanwhile: who is here, by what other tabs know, and what the coach asks for. */
async function lookAgain({ type }) {
  await opened;
  if (document.visibilityState !== "visible") return;
  if (document.cookie.includes(SIGNED_OUT) || (await lastHere())?.user !== server.me?.user) open();
  // A coach comes back to the group after every ball.
  else if (onGroup() ? type !== "hashchange" && mayRedraw() : !day || onPlan()) refresh();
}

addEventListener("hashchange", (event) => { show(); lookAgain(event); });
document.addEventListener("visibilitychange", lookAgain);
addEventListener("online", lookAgain);
// A page out of the back-forward cache has missed what other tabs did.
addEventListener("pageshow", ({ persisted }) => persisted && open());
addEventListener("unhandledrejection", ({ reason }) => warn(reason));
whenSecondComes(() => show());
open().finally(registerWorker);
