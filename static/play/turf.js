// Turf work: two taps a swing, how it was struck and what it did to the ground. No ball's flight, no distance.

import { care } from "./ask.js";
import { SURFACES } from "./choices.js";
import { button, el, fold, link, select } from "./dom.js";
import { finishing } from "./entry.js";
import { askedOf, quickPage } from "./quick.js";
import { plural } from "./words.js";

const STRIKES = [["clean", "clean"], ["thin", "thin"], ["fat", "fat"]];
const GROUNDS = [["brush", "brushed"], ["divot", "divot"], ["none", "not touched"]];
const labelIn = (words, value) => words.find(([word]) => word === value)[1];

let half = {}; // the first of the two taps

/** The page of a turf block; without one of turf work whenever the player likes. */
export function turfPage(day, block, tools) {
  const swings = block ? day.answered(block) : day.today("turf");
  const last = swings.at(-1);
  const { box, finish } = finishing(day, tools);
  const surface = select("Off what?", SURFACES, last?.values.surface ?? day.visit?.surface ?? "");
  const clubs = [["", "any club"], ...day.clubs.map(({ id, label }) => [id, label])];
  const ball = block?.balls[swings.length];
  const club = select("Club", clubs, ball?.club ?? last?.values.club ?? "");
  const record = () =>
    day.log("turf", { ...half, block: block?.id ?? null, club: club.value() || null, surface: surface.value() });
  const choose = (name, value, node) => {
    half[name] = half[name] === value ? undefined : value;
    for (const each of node.parentNode.children) each.setAttribute("aria-pressed", each === node && Boolean(half[name]));
    if (half.contact && half.ground) finish(async () => { const kept = await record(); half = {}; return kept; }, "Saved on this phone.")();
  };
  const group = (name, legend, words) => el("div", { class: "turf", role: "group", "aria-label": legend },
    words.map(([value, label]) => button(label, ({ currentTarget }) => choose(name, value, currentTarget), "second",
      { "aria-pressed": String(half[name] === value) })));
  box.append(el("h2", {}, "Strike"), group("contact", "Strike", STRIKES), el("h2", {}, "Ground"), group("ground", "Ground", GROUNDS));
  const undo = finish(async () => { await day.undo(last); return true; }, "Taken back.");
  const more = el("details", {}, el("summary", {}, "Club, and off what"), club.node, surface.node);
  if (block) {
    const isFull = swings.length >= block.asked;
    return quickPage(day, block, tools, {
      what: isFull ? `All ${block.asked} swings` : `Swing ${swings.length + 1} of ${block.asked}`,
      told: [!isFull && askedOf(day, ball), countsOfTurf(swings, "")], box: [box, more],
      name: swingInWords, list: ["The swings", swings], done: swings.length > 0 && "Done",
    });
  }
  return el("article", { class: "turf-page" },
    el("h1", { tabindex: -1 }, "Turf"),
    el("p", { class: "lead", role: "status" }, countsOfTurf(swings, " today")),
    box,
    more,
    swings.length > 0 && fold("Today's swings",
      () => [el("ol", {}, swings.map((swing) => el("li", {}, swingInWords(swing))))]),
    el("div", { class: "under" }, link("Today's plan", day.home, "button second")),
    care(day, null, tools),
    last && el("aside", { class: "last", "aria-label": "The last swing" },
      el("p", {}, el("span", { class: "soft" }, "Last: "), el("strong", {}, swingInWords(last))), button("Undo", undo)));
}

const swingInWords = ({ values }) =>
  `${labelIn(STRIKES, values.contact)}, ${labelIn(GROUNDS, values.ground)}`;

function countsOfTurf(swings, when) {
  if (!swings.length) return "Two taps a swing: how you struck it, then what it did to the ground.";
  const count = (name, words) => words.map(([value, label]) => {
    const n = swings.filter(({ values }) => values[name] === value).length;
    return `${n} ${label}`;
  }).join(", ");
  return `${plural(swings.length, "swing")}${when}: ${count("contact", STRIKES)}; ${count("ground", GROUNDS)}.`;
}
