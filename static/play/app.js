// The player's page: opens the day, follows the hash to a page, and always says what waits to be sent.

import { Server } from "./api.js";
import { blockPage, care, lastBar } from "./ball.js";
import { Day } from "./day.js";
import { button, el, link, select } from "./dom.js";
import { eyePage } from "./eye.js";
import { Queue } from "./queue.js";
import { correctPage, pastPage, summaryPage } from "./review.js";
import { visitPage } from "./visit.js";
import { PHYSICIAN, plural } from "./words.js";

const at = (id) => document.getElementById(id);
const server = new Server();
const WHO = "ledger.user"; // whose queue this phone showed last
const PLAYER = "ledger.player";
let queue, day;

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
  if (day.stopped && where !== "visit") return stoppedPage();
  const block = where === "block" ? day.block(id) : undefined;
  if (where === "visit" || (block && !part && !day.visit)) {
    const go = () => tools.go(backTo);
    return visitPage(day, { ...tools, go, venue: day.block(backTo.split("/")[2])?.venue });
  }
  if (where === "eye-check") return eyePage(day, tools);
  if (!block) return where === "block" ? gonePage() : planPage();
  if (part === "shots") return shot ? correctPage(day, block, day.shot(shot), tools) : pastPage(day, block);
  const page = (part !== "summary" && blockPage(day, block, tools)) || summaryPage(day, block);
  page.append(lastBar(day, block, tools) ?? "");
  return page;
}

let backTo = "#/"; // where the visit page leads on to

function show() {
  if (!day) return;
  const route = location.hash.replace(/^#\//, "").split("/");
  if (route[0] !== "visit") backTo = location.hash || "#/";
  at("alarm").textContent = "";
  const page = pageOf(route);
  at("page").replaceChildren(page);
  const heading = page.querySelector("h1");
  document.title = heading?.textContent ?? "Practice Ledger";
  // A screen reader goes on from the new heading; a finger sees the page from its top.
  heading?.focus({ preventScroll: true });
  scrollTo(0, 0);
}

function planPage() {
  const { plan, blocks, player } = day;
  return el("article", { class: "plan" },
    el("h1", { tabindex: -1 }, player.name),
    playerChoice(),
    plan?.note && el("p", { class: "lead" }, plan.note),
    blocks.length ? blocks.map(blockCard)
      : el("p", { class: "lead" }, "Nothing is planned for you now. Your coach assigns the week's work."),
    day.visit && el("p", {}, `You are at ${placeInWords()}. `, link("Change", "#/visit")),
    faultyList(),
    el("div", { class: "under" }, link("Check your eye", "#/eye-check", "button second")),
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
    localStorage.setItem(PLAYER, choice.value());
    day = null;
    await open();
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
      button("Try again", () => queue.add({ ...item, fault: undefined }), "second"),
      button("Discard", () => { queue.discard(item); show(); }, "stop"));
  }));
}

function stoppedPage() {
  const undo = async () => { await day.undo(day.stop); tools.say("Taken back."); show(); };
  return el("article", {},
    el("h1", { tabindex: -1 }, "Stopped for today"),
    el("p", { class: "lead" }, PHYSICIAN),
    el("p", {}, "Your coach sees that you stopped as soon as this phone has sent it. ",
      "Today's balls are closed; what you hit is kept."),
    day.stop && button("Tapped by mistake: undo", undo, "second"));
}

const gonePage = () => el("article", {}, el("h1", { tabindex: -1 }, "This block is not in your plan now"),
  el("p", {}, "Your coach may have changed the week. What you hit is kept."), link("Today's plan", "#/", "button big"));

// --- the frame: what waits, and why

function showWaiting() {
  const faulty = queue.faulty.length;
  const waiting = queue.items.length - faulty;
  const notTaken = faulty ? `, ${faulty} not taken` : "";
  at("waiting").textContent = `${waiting} waiting to send${notTaken}`;
  at("trouble").replaceChildren(...(troubleInWords(queue.trouble?.kind) ?? []));
}

function troubleInWords(kind) {
  const again = button("Send now", () => queue.flush(), "second");
  const signIn = link("Sign in", "../sign-in/", "button second");
  return {
    signed_out: ["Your sign-in has lapsed. Go on logging: everything is kept on this phone. ",
      "To send it, scan a new code from your coach with this phone, or sign in. ", signIn],
    other_user: ["Someone else signed in on this phone. What you logged is kept here ",
      "and goes out when you sign in on it again. ", signIn],
    csrf: ["The server asked for a fresh page. Everything is kept on this phone: load this page again."],
    no_answer: ["No connection. Everything is kept on this phone and sent later by itself. ", again],
    refused: ["The server could not read what was sent. Everything is kept on this phone. ", again],
  }[kind];
}

function cannotOpen(refusal) {
  if (!refusal.kind) throw refusal;
  const user = localStorage.getItem(WHO);
  const held = user ? JSON.parse(localStorage.getItem(`ledger.queue.${user}`) ?? "[]").length : 0;
  at("waiting").textContent = `${held} waiting to send`;
  at("trouble").replaceChildren(...(troubleInWords(refusal.kind) ?? []).filter((part) => typeof part === "string"));
  at("page").replaceChildren(el("article", {},
    el("h1", { tabindex: -1 }, refusal.kind === "signed_out" ? "Sign in again" : "Cannot open the plan"),
    held ? el("p", {}, `${plural(held, "item")} logged on this phone ${held === 1 ? "is" : "are"} kept.`) : null,
    refusal.kind === "signed_out" ? link("Sign in", "../sign-in/", "button big") : button("Try again", open, "big")));
}

// --- opening

async function open() {
  try {
    const me = await server.hello();
    localStorage.setItem(WHO, me.user);
    queue ??= new Queue({ user: me.user, send: (items) => server.send(items), changed: showWaiting });
    const player = me.players.find(({ id }) => id === localStorage.getItem(PLAYER)) ?? me.players[0];
    if (!player) return noPlayer();
    day = new Day({ server, queue, work: await server.work(player.id) });
  } catch (refusal) {
    return cannotOpen(refusal);
  }
  document.body.classList.toggle("left", day.player.handed === "left");
  showWaiting();
  show();
  queue.flush();
}

const onPlan = () => ["", "#/"].includes(location.hash);

/** See what the coach changed meanwhile; with no signal the plan stays as it is. */
async function refresh() {
  if (!day || document.visibilityState !== "visible" || !onPlan()) return;
  const opened = day;
  const work = await server.work(day.player.id).catch(() => null);
  if (work && day === opened) {
    day.take(work);
    // Whoever went on meanwhile may be typing: another page is not drawn anew under their thumb.
    if (onPlan()) show();
  }
}

function noPlayer() {
  at("waiting").textContent = "";
  at("page").replaceChildren(el("h1", {}, "Nobody to log for"),
    el("p", {}, "You are signed in, but not as a player. "), link("To the roster", "../", "button big"));
}

addEventListener("hashchange", () => { show(); refresh(); });
document.addEventListener("visibilitychange", refresh);
addEventListener("online", () => day || open());
open();
