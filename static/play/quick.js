// A block of which no single ball is logged: the frame that its quick logs share, and its summary.

import { care } from "./ask.js";
import { button, el, fold, link } from "./dom.js";
import { finishing } from "./entry.js";
import { passInWords, scoreInWords } from "./score.js";
import { plural, swingName } from "./words.js";

export const MOST_BALLS = 200; // of a block

/** What a ball asks for: "52, half (9:00)"; empty where no ball is listed. */
export const askedOf = (day, ball) =>
  (ball ? [day.club(ball.club)?.label ?? "club", ball.swing !== "feel" && swingName(day, ball.swing)].filter(Boolean).join(", ") : "");

/** The page of a quick log. `what` is its heading, `told` its lines, `box` where it is logged, `name(record)` says one
 * record in words, `list` are [title, records], and `done` the words of the button that ends the block, if any. */
export function quickPage(day, block, tools, { what, told, box, name, list: [title, records], done }) {
  const { box: foot, finish } = finishing(day, tools);
  const { box: ending, finish: finishBlock } = finishing(day, tools);
  const last = day.answered(block).at(-1);
  const undo = finish(async () => { await day.undo(last); return true; }, "Taken back.");
  // Of the balls that make the marks not each leaves one to be seen; a swing is one whether or not it was the last.
  const balls = block.log === "strike" ? block.asked : Math.min(day.answered(block).length, MOST_BALLS);
  ending.append(el("div", { class: "bottom" },
    button(done || "", finishBlock(() => day.count(block, { balls }), "Done. Saved on this phone."), "big")));
  if (last && last.may_correct !== false) {
    foot.append(el("aside", { class: "last", "aria-label": "The last one" },
      el("p", {}, el("span", { class: "soft" }, "Last: "), el("strong", {}, name(last))), button("Undo", undo)));
  }
  return el("article", { class: "quick" },
    el("h1", { tabindex: -1 }, el("span", { class: "count" }, `${block.title} `), what),
    block.cue && el("p", { class: "says" }, block.cue),
    told.map((line) => line && el("p", { class: "lead", role: "status" }, line)),
    box,
    records.length > 0 && fold(title, () => [el("ol", {}, records.map((record) => el("li", {}, name(record))))]),
    done && ending,
    el("div", { class: "under" }, link("Today's plan", day.home, "button second")),
    care(day, block, tools),
    foot);
}

/** What such a block came to. */
export function quickSummary(day, block) {
  const outcome = day.tally(block);
  const says = [...scoreInWords(day, block), passInWords(day, block)].filter(Boolean);
  const here = `${day.home}block/${block.id}`;
  return el("article", { class: "summary" },
    el("h1", { tabindex: -1 }, `${block.title}: ${outcome ? "done" : "so far"}`),
    el("p", { class: "lead" }, outcome ? `${plural(outcome.values.balls, "ball")} hit.` : "Not finished yet."),
    says.map((line) => el("p", { class: "says" }, line)),
    says.length > 0 && el("p", { class: "soft" }, "One block proves little. Your coach looks at many days."),
    el("div", { class: "bottom" }, outcome ? link("Today's plan", day.home, "button big") : link("Go on", here, "button big")),
    outcome && el("div", { class: "under" }, link("Correct the count", `${here}/tally`, "button second")));
}
