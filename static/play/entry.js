// What came of a ball: one tap for the result, or a few; used while it is hit and when it is entered later.

import { noMatch, onMat, ownOf, withOwn } from "./conditions.js";
import { button, el, fold, toggle } from "./dom.js";
import { numbers, pad } from "./result.js";
import { CONTACT_NOTES, MISHITS } from "./words.js";

// A second tap this soon after a save is a trembling thumb or a double tap: it must not log the next ball.
const REST_MS = 400;
// A save is shown only where it takes its time: drawn at once, it would be waited for before the disk is.
const SEEN_MS = 100;

const drafts = new Map(); // by ball: what was chosen and typed and is not saved yet

/** What was chosen and typed for a ball so far; `begun` is what there is to begin with. */
export function draftOf(ball, begun) {
  if (!drafts.has(ball)) drafts.set(ball, { contact_note: "", typed: null, own: ownOf(ball), ...begun });
  return drafts.get(ball);
}

/** What a draft says of the ball beside its result. */
export const saidOf = ({ contact_note, flags }) => ({ contact_note, ...flags });

/** The values of a shot: what was known of the ball, the draft, and the result. */
export function shotValues(known, state, result) {
  const given = { seen: true, contact: "", ...saidOf(state), ...result };
  if (given.contact_note) given.contact = "clean"; // a little heavy or thin is still a clean strike, with a note
  return withOwn({ ...known, ...given }, state.own);
}

/** A box whose buttons finish one ball: a tap while one is being saved, or just after, does nothing. */
export function finishing(day, tools) {
  const box = el("div", { class: "entry", inert: day.resting });
  const rest = () => { box.inert = day.resting; };
  if (day.resting) setTimeout(() => { day.resting = false; rest(); }, REST_MS);
  const finish = (record, said) => async () => {
    if (day.resting) return;
    try {
      day.resting = true;
      setTimeout(rest, SEEN_MS);
      const kept = await record();
      tools.say(kept ? said : "Another tab of this phone has this ball already.");
      tools.redraw();
    } catch (fault) {
      day.resting = false;
      rest();
      tools.warn(fault);
    }
  };
  return { box, finish };
}

/** The pads and buttons for one ball. `known` are its values so far, `log(result)` saves; `more` stands by "not seen". */
export function entryOf(day, block, known, state, { log, redraw, more }) {
  const values = withOwn(known, state.own);
  const ask = day.askOf(block, values);
  const fields = () => {
    const typed = numbers(ask, (given) => { state.typed = given; });
    if (state.typed) typed.show(state.typed, true);
    return [typed.node, button("Save", () => typed.valid(true) && log(typed.read()), "wide")];
  };
  const quick = pad(ask, log)?.node;
  const flag = (name, label) => toggle(label, state.flags[name], (on) => { state.flags[name] = on; });
  return [
    quick,
    quick && ask.eye
      ? fold("Type it instead", fields, state.typed)
      : el("div", {}, fields()),
    el("div", { class: "mishits", role: "group", "aria-label": "Mishit" },
      MISHITS.map((contact) => button(contact, () => log({ contact }), "second",
        { "aria-describedby": contact === "fat" && values.surface === "mat" && "on-mat" }))),
    onMat(values),
    el("div", { class: "small", role: "group", "aria-label": "About this ball" },
      button("not seen", () => log({ seen: false }), "second"),
      more,
      Object.entries(CONTACT_NOTES).map(([note, label]) =>
        toggle(label, state.contact_note === note, (on) => { state.contact_note = on ? note : ""; redraw(); })),
      ask.mode === "stock" && known.swing !== "feel" && noMatch(known.swing, known, state.own),
      flag("helped", "helped"),
      flag("warm_up", "warm-up")),
  ].filter(Boolean);
}
