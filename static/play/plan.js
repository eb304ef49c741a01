// Today's plan, where every visit of the page begins; and the pages that stand in for it.

import { care } from "./ask.js";
import { LOGGED } from "./cadence.js";
import { button, el, link, select } from "./dom.js";
import { other } from "./second.js";
import { laterBar } from "./waiting.js";
import { PHYSICIAN } from "./words.js";

/** The page; `tools.choose(player)` turns to another player of the same person. */
export function planPage(day, tools) {
  const { plan, blocks, player } = day;
  return el("article", { class: "plan" },
    el("h1", { tabindex: -1 }, player.name),
    !day.who && playerChoice(day, tools),
    plan?.note && el("p", { class: "lead" }, plan.note),
    blocks.length ? blocks.map((block) => blockCard(day, block))
      : el("p", { class: "lead" }, "Nothing is planned for you now. Your coach assigns the week's work."),
    laterBar(day),
    day.visit && el("p", {}, `You are at ${placeInWords(day)}. `, link("Change", `${day.home}visit`)),
    day.queue.faulty.length + day.queue.discarded.size > 0 && other("faultyList", day, (id) => id === player.id && day, tools),
    el("div", { class: "under" }, link("Check your eye", `${day.home}eye-check`, "button second"),
      link("Turf", `${day.home}turf`, "button second"),
      link("Other balls", `${day.home}others`, "button second"),
      !day.who && day.server.me.squad?.length > 0 && link("Log for a group", "#/group", "button second")),
    blocks.length > 0 && care(day, null, tools),
    el("p", { class: "soft" }, `Signed in as ${day.server.me.name}. `, link("Devices and sign-out", "../devices/"),
      !day.who && [" · ", link("Calendar and sheets", `../players/${player.id}/calendar/`)]));
}

export const placeInWords = (day) => {
  const { venue, line, bay } = day.place();
  return [venue, line, bay].filter(Boolean).map(({ name }) => name).join(", ");
};

/** The name of a day of the plan's week, Monday 0. */
function weekday(monday, n) {
  const at = new Date(`${monday}T12:00Z`);
  at.setUTCDate(at.getUTCDate() + n);
  return at.toLocaleDateString("en", { weekday: "long", timeZone: "UTC" });
}

function blockCard(day, block) {
  const n = day.answered(block).length;
  const isByBall = block.log === "shots";
  const of = isByBall ? block.balls.length : block.asked;
  const next = day.isDone(block) ? link("Summary", `${day.home}block/${block.id}/summary`, "button second")
    : link(n ? "Go on" : "Start", `${day.home}block/${block.id}`, "button big");
  return el("section", { class: "card" },
    el("h2", {}, block.title),
    block.day !== undefined && el("p", {}, weekday(day.plan.monday, block.day)),
    el("p", {}, el("strong", {}, isByBall ? `${n} of ${of}` : `${of} balls`), block.number_shown ? "" : ", number hidden",
      isByBall && LOGGED[block.logging]),
    isByBall && el("progress", { value: n, max: of, "aria-label": `${block.title}: balls done` }),
    next);
}

function playerChoice(day, { choose }) {
  const { players } = day.server.me;
  if (players.length < 2) return null;
  const options = players.map(({ id, name, academy }) => [id, `${name}, ${academy}`]);
  const choice = select("Player", options, day.player.id, () => choose(choice.value()));
  return choice.node;
}

export function stoppedPage(day, { say, redraw }) {
  const undo = async () => { await day.undo(day.stop); say("Taken back."); redraw(); };
  return el("article", {},
    el("h1", { tabindex: -1 }, "Stopped for today"),
    el("p", { class: "lead" }, PHYSICIAN),
    el("p", {}, !day.who && "Your coach sees that you stopped as soon as this phone has sent it. ",
      "Today's balls are closed; what was hit is kept."),
    laterBar(day),
    day.stop.may_correct !== false && button("Tapped by mistake: undo", undo, "second"));
}

export const gonePage = (day) => el("article", {}, el("h1", { tabindex: -1 }, "This block is not in your plan now"),
  el("p", {}, "Your coach may have changed the week. What you hit is kept."), link("Today's plan", day.home, "button big"));

export const nobodyPage = () => el("article", {}, el("h1", { tabindex: -1 }, "Nobody to log for"),
  el("p", {}, "You are signed in, but not as a player. "), link("To the roster", "../", "button big"));
