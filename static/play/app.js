// The player's page: opens the day, follows the hash to a page, and always says what waits to be sent.

import { Server } from "./api.js";
import { care } from "./ask.js";
import { blockPage, lastBar } from "./ball.js";
import { Day } from "./day.js";
import { button, el, link, select } from "./dom.js";
import { eyePage } from "./eye.js";
import { laterBar, laterPage } from "./later.js";
import { askToKeepStorage, keepAwake, registerWorker } from "./offline.js";
import { Queue, lastHere, rememberHere, waitingHere } from "./queue.js";
import { correctPage, pastPage, summaryPage } from "./review.js";
import { tallyPage } from "./tally.js";
import { turfPage } from "./turf.js";
import { visitPage } from "./visit.js";
import { PHYSICIAN, plural } from "./words.js";

const at = (id) => document.getElementById(id);
const server = new Server();
const days = new Map(); // by player
let queue = null; // of the user who is here
let day = null; // of the player who is shown

// --- what the pages may do to the frame

const tools = {
  redraw: () => show(),
  go(hash) {
    if (location.hash === hash) show();
    else location.hash = hash;
  },
  say(text) { at("said").textContent = text; },
  warn(fault) {
    const full = fault.name === "QuotaExceededError";
    if (!full) console.error(fault);
    at("alarm").textContent = full
      ? "Not saved: this phone's storage is full. Free some space, then tap again."
      : "Not saved: something went wrong on this page. Load it again, then tap again.";
  },
};

// --- pages by hash

function pageOf([where, id, part, shot]) {
  // A ball that was hit can be entered whatever became of the day and of the plan.
  if (part === "later") return withLast(laterPage(day, id, tools), day.lastDone && day.blockOf(day.lastDone));
  if (day.stopped && where !== "visit") return stoppedPage();
  const block = where === "block" ? day.block(id) : undefined;
  if (where === "visit" || (block && !part && !day.visit)) {
    const go = () => tools.go(backTo);
    return visitPage(day, { ...tools, go, venue: day.block(backTo.split("/")[2])?.venue });
  }
  if (where === "eye-check") return eyePage(day, tools);
  if (where === "turf") return turfPage(day, tools);
  if (!block) return where === "block" ? gonePage() : planPage();
  if (part === "shots") return shot ? correctPage(day, block, day.shot(shot), tools) : pastPage(day, block);
  if (part === "tally") return tallyPage(day, block, tools);
  return withLast((part !== "summary" && blockPage(day, block, tools)) || summaryPage(day, block), block);
}

/** A page with what was just saved in a block at its foot. */
function withLast(page, block) {
  page.append((block && lastBar(day, block, tools)) ?? "");
  return page;
}

let backTo = "#/"; // where the visit page leads on to

/** Draw the page that the address names. `byItself` is a redraw that nobody asked for. */
function show(byItself = false) {
  if (!day) return;
  const route = location.hash.replace(/^#\//, "").split("/");
  if (route[0] !== "visit") backTo = location.hash || "#/";
  keepAwake(route[0] === "block");
  const page = pageOf(route);
  // What stays as it was is not taken from under a thumb.
  if (byItself && at("page").firstElementChild?.isEqualNode(page)) return;
  at("alarm").textContent = "";
  at("page").replaceChildren(page);
  const heading = page.querySelector("h1");
  document.title = heading?.textContent ?? "Practice Ledger";
  // A screen reader goes on from the new heading; a finger sees the page from its top.
  heading?.focus({ preventScroll: true });
  if (!byItself) scrollTo(0, 0);
}

function planPage() {
  const { plan, blocks, player } = day;
  return el("article", { class: "plan" },
    el("h1", { tabindex: -1 }, player.name),
    playerChoice(),
    plan?.note && el("p", { class: "lead" }, plan.note),
    blocks.length ? blocks.map(blockCard)
      : el("p", { class: "lead" }, "Nothing is planned for you now. Your coach assigns the week's work."),
    laterBar(day),
    day.visit && el("p", {}, `You are at ${placeInWords()}. `, link("Change", "#/visit")),
    faultyList(),
    el("div", { class: "under" }, link("Check your eye", "#/eye-check", "button second"),
      link("Turf", "#/turf", "button second")),
    blocks.length > 0 && care(day, null, tools),
    el("p", { class: "soft" }, `Signed in as ${server.me.name}. `, link("Devices and sign-out", "../devices/")));
}

const placeInWords = () => {
  const { venue, line, bay } = day.place();
  return [venue, line, bay].filter(Boolean).map(({ name }) => name).join(", ");
};

function blockCard(block) {
  const n = day.answered(block).length;
  const of = block.balls.length;
  const next = n === of ? link("Summary", `#/block/${block.id}/summary`, "button second")
    : link(n ? "Go on" : "Start", `#/block/${block.id}`, "button big");
  return el("section", { class: "card" },
    el("h2", {}, block.title),
    el("p", {}, el("strong", {}, `${n} of ${of}`), block.number_shown ? "" : ", number hidden"),
    el("progress", { value: n, max: of, "aria-label": `${block.title}: balls done` }),
    next);
}

function playerChoice() {
  const { players } = server.me;
  if (players.length < 2) return null;
  const options = players.map(({ id, name, academy }) => [id, `${name}, ${academy}`]);
  const choice = select("Player", options, day.player.id, async () => {
    await queue.keep("player", choice.value());
    day = null;
    await openDay();
    await refresh();
  });
  return choice.node;
}

/** What the server will not take stays here until it is corrected or let go by hand. */
function faultyList() {
  if (!queue.faulty.length) return null;
  return el("section", { class: "card" }, el("h2", {}, "Could not be sent"), queue.faulty.map((item) => {
    const block = item.kind === "shot" && day.blockOf(item);
    return el("div", { class: "faulty" }, el("p", {}, item.fault),
      block && link("Correct", `#/block/${block.id}/shots/${item.id}`, "button second"),
      button("Try again", async () => { await queue.retry(item); show(); }, "second"),
      button("Discard", async () => { await queue.discard(item); show(); }, "stop"));
  }));
}

function stoppedPage() {
  const undo = async () => { await day.undo(day.stop); tools.say("Taken back."); show(); };
  return el("article", {},
    el("h1", { tabindex: -1 }, "Stopped for today"),
    el("p", { class: "lead" }, PHYSICIAN),
    el("p", {}, "Your coach sees that you stopped as soon as this phone has sent it. ",
      "Today's balls are closed; what you hit is kept."),
    laterBar(day),
    day.stop && button("Tapped by mistake: undo", undo, "second"));
}

const gonePage = () => el("article", {}, el("h1", { tabindex: -1 }, "This block is not in your plan now"),
  el("p", {}, "Your coach may have changed the week. What you hit is kept."), link("Today's plan", "#/", "button big"));

// --- the frame: what waits, and why

let shownTrouble;

function showWaiting() {
  const faulty = queue.faulty.length;
  const waiting = queue.items.length - faulty;
  const notTaken = faulty ? `, ${faulty} not taken` : "";
  at("waiting").textContent = `${waiting} waiting to send${notTaken}`;
  showTrouble(queue.trouble, waiting > 0);
}

/** Drawn anew only when it changes: a reader would say it again, and a button would go from under a thumb. */
function showTrouble(trouble, waits) {
  const told = trouble && `${trouble.kind} ${waits}`;
  if (told === shownTrouble) return;
  shownTrouble = told;
  const again = trouble && waits && button("Send now", () => queue.flush(), "second");
  at("trouble").replaceChildren(...[troubleInWords(trouble?.kind) ?? [], again || []].flat());
}

function troubleInWords(kind) {
  const signIn = link("Sign in", "../sign-in/", "button second");
  return {
    signed_out: ["Your sign-in has lapsed. Go on logging: everything is kept on this phone. ",
      "To send it, scan a new code from your coach with this phone, or sign in. ", signIn],
    other_user: ["Someone else signed in on this phone. What you logged is kept here ",
      "and goes out when you sign in on it again. ", signIn],
    csrf: ["The server asked for a fresh page. Everything is kept on this phone: load this page again. "],
    no_answer: ["No connection. Everything is kept on this phone and sent later by itself. "],
    refused: ["The server could not read what was sent. Everything is kept on this phone. "],
  }[kind];
}

/** No plan is held here, and the server gave none. */
async function cannotOpen(refusal) {
  const waiting = await waitingHere();
  at("waiting").textContent = `${waiting} waiting to send`;
  const isSignedOut = refusal.kind === "signed_out";
  at("page").replaceChildren(el("article", {},
    el("h1", { tabindex: -1 }, isSignedOut ? "Sign in" : "Cannot open the plan"),
    el("p", {}, isSignedOut ? "Scan the code that your coach shows you, or sign in."
      : "There is no connection, and this phone holds no plan yet. Open this page once where there is a signal: "
        + "from then on it opens without one."),
    waiting > 0 && el("p", {}, `${plural(waiting, "item")} logged on this phone ${waiting === 1 ? "is" : "are"} kept `
      + "for whoever logged them."),
    isSignedOut ? link("Sign in", "../sign-in/", "button big") : button("Try again", open, "big")));
}

function cannotKeep(fault) {
  console.error(fault);
  at("page").replaceChildren(el("h1", {}, "This browser keeps nothing"),
    el("p", {}, "It gives this page no room on the phone, so a ball could be lost. Leave the private window, "
      + "or use another browser."));
}

// --- opening: what this phone holds first, then what the server says

const SIGNED_OUT = "ledger_signed_out"; // a cookie of the server's: whoever was here has signed out, or another came

async function open() {
  try {
    if (document.cookie.includes(SIGNED_OUT)) {
      await rememberHere(null);
      document.cookie = `${SIGNED_OUT}=; path=/; max-age=0; samesite=lax`;
    }
    const me = await lastHere();
    if (me) await welcome(me);
  } catch (fault) {
    return cannotKeep(fault);
  }
  return refresh();
}

/** Begin with a person: their queue, and the last plan that this phone holds of them. Nothing of another's stays. */
async function welcome(me) {
  queue?.close();
  days.clear();
  day = null;
  queue = null;
  server.me = me;
  const { user } = me;
  queue = await new Queue({ user, send: (items) => server.send(items, user), changed: heard }).load();
  await openDay();
}

const chosenPlayer = () => {
  const { players } = server.me;
  return (players.find(({ id }) => id === queue.kept("player")) ?? players[0])?.id;
};

async function openDay() {
  const player = chosenPlayer();
  const work = player && !days.has(player) && (await queue.heldDay(player));
  if (work) days.set(player, new Day({ server, queue, work }));
  turnTo(days.get(player));
}

function turnTo(shown) {
  day = shown ?? null;
  document.body.classList.toggle("left", day?.player.handed === "left");
  showWaiting();
  show();
}

/** There is news in the queue; what another tab did is shown where no thumb is at work. */
function heard({ put = [], gone = [], kept = [] }, elsewhere) {
  for (const each of days.values()) {
    if (gone.length) each.take(each.work);
    for (const record of put) if (record.player === each.player.id) each.note(record);
  }
  if (!elsewhere && put.length) askToKeepStorage();
  if (!queue) return;
  showWaiting();
  const isNews = elsewhere ? kept.length || gone.length || put.some(({ state }) => state === "waiting")
    : onPlan() && put.some(({ fault }) => fault);
  if (!day || !isNews || !mayRedraw()) return;
  day.resting ||= elsewhere; // a tap that was meant for the ball before must not log the next one
  show(true);
}

const TYPED = "input:not([type=radio], [type=checkbox]), select";

/** Whether the page may be drawn anew by itself: not while something is typed, chosen or corrected on it. */
function mayRedraw() {
  const [, where, , part] = location.hash.split("/");
  const free = !where || (where === "block" && ["summary", undefined].includes(part));
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
    queue.trouble = null;
    if (work.player) await takeOver(work, told);
    else noPlayer();
    await rememberHere(work.me);
    if (mine !== queue) queue.flush(); // theirs may wait here from before
  } catch (refusal) {
    if (!refusal.kind) tools.warn(refusal);
    else if (!day) await cannotOpen(refusal);
    else queue.trouble = refusal;
  }
  if (queue) showWaiting();
}

async function takeOver(work, told) {
  const { id } = work.player;
  const held = days.get(id);
  if (!held) days.set(id, new Day({ server, queue, work }));
  if (!day) turnTo(days.get(id)); // shown before it is kept
  if (!(await queue.keepDay(work, told)) || !held) return;
  held.take(work);
  if (mayRedraw()) show(true);
}

const onPlan = () => ["", "#/"].includes(location.hash);

/** See what the coach changed meanwhile. */
function lookAgain() {
  if (document.visibilityState === "visible" && (!day || onPlan())) refresh();
}

function noPlayer() {
  at("page").replaceChildren(el("h1", {}, "Nobody to log for"),
    el("p", {}, "You are signed in, but not as a player. "), link("To the roster", "../", "button big"));
}

addEventListener("hashchange", () => { show(); lookAgain(); });
document.addEventListener("visibilitychange", lookAgain);
addEventListener("online", lookAgain);
// A page out of the back-forward cache has missed what other tabs did.
addEventListener("pageshow", ({ persisted }) => persisted && open());
addEventListener("unhandledrejection", ({ reason }) => tools.warn(reason));
open().finally(registerWorker);
