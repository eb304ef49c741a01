// A block that is only counted: walked through ball by ball, and at its end how the balls went, from memory.

import { askedBall, care, warningsOf } from "./ask.js";
import { button, el, link, numberField } from "./dom.js";
import { finishing } from "./entry.js";
import { outcomePage } from "./outcome.js";
import { walkOf } from "./waiting.js";

/** One ball of the walk: what to hit, and on. */
export function walkPage(day, block, ball, tools) {
  const { hits } = walkOf(day, block);
  const { box, finish } = finishing(day, tools);
  const walk = (now, said) => finish(async () => { await day.walk(block, now); return true; }, said);
  const next = (hit, said) => walk([...hits, hit], said);
  const warnings = warningsOf(day, block, ball);
  box.append(
    warnings.outside ? button("Skip this ball", next(false, "Skipped."), "big")
      : button("Hit: next ball", next(true, "Next ball."), "big next"),
    el("div", { class: "small" },
      !warnings.outside && button("skip", next(false, "Skipped."), "second"),
      hits.length > 0 && button("Back one ball", walk(hits.slice(0, -1), "Back one ball."), "second"),
      link("Stop here and count", `${day.home}block/${block.id}/tally`, "button second")));
  return el("article", { class: "ball" },
    el("div", { class: "ask" }, askedBall(day, block, ball), warnings.node),
    box,
    warnings.doubt,
    care(day, block, tools));
}

const RESULTS = [["on", "On it"], ["long", "Long"], ["short", "Short"], ["mishits", "Mishits"]];

/** How the balls went: one number for each way, by big buttons. */
export function tallyPage(day, block, tools) {
  if (block.log !== "shots") return outcomePage(day, block, tools);
  const held = day.tally(block)?.values;
  const most = block.balls.length;
  const told = el("p", { class: "says", role: "status" });
  const field = (label, name, min, value) =>
    numberField({ label, min, max: most, value: held?.[name] ?? value, changed: () => tell() });
  const balls = field("Balls hit", "balls", 1, day.hit(block) || most);
  const fields = RESULTS.map(([name, label]) => [name, field(label, name, 0, 0)]);
  const values = () => Object.fromEntries([["balls", balls], ...fields].map(([name, { read }]) => [name, read() ?? 0]));
  const left = () => {
    const { balls: n, on, long, short, mishits } = values();
    return n - on - long - short - mishits;
  };
  const tell = () => {
    const n = left();
    told.textContent = n < 0 ? `That is ${-n} more than you hit.` : `${n} not seen or forgotten.`;
    told.classList.toggle("caution", n < 0);
  };
  const { box, finish } = finishing(day, tools);
  const record = finish(async () => {
    const kept = await day.count(block, values());
    tools.go(`${day.home}block/${block.id}/summary`);
    return kept;
  }, "Counted. Saved on this phone.");
  const whole = () => [balls, ...fields.map(([, each]) => each)].every((each) => each.valid(true));
  // At the end the last ball is taken up again; before it the next one still stands.
  const { hits } = walkOf(day, block);
  const again = finish(async () => {
    await day.walk(block, hits.slice(0, -1));
    tools.go(`${day.home}block/${block.id}`);
    return true;
  }, "Back one ball.");
  const back = hits.length < most ? link("Back to the balls", `${day.home}block/${block.id}`, "button second")
    : button("Back one ball", again, "second");
  tell();
  box.append(el("div", { class: "tally" }, balls.node, fields.map(([, { node }]) => node)), told,
    el("div", { class: "bottom" }, button("Save", () => left() >= 0 && whole() && record(), "big")));
  return el("article", {},
    el("h1", { tabindex: -1 }, "How did they go?"),
    el("p", { class: "soft" }, `${block.title}: what you remember. What you do not count was not seen.`),
    box,
    el("div", { class: "under" }, held ? link("Leave it as it was", `${day.home}block/${block.id}/summary`, "button second") : back),
    care(day, block, tools));
}
