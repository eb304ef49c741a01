// A block, ball by ball: what to hit, one tap for the result, the next ball.

import { onMat, ownOf, thisBall, withOwn } from "./conditions.js";
import { button, el, link, toggle } from "./dom.js";
import { numbers, pad } from "./result.js";
import { CONTACT_NOTES, HURTS, MISHITS, resultInWords, swingName } from "./words.js";

// A second tap this soon after a save is a trembling thumb or a double tap: it must not log the next ball.
const REST_MS = 400;

const begun = new Set(); // blocks whose first page was read
const kept = { helped: false, warm_up: false }; // stay as they are from ball to ball
const drafts = new Map(); // what was chosen and typed for a ball that is not saved yet

function draftOf(ball) {
  const blank = { club: ball.club, contact_note: "", typed: null, own: ownOf(ball.id) };
  if (!drafts.has(ball.id)) drafts.set(ball.id, blank);
  return drafts.get(ball.id);
}

/** The page of a block; `tools` are what the frame offers: redraw, go, say, warn. */
export function blockPage(day, block, tools) {
  const ball = day.nextBall(block);
  if (!begun.has(block.id) && !day.answered(block).length) return firstPage(day, block, tools);
  return ball ? ballPage(day, block, ball, tools) : null;
}

function firstPage(day, block, tools) {
  const begin = () => { begun.add(block.id); tools.redraw(); };
  return el("article", {},
    el("h1", { tabindex: -1 }, block.title),
    el("p", { class: "lead" }, `${block.balls.length} balls. ${block.instructions}`),
    block.cautions && el("p", { class: "caution" }, block.cautions),
    block.notes.length > 0 && el("ul", { class: "soft" }, block.notes.map((note) => el("li", {}, note))),
    el("div", { class: "bottom" }, button("First ball", begin, "big")),
    care(day, null, tools));
}

function ballPage(day, block, ball, tools) {
  const state = draftOf(ball);
  const entry = el("div", { class: "entry", inert: day.resting });
  rest(day, entry);

  // Everything that finishes a ball goes through here, so that one tap can only ever finish one.
  const finish = (record, said) => async () => {
    if (entry.inert) return;
    try {
      entry.inert = true;
      const isKept = await record();
      day.resting = true;
      tools.say(isKept ? said : "Another tab of this phone has this ball already.");
      tools.redraw();
    } catch (fault) {
      entry.inert = false;
      tools.warn(fault);
    }
  };
  const log = (result) => {
    const given = { seen: true, contact: "", contact_note: state.contact_note, ...kept, ...result };
    if (given.contact_note) given.contact = "clean"; // a little heavy or thin is still a clean strike, with a note
    const values = withOwn({ ...day.begin(block, ball, state.club), ...given }, state.own);
    return finish(() => day.logShot(values), "Saved on this phone.")();
  };

  const skip = finish(() => day.skip(ball), "Skipped.");
  const redraw = () => entry.replaceChildren(...entryOf(day, block, ball, state, { log, skip, redraw }));
  const warnings = warningsOf(day, block, ball);
  if (warnings.outside) entry.append(button("Skip this ball", skip, "big"));
  else redraw();
  const own = !warnings.outside && thisBall(day.unit, day.begin(block, ball), state.own, redraw);
  return el("article", { class: "ball" },
    el("div", { class: "ask" }, askOf(day, block, ball), warnings.node),
    entry,
    own,
    el("div", { class: "under" }, link("Past balls", `#/block/${block.id}/shots`, "button second")),
    care(day, block, tools));
}

/** Let nothing be tapped for a moment after a save. */
function rest(day, entry) {
  if (!day.resting) return;
  setTimeout(() => {
    day.resting = false;
    entry.inert = false;
  }, REST_MS);
}

// --- what to hit

function askOf(day, block, ball) {
  const distance_m = day.distance_m(ball);
  const shown = block.number_shown && distance_m;
  const aimed = ball.target || ball.target_name;
  return [
    el("h1", { tabindex: -1 },
      el("span", { class: "count" }, `Ball ${ball.n} of ${block.balls.length} `),
      el("span", { class: "club" }, day.club(ball.club)?.label ?? "club"),
      aimed && el("span", { class: "land" }, el("span", { class: "soft" }, " land it at "),
        el("span", { class: "target" }, ball.target_name),
        shown && el("span", { class: "figure" }, ` ${day.unit.show(distance_m)}`))),
    el("p", { class: "swing" }, swingOf(day, block, ball, aimed)),
  ];
}

function swingOf(day, block, ball, aimed) {
  if (ball.swing !== "feel") return swingName(day, ball.swing) + (aimed ? "" : ", no target: the same swing each time");
  if (!block.number_shown) return "by feel";
  const name = ({ swing, carry_m }) => `${swingName(day, swing).replace(/ \(.*/, "")} ${day.unit.show(carry_m)}`;
  if (ball.below && ball.above) return `feel: between ${name(ball.below)} and ${name(ball.above)}`;
  if (ball.below) return `feel: more than ${name(ball.below)}`;
  return ball.above ? `feel: less than ${name(ball.above)}` : "by feel";
}

function warningsOf(day, block, ball) {
  const { venue, line } = day.place();
  const outside = day.outsideArc(ball);
  const other = block.venue && block.venue !== venue?.id && day.venues.find(({ id }) => id === block.venue);
  const known = line?.targets.find(({ id }) => id === ball.target);
  const told = [];
  if (outside) told.push("This flag is outside your bay's arc: skip it.");
  if (other) told.push(`This block was made for ${other.name}.`);
  else if (ball.target && line && !known) told.push("This target belongs to another tee line: its distance is not yours.");
  const doubtful = block.number_shown && known && day.visit.stand === "unchecked";
  const node = [
    told.map((text) => el("p", { class: "caution" }, text, " ", link("Where am I?", "#/visit"))),
    doubtful && el("p", { class: "soft" }, "Nobody checked this distance today."),
  ];
  return { outside, node };
}

// --- what came of it

function entryOf(day, block, ball, state, { log, skip, redraw }) {
  const values = withOwn(day.begin(block, ball, state.club), state.own);
  const ask = day.askOf(block, values);
  const typed = numbers(ask, (given) => { state.typed = given; });
  if (state.typed) typed.show(state.typed, true);
  const save = () => typed.valid(true) && log(typed.read());
  const fields = [typed.node, button("Save", save, "wide")];
  const quick = pad(ask, log)?.node;
  return [
    state.club !== ball.club && el("p", { class: "caution" }, `With the ${day.club(state.club).label}.`),
    quick,
    quick && ask.eye
      ? el("details", { open: Boolean(state.typed) }, el("summary", {}, "Type it instead"), fields)
      : el("div", {}, fields),
    el("div", { class: "mishits", role: "group", "aria-label": "Mishit" },
      MISHITS.map((contact) => button(contact, () => log({ contact }), "second",
        { "aria-describedby": contact === "fat" && "on-mat" }))),
    onMat(values),
    el("div", { class: "small", role: "group", "aria-label": "About this ball" },
      button("not seen", () => log({ seen: false }), "second"),
      button("skip", skip, "second"),
      otherClub(day, state, redraw),
      Object.entries(CONTACT_NOTES).map(([note, label]) =>
        toggle(label, state.contact_note === note, (on) => { state.contact_note = on ? note : ""; redraw(); })),
      toggle("helped", kept.helped, (on) => { kept.helped = on; }),
      toggle("warm-up", kept.warm_up, (on) => { kept.warm_up = on; })),
  ].filter(Boolean);
}

/** A different club for the same ball: the ball stays what it was. */
function otherClub(day, state, redraw) {
  const option = (club) => el("option", { value: club.id, selected: club.id === state.club }, club.label);
  const choose = (event) => { state.club = event.target.value; redraw(); };
  return el("label", { class: "chip" }, el("span", {}, "other club"), el("select", { onchange: choose }, day.clubs.map(option)));
}

// --- always there

export function care(day, block, { go, warn }) {
  const stop = async () => {
    try {
      await day.stopToday(block);
      go("#/");
    } catch (fault) {
      warn(fault);
    }
  };
  return el("div", { class: "care" },
    button(HURTS, stop, "stop"),
    block?.cautions && el("details", {}, el("summary", {}, "Care"), el("p", {}, block.cautions)));
}

/** What was just saved in this block, how to nudge it and how to take it back. */
export function lastBar(day, block, tools) {
  const last = day.lastDone;
  if (!block.balls.some(({ id }) => id === last?.values.ball)) return null;
  const undo = async () => { await day.undo(last); tools.say("Taken back."); tools.redraw(); };
  if (last.kind === "skip") return el("aside", { class: "last" }, el("p", {}, "Skipped."), button("Undo", undo));
  const ask = day.askOf(block, last.values);
  const result = resultInWords(last.values, day.unit, ask.hidden) || "saved";
  const told = el("p", {}, el("span", { class: "soft" }, "Last: "), el("strong", {}, result));
  return el("aside", { class: "last", "aria-label": "The last ball" }, told,
    button("Undo", undo), link("Correct", `#/block/${block.id}/shots/${last.id}`, "button second"),
    !ask.eye && !ask.hidden && last.values.carry_m && nudges(day, ask, last, told));
}

/** Number fields of the shot just saved: each change is a new revision of it. */
function nudges(day, ask, shot, told) {
  const fields = numbers(ask, async (values) => {
    if (fields.empty() || !fields.valid(true)) return;
    const { resolution_m } = withOwn(values, ownOf(shot.values.ball));
    await day.correct(day.shot(shot.id), { ...day.shot(shot.id).values, ...values, resolution_m });
    told.lastChild.textContent = resultInWords(day.shot(shot.id).values, day.unit, ask.hidden);
  });
  fields.show(shot.values);
  return fields.node;
}
