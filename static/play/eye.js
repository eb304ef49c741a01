// The eye check: guess a distance, then let a laser say it; ten times, and in a sentence what that shows.

import { button, el, link, numberField } from "./dom.js";
import { meanAndScatter } from "./score.js";

const ROUND = 10;

const states = new WeakMap(); // by day: what was typed, guesses that got no reading, and how far the player went on
const stateOf = (day) => {
  if (!states.has(day)) states.set(day, { typed: null, passed: new Set(), goneOn: 0 });
  return states.get(day);
};

export function eyePage(day, tools) {
  const state = stateOf(day);
  const last = day.today("eye_check").at(-1);
  if (last && !last.values.measured_m && !state.passed.has(last.id)) return laserPage(day, last, state, tools);
  const checked = day.today("eye_check").filter(({ values }) => values.measured_m);
  const isDone = checked.length && checked.length % ROUND === 0 && checked.length > state.goneOn;
  return isDone ? donePage(day, checked, state, tools) : guessPage(day, checked, state, tools);
}

/** A distance typed into a field that keeps it while the player looks elsewhere, and a button that records it. */
function asking(day, label, state, { warn, redraw }, name, record) {
  const { unit } = day;
  const changed = (number) => { state.typed = number; };
  const field = numberField({ label: `${label}, ${unit.name}`, min: 1, max: Math.floor(unit.from(400)),
    value: state.typed, changed });
  const save = async () => {
    if (!field.valid(true)) return;
    try {
      await record(unit.to(field.read()));
      state.typed = null;
      redraw();
    } catch (fault) {
      warn(fault);
    }
  };
  return [field.node, el("div", { class: "bottom" }, button(name, save, "big"))];
}

/** A button that takes a guess back. */
const takeBack = (day, guess, name, { say, warn, redraw }) => button(name, async () => {
  try {
    await day.undo(guess);
    say("Taken back.");
    redraw();
  } catch (fault) {
    warn(fault);
  }
}, "second");

function guessPage(day, checked, state, tools) {
  const last = checked.at(-1);
  const told = last && `Last: you guessed ${day.unit.show(last.values.guess_m)}, it is `
    + `${day.unit.show(last.values.measured_m)}.`;
  return el("article", {},
    el("h1", { tabindex: -1 }, "Check your eye"),
    el("p", { class: "lead" }, `Guess ${(checked.length % ROUND) + 1} of ${ROUND}. `,
      "Pick a flag or a ball. How far is it? Guess before you look at the laser."),
    asking(day, "Your guess", state, tools, "That is my guess", (guess_m) => day.guess(guess_m)),
    told && el("p", { role: "status" }, told),
    el("div", { class: "under" }, last && takeBack(day, last, "Undo the last", tools),
      link("Today's plan", day.home, "button second")));
}

function laserPage(day, guess, state, tools) {
  const pass = () => { state.passed.add(guess.id); state.typed = null; tools.redraw(); };
  return el("article", {},
    el("h1", { tabindex: -1 }, "What does the laser say?"),
    el("p", { class: "lead" }, `You guessed ${day.unit.show(guess.values.guess_m)}.`),
    asking(day, "The laser says", state, tools, "Save", (measured_m) => day.measure(guess, measured_m)),
    el("div", { class: "under" }, button("No reading", pass, "second"),
      takeBack(day, guess, "Take the guess back", tools)));
}

function donePage(day, checked, state, tools) {
  const more = () => { state.goneOn = checked.length; tools.redraw(); };
  const round = checked.slice(-ROUND);
  const row = ({ values }) => el("tr", {}, ["guess_m", "measured_m"].map((name) =>
    el("td", {}, day.unit.show(values[name]))));
  return el("article", { class: "summary" },
    el("h1", { tabindex: -1 }, "Check your eye: done"),
    el("p", { class: "says" }, errorInWords(day.unit, round.map(({ values }) => values))),
    el("p", { class: "soft" }, "Your coach sees all your guesses together."),
    el("table", {}, el("caption", {}, "The last ten"),
      el("thead", {}, el("tr", {}, ["Guess", "Laser"].map((name) => el("th", { scope: "col" }, name)))),
      el("tbody", {}, round.map(row))),
    el("div", { class: "bottom" }, link("Today's plan", day.home, "button big")),
    el("div", { class: "under" }, button("Ten more", more, "second"),
      takeBack(day, round.at(-1), "Undo the last", tools)));
}

/** The error of guesses as analytics/metrics/eye_check.py works it out: by the logarithm of guess over laser. */
function errorInWords(unit, guesses) {
  const ratio = meanAndScatter(guesses.map(({ guess_m, measured_m }) => Math.log(guess_m / measured_m)));
  const miss = meanAndScatter(guesses.map(({ guess_m, measured_m }) => guess_m - measured_m));
  const lean = (size, name) => `${Math.abs(size)} ${name}${size ? (size > 0 ? " long" : " short") : ""}`;
  const bias = lean(Math.round(100 * Math.expm1(ratio.mean)), "%");
  const scatter = Math.round(100 * Math.sqrt(Math.expm1(ratio.scatter ** 2)));
  return `You guess ${bias} (${lean(unit.whole(miss.mean), unit.name)}), with a scatter of ${scatter} % `
    + `(${unit.show(miss.scatter)}); with ${guesses.length} guesses little is sure.`;
}
