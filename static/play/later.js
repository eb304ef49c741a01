// Balls that were hit and whose result is still to be entered: each with its own pads, the first of them open.

import { button, el, link } from "./dom.js";
import { draftOf, entryOf, finishing, shotValues } from "./entry.js";
import { MOST_WAITING, waitingOf } from "./waiting.js";

/** All that wait, whatever block they belong to: `id` is the block that the way back leads to. */
export function laterPage(day, id, tools) {
  const waiting = waitingOf(day);
  const { box, finish } = finishing(day, tools);
  const back = day.block(id) ? `${day.home}block/${id}` : day.home;
  const settle = (change, said) => finish(async () => {
    const kept = await change();
    if (!waitingOf(day).length) tools.go(back);
    return kept;
  }, said);
  box.append(...waiting.map((entry, i) => waitingBall(day, entry, i === 0, settle)));
  return el("article", { class: "later" },
    el("h1", { tabindex: -1 }, waiting.length ? "Balls to be entered" : "Nothing waits to be entered"),
    waiting.length > 0 && el("p", { class: "soft" }, `Up to ${MOST_WAITING} balls wait, with the time of the hit.`),
    box,
    el("div", { class: "bottom" }, link(day.block(id) ? "Back to the block" : "Today's plan", back, "button big")));
}

function waitingBall(day, entry, open, settle) {
  const { values, n } = entry;
  const { contact_note, helped, warm_up } = values;
  const state = draftOf(values.ball, { contact_note, flags: { helped, warm_up } });
  const log = (result) => settle(() => day.enter(entry, shotValues(values, state, result)), "Saved on this phone.")();
  const drop = settle(async () => { await day.undo(entry); return true; }, "Taken back: this ball is to be hit.");
  const more = button("not hit after all", drop, "second");
  const pads = el("div");
  // A block with a hidden number keeps it hidden here too, also when the plan has changed meanwhile.
  const block = { number_shown: values.number_shown !== false };
  const redraw = () => pads.replaceChildren(...entryOf(day, block, values, state, { log, redraw, more }));
  redraw();
  const name = `Ball ${n}: ${day.club(values.club)?.label ?? "club"} ${values.target_name || "no target"}`;
  const at = new Date(entry.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  return el("details", { class: "card", name: "later", open },
    el("summary", {}, el("strong", {}, name), ` hit at ${at}`), pads);
}
