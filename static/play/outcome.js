// What a block came to, told once: how many balls were hit, and one answer. Also balls beside the plan, which count as load.

import { care } from "./ask.js";
import { button, el, link, numberField, radios } from "./dom.js";
import { finishing } from "./entry.js";
import { MOST_BALLS } from "./quick.js";
import { fine } from "./score.js";
import { plural } from "./words.js";

const ABOUT = [10, 20, 40, 60, 100];

const counts = new Map(); // by block: what was counted and is not saved yet

/** The page; without a block for balls that nobody asked for. */
export function outcomePage(day, block, tools) {
  const held = block && day.tally(block);
  const { score = "done", asked = 0, title = "Other balls" } = block ?? {};
  const key = block?.id ?? "";
  if (!counts.has(key)) counts.set(key, { balls: asked, leaves_m: [], ...held?.values });
  const draft = counts.get(key);
  const { box, finish } = finishing(day, tools);
  const balls = counter("Balls hit", draft, "balls", MOST_BALLS);
  const answer = ANSWERS[score]?.(draft, day);
  const fault = el("p", { class: "caution", role: "alert", hidden: true });
  const save = finish(async () => {
    const kept = await day.count(block, { balls: draft.balls, ...answer?.values() });
    counts.delete(key);
    tools.go(block ? `${day.home}block/${block.id}/summary` : day.home);
    return kept;
  }, "Saved on this phone.");
  const check = () => {
    if (!balls.valid(true) || answer?.valid?.() === false) return;
    fault.textContent = answer?.fault?.() ?? "";
    fault.hidden = !fault.textContent;
    if (fault.hidden) save();
  };
  const about = (n) => button(`about ${n}`, () => { draft.balls = n; balls.set(n); }, "second");
  box.append(answer?.node ?? "",
    el("div", { class: "tally" }, balls.node),
    answer ? "" : el("div", { class: "small", role: "group", "aria-label": "Balls hit, about" }, ABOUT.map(about)),
    fault,
    el("div", { class: "bottom" }, button("Save", check, "big")));
  return el("article", { class: "quick" },
    el("h1", { tabindex: -1 }, el("span", { class: "count" }, `${title} `), QUESTIONS[score] ?? "How many balls?"),
    el("p", { class: "soft" }, block ? "Saved once, when you are through. You can correct it afterwards."
      : "Whatever you hit beside the plan: about is enough. It counts towards your load."),
    box,
    el("div", { class: "under" }, link("Today's plan", day.home, "button second")),
    care(day, block ?? null, tools));
}

const QUESTIONS = {
  k_of_n: "How many were made?", best_run: "What was your best run?", yes_no: "Was it done as asked?",
  leave: "How far from the hole?",
};

function counter(label, draft, name, max) {
  return numberField({ label, min: 0, max, value: draft[name] ?? 0, changed: (n) => { draft[name] = n; } });
}

/** By score: {node, values(), fault(), valid()} of the one answer. */
const ANSWERS = {
  k_of_n: (draft) => answerOf(draft, "Made", "made"),
  best_run: (draft) => answerOf(draft, "Best run, in a row", "best_run"),
  yes_no: (draft) => {
    const choice = radios("yes", "Done as asked?", [["yes", "yes"], ["no", "no"]], { true: "yes", false: "no" }[draft.yes] ?? "",
      () => { draft.yes = choice.value() === "yes"; });
    return { node: choice.node, values: () => ({ yes: draft.yes }),
      fault: () => (typeof draft.yes === "boolean" ? "" : "Say yes or no.") };
  },
  leave: (draft, day) => leavesOf(draft, day.unit),
};

function answerOf(draft, label, name) {
  draft[name] ??= 0;
  const field = counter(label, draft, name, MOST_BALLS);
  return {
    node: el("div", { class: "tally" }, field.node), values: () => ({ [name]: draft[name] }), valid: () => field.valid(true),
    fault: () => (draft[name] > draft.balls ? `That is more than the ${plural(draft.balls, "ball")} you hit.` : ""),
  };
}

/** Distances from the hole, one a ball. */
function leavesOf(draft, unit) {
  const field = numberField({ label: `From the hole, ${unit.name}`, min: 0, max: Math.floor(unit.from(100)) });
  const told = el("ol", { class: "leaves" });
  const draw = () => told.replaceChildren(...draft.leaves_m.map((m) => el("li", {}, fine(unit, m))));
  const add = () => {
    if (!field.valid(true)) return;
    draft.leaves_m = [...draft.leaves_m, unit.to(field.read())];
    field.set(null);
    draw();
  };
  const undo = () => { draft.leaves_m = draft.leaves_m.slice(0, -1); draw(); };
  draw();
  return {
    node: el("div", {}, el("div", { class: "numbers" }, field.node), el("div", { class: "small" },
      button("Next ball", add), button("Undo the last", undo, "second")), told),
    values: () => ({ leaves_m: draft.leaves_m }),
    fault: () => {
      if (!draft.leaves_m.length) return "Tell how far from the hole at least one ball stopped.";
      return draft.leaves_m.length > draft.balls ? `Those are ${draft.leaves_m.length} distances of ${plural(draft.balls, "ball")}.` : "";
    },
  };
}
