// A block, ball by ball: what to hit, one tap for the result, the next ball.

import { askedBall, askedBalls, care, warningsOf } from "./ask.js";
import { LOGGING } from "./cadence.js";
import { ownOf, withOwn } from "./conditions.js";
import { button, el, fold, link } from "./dom.js";
import { draftOf, entryOf, finishing, saidOf, shotValues } from "./entry.js";
import { numbers } from "./result.js";
import { NOT_HERE_YET, other, part } from "./second.js";
import { MOST_WAITING, laterBar, laterPath, waitingOf } from "./waiting.js";
import { resultInWords } from "./words.js";

const begun = new Set(); // blocks whose first page was read

/** The page of a block, or null when it is done; `tools` are what the frame offers: redraw, go, say, warn. */
export function blockPage(day, block, tools) {
  const balls = day.step(block);
  if (!day.who && !begun.has(block.id) && !day.answered(block).length) return firstPage(day, block, tools);
  if (block.log !== "shots") return day.tally(block) ? null : other("logPage", day, block, tools);
  if (block.logging !== "end") return balls.length ? ballPage(day, block, balls, tools) : null;
  if (day.tally(block)) return null;
  const [page, ...ball] = balls.length ? ["walkPage", balls[0]] : ["tallyPage"];
  return other(page, day, block, ...ball, tools);
}

function firstPage(day, block, tools) {
  const begin = () => { begun.add(block.id); tools.redraw(); };
  const logging = LOGGING[block.logging];
  return el("article", {},
    el("h1", { tabindex: -1 }, block.title),
    el("p", { class: "lead" }, `${block.asked} balls. ${block.instructions}`),
    block.log === "shots" && logging && el("p", { class: "lead" }, el("strong", {}, logging)),
    part(el("div"), "saidWith", block),
    block.cautions && el("p", { class: "caution" }, block.cautions),
    block.notes.length > 0 && el("ul", { class: "soft" }, block.notes.map((note) => el("li", {}, note))),
    el("div", { class: "bottom" }, button("First ball", begin, "big")),
    care(day, null, tools));
}

/** `balls` are hit, and the last of them is logged. */
function ballPage(day, block, balls, tools) {
  const ball = balls.at(-1);
  const state = draftOf(ball.id, { club: ball.club, flags: day.flags });
  if (!day.club(state.club)) state.club = ball.club; // the one that was chosen is not in the bag any more
  const { box, finish } = finishing(day, tools);
  const known = () => day.begin(block, ball, state.club);
  const log = (result) => finish(() => day.logShot(shotValues(known(), state, result)), "Saved on this phone.")();
  const later = () => day.enterLater(block, ball, withOwn({ ...known(), ...saidOf(state) }, state.own));
  const skip = (one) => finish(() => day.skip(one), "Skipped.");
  const skipButton = (one) => button("Skip: outside your bay's arc", skip(one), "second");
  const redraw = () => {
    const more = [button("skip", skip(ball), "second"), laterButton(day, finish(later, "To be entered later.")),
      otherClub(day, state, redraw)];
    const instead = state.club !== ball.club && el("p", { class: "caution" }, `With the ${day.club(state.club).label}.`);
    box.replaceChildren(instead || "", ...entryOf(day, block, known(), state, { log, redraw, more }));
  };
  const warnings = warningsOf(day, block, ball);
  if (warnings.outside) box.append(button("Skip this ball", skip(ball), "big"));
  else redraw();
  const asked = balls.length > 1 ? askedBalls(day, block, balls, skipButton) : askedBall(day, block, ball);
  return el("article", { class: balls.length > 1 ? "ball several" : "ball" },
    el("div", { class: "ask" }, asked, warnings.node),
    box,
    warnings.doubt,
    !warnings.outside && part(folded(), "thisBall", day.unit, day.visit, state.own, redraw),
    block.cue && el("p", { class: "says" }, block.cue),
    laterBar(day),
    el("div", { class: "under" }, link("Past balls", `${day.home}block/${block.id}/shots`, "button second")),
    care(day, block, tools));
}

/** What stands there until the second script can unfold it. */
const folded = () => fold("Only this ball: lie, wind, distance", () => [NOT_HERE_YET]);

/** A different club for the same ball: the ball stays what it was. */
function otherClub(day, state, redraw) {
  const option = (club) => el("option", { value: club.id, selected: club.id === state.club }, club.label);
  const choose = (event) => { state.club = event.target.value; redraw(); };
  return el("label", { class: "chip" }, el("span", {}, "other club"), el("select", { onchange: choose }, day.clubs.map(option)));
}

/** Puts the result off; once so many wait, it says so and leads to them. */
const laterButton = (day, put) => (waitingOf(day).length < MOST_WAITING ? button("enter later", put, "second")
  : link(`${MOST_WAITING} wait: enter one first`, laterPath(day), "button second"));

// --- always there

const SAID = { skip: "Skipped.", later: "To be entered later.", tally: "Counted.", outcome: "Counted." };

/** What was just saved in this block, how to nudge it and how to take it back. */
export function lastBar(day, block, tools) {
  const last = day.lastDone;
  if (!last || day.shot(last.id)?.may_correct === false) return null;
  if (last.values.block !== block.id && !block.balls.some(({ id }) => id === last.values.ball)) return null;
  const undo = async () => {
    try {
      await day.undo(last);
      tools.say("Taken back.");
      if (said === SAID.tally) tools.go(`${day.home}block/${block.id}`);
      (tools.undone ?? tools.redraw)();
    } catch (fault) {
      tools.warn(fault);
    }
  };
  const bar = (...told) => el("aside", { class: "last", "aria-label": "The last ball" }, told);
  const said = SAID[last.kind];
  const named = (text) => (day.who ? `${day.who}, ${text}` : text);
  if (said) return bar(el("p", {}, named(said)), button("Undo", undo));
  const ask = day.askOf(block, last.values);
  const inWords = (values) => named(resultInWords(values, day.unit, ask.hidden) || "saved");
  const told = el("p", {}, el("span", { class: "soft" }, day.who ? "Saved: " : "Last: "),
    el("strong", {}, inWords(last.values)));
  return bar(told, button("Undo", undo), link("Correct", `${day.home}block/${block.id}/shots/${last.id}`, "button second"),
    !ask.eye && !ask.hidden && last.values.carry_m
      && nudges(day, ask, last, (values) => { told.lastChild.textContent = inWords(values); }));
}

/** Number fields of the shot just saved: each change is a new revision of it. */
function nudges(day, ask, shot, tell) {
  const fields = numbers(ask, async (values) => {
    if (fields.empty() || !fields.valid(true)) return;
    const { resolution_m } = withOwn(values, ownOf(shot.values.ball));
    await day.correct(day.shot(shot.id), { ...day.shot(shot.id).values, ...values, resolution_m });
    tell(day.shot(shot.id).values);
  });
  fields.show(shot.values);
  return fields.node;
}
