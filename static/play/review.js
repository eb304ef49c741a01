// Looking back: the balls already hit, correcting one, and what a block came to.

import { noMatch, onMat, ownOf, withOwn } from "./conditions.js";
import { button, el, link, radios, select, toggle } from "./dom.js";
import { quickSummary } from "./quick.js";
import { numbers, pad } from "./result.js";
import { FEWEST, meanAndScatter, passInWords, scoreInWords } from "./score.js";
import { thisBall } from "./this-ball.js";
import { laterBar, waitingOf } from "./waiting.js";
import { CONTACT_NOTES, MISHITS, errorOf, plural, resultInWords } from "./words.js";

// --- past balls

const deletions = new WeakMap(); // by day: the last ball that was deleted here, as it was and as it is now

export function pastPage(day, block, tools) {
  const row = (shot) => el("li", {}, el("a", { href: `${day.home}block/${block.id}/shots/${shot.id}` },
    el("span", {}, whichBall(day, block, shot)), el("strong", {}, outcome(day, block, shot))));
  const shots = day.shotsOf(block).reverse();
  return el("article", {},
    el("h1", { tabindex: -1 }, "Past balls"),
    el("p", { class: "soft" }, shots.length ? "Tap a ball to correct it. The last one is on top." : "Nothing hit yet."),
    el("ul", { class: "past" }, shots.map(row)),
    link("Back to the block", `${day.home}block/${block.id}`, "button big"),
    deletedBar(day, block, tools));
}

/** The way back for the ball that was deleted last, as long as it has no other result. */
function deletedBar(day, block, { say, warn, redraw }) {
  const { shot, gone } = deletions.get(day) ?? {};
  const ball = shot && ballOf(block, shot);
  if (!ball || day.answered(block).includes(ball)) return null;
  const undo = async () => {
    try {
      const kept = await day.record("shot", shot.values, { before: gone, once: ball.id });
      say(kept ? "Back again." : "Another tab of this phone has this ball already.");
      redraw();
    } catch (fault) {
      warn(fault);
    }
  };
  return el("aside", { class: "last", "aria-label": "The deleted ball" },
    el("p", {}, el("strong", {}, `Deleted: ${whichBall(day, block, shot)}`)),
    button("Undo", undo));
}

const ballOf = (block, shot) => block?.balls.find(({ id }) => id === shot.values.ball);

function whichBall(day, block, shot) {
  const ball = ballOf(block, shot);
  const n = ball ? `${ball.n}. ` : "";
  return `${n}${day.club(shot.values.club)?.label ?? "club"} ${shot.values.target_name || "no target"}`;
}

const outcome = (day, block, shot) =>
  resultInWords(shot.values, day.unit, day.askOf(block, shot.values).hidden) || "saved";

const NO_RESULT = { carry_m: null, error_m: null, lateral_m: null };

/** One past ball: the same entry as before, filled in; nothing is saved until "Save". Of a ball that was not taken the
 * block may be gone from the plan. */
export function correctPage(day, block, { go, say, warn }, shot) {
  if (!shot || shot.deleted) return el("p", {}, "This ball is not here any more.");
  if (shot.may_correct === false) return el("p", {}, "This ball was entered elsewhere: it is corrected there.");
  const values = { ...shot.values };
  const own = { ...ownOf(values.ball) };
  // A hidden number stays hidden, also where the block is gone.
  const ask = day.askOf(block ?? { number_shown: values.number_shown !== false }, values);
  const back = block ? `${day.home}block/${block.id}/shots` : day.home;
  const told = el("p", { class: "figure", role: "status" });
  const fields = numbers(ask, (typed) => take(ask.hidden && fields.empty() ? { lateral_m: typed.lateral_m } : typed));
  const tell = () => {
    told.textContent = resultInWords(withOwn(values, own), day.unit, ask.hidden) || "no result";
    quick?.show(values);
  };
  const quick = pad(ask, (result) => { take(result); fields.show(values); });
  const take = (result, seen = true) => {
    Object.assign(values, result, { seen });
    tell();
  };
  const contact = radios("contact", "Strike", [["", "as it should"], ...MISHITS.map((word) => [word, word])],
    values.contact === "clean" ? "" : values.contact);
  const note = radios("note", "And", [["", "no note"], ...Object.entries(CONTACT_NOTES)], values.contact_note ?? "");
  // A club that is not in the bag any more may stay; of a ball that was not taken it may be just what is wrong.
  const absent = shot.fault ? ["", "choose one"] : [values.club, "as it was"];
  const clubs = day.clubs.map(({ id, label }) => [id, label]);
  const club = select("Club", day.club(values.club) ? clubs : [absent, ...clubs], values.club);
  const fat = onMat(values);
  const conditions = thisBall(day.unit, values, own, () => {
    const now = withOwn(values, own);
    fat.hidden = now.surface !== "mat";
    ask.eye = now.measured_by === "eye"; // what is typed from now on is as fine as that
    tell();
  });
  const flags = [["helped", "helped"], ["warm_up", "warm-up"]].map(([name, label]) =>
    toggle(label, values[name], (on) => { values[name] = on; }));
  const { swing } = ballOf(block, shot) ?? values;
  if (ask.mode === "stock" && swing !== "feel") flags.push(noMatch(swing, values, own, tell));
  fields.show(values);
  tell();

  const keep = (change, said) => async () => {
    try {
      await change();
      say(said);
      go(back);
    } catch (fault) {
      warn(fault);
    }
  };
  const save = keep(() => {
    const contact_note = note.value();
    const strike = contact.value() || (contact_note ? "clean" : "");
    const how = { contact: strike, contact_note: strike === "clean" ? contact_note : "" };
    Object.assign(ownOf(values.ball), own);
    return day.correct(shot, withOwn({ ...values, ...how, club: club.value() }, own));
  }, "Correction saved on this phone.");
  const missing = () => !values.carry_m && typeof values.error_m !== "number" && !contact.value() && values.seen;
  const saveWhole = () => {
    if (!club.value()) told.textContent = "Say which club it was.";
    else if (missing()) told.textContent = "Say where it landed, or how it was struck.";
    else if (fields.valid(false)) save();
  };
  const remove = keep(async () => {
    await day.undo(shot);
    deletions.set(day, { shot, gone: day.shot(shot.id) });
  }, "Deleted.");
  return el("article", { class: "correct" },
    el("h1", { tabindex: -1 }, whichBall(day, block, shot)), told,
    quick?.node, fields.node,
    el("div", { class: "small" }, button("not seen", () => take(NO_RESULT, false), "second"), flags),
    contact.node, fat, note.node, club.node, conditions,
    el("div", { class: "bottom" },
      button("Save", saveWhole, "big")),
    el("div", { class: "under" }, block && button("Delete this ball", remove, "stop"),
      link("Leave it as it was", back, "button second")));
}

// --- summary, in plain words, from what this phone holds

const byEye = (shot) => shot.values.measured_by === "eye";
const isMishit = (shot) => MISHITS.includes(shot.values.contact);
const errorsOf = (shots) => shots.filter((shot) => !isMishit(shot) && shot.values.seen && !shot.values.warm_up)
  .map((shot) => errorOf(shot.values)).filter((error) => error !== null);

function lean(unit, mean_m) {
  const by = Math.abs(unit.whole(mean_m));
  return by ? `${mean_m > 0 ? "long" : "short"} by ${by} ${unit.name}` : "neither long nor short";
}

/** A check day that is not done: of it nothing is told before its last ball, and of its first time neither. */
const checkOf = (day, block) =>
  day.blocks.find((each) => each.kind === "check_day" && [each.id, each.repeats].includes(block.id) && !day.isDone(each));

export function summaryPage(day, block) {
  if (block.log !== "shots") return quickSummary(day, block);
  const shots = day.shotsOf(block);
  const left = block.balls.length - day.answered(block).length;
  const tally = day.tally(block);
  const check = checkOf(day, block);
  const told = !check && block.kind !== "pick_spot"; // a spot that the player picked has no distances at all
  const says = check ? [`What it came to stands here after the last ball of ${check.title}.`]
    : [...scoreInWords(day, block), passInWords(day, block)].filter(Boolean);
  return el("article", { class: "summary" },
    el("h1", { tabindex: -1 }, `${block.title}: ${day.isDone(block) ? "done" : "so far"}`),
    el("p", { class: "lead" }, tally ? tallyInWords(tally.values) : countsOf(day, block, shots, left)),
    says.map((line) => el("p", { class: "says" }, line)),
    laterBar(day),
    told && groupOf(day, "Measured", shots.filter((shot) => !byEye(shot)), ""),
    told && groupOf(day, "By eye", shots.filter(byEye), "Judged in zones, so good to a zone at best."),
    told && clubTable(day, shots),
    el("p", { class: "soft" }, tally ? "From memory: it says how it felt more than how it was."
      : `These are ${plural(shots.length, "ball")}: too few to prove anything. Your coach looks at many days.`),
    el("div", { class: "bottom" },
      day.isDone(block) ? link("Today's plan", day.home, "button big") : link("Go on", `${day.home}block/${block.id}`, "button big")),
    el("div", { class: "under" }, tally ? link("Correct the count", `${day.home}block/${block.id}/tally`, "button second")
      : link("Past balls", `${day.home}block/${block.id}/shots`, "button second")));
}

function tallyInWords({ balls, on, long, short, mishits }) {
  const lost = balls - on - long - short - mishits;
  const told = [`${plural(balls, "ball")} hit`, `${on} on it`, `${long} long`, `${short} short`, plural(mishits, "mishit")];
  if (lost) told.push(`${lost} not seen`);
  return `${told.join("; ")}.`;
}

/** Counts what was hit, which may be more than what was logged. */
function countsOf(day, block, shots, left) {
  const kinds = MISHITS.map((word) => [word, shots.filter((shot) => shot.values.contact === word).length])
    .filter(([, n]) => n).map(([word, n]) => `${n} ${word}`);
  const wait = waitingOf(day).filter(({ values }) => block.balls.some(({ id }) => id === values.ball)).length;
  const hit = day.hit(block);
  const skipped = block.balls.length - left - hit;
  // Two phones can both have hit a ball: both were hit.
  const all = Math.max(hit, shots.length + wait);
  const told = [(all > shots.length ? `${shots.length} logged of ` : "") + `${plural(all, "ball")} hit`];
  if (block.logging !== "end") told.push(kinds.length ? `mishits: ${kinds.join(", ")}` : "no mishits");
  if (wait) told.push(`${wait} to be entered`);
  if (skipped) told.push(`${skipped} skipped`);
  if (left) told.push(`${left} to go`);
  return `${told.join("; ")}.`;
}

/** One way of knowing distances: measured and by eye are never pooled. */
function groupOf(day, title, shots, caution) {
  const errors = errorsOf(shots);
  if (!shots.length) return null;
  const found = meanAndScatter(errors);
  const says = found
    ? `You tend ${lean(day.unit, found.mean)}; scatter ${day.unit.show(found.scatter)} (${errors.length} balls).`
    : `${plural(errors.length, "ball")} with a target and a distance (mishits and warm-up left out): `
      + `it takes ${FEWEST} to say long or short.`;
  return el("section", {}, el("h2", {}, title), el("p", { class: "says" }, says),
    caution && el("p", { class: "soft" }, caution));
}

function clubTable(day, shots) {
  const ids = day.clubs.map(({ id }) => id).filter((id) => shots.some((shot) => shot.values.club === id));
  const row = (id) => {
    const own = shots.filter((shot) => shot.values.club === id);
    const cell = (group) => {
      const found = meanAndScatter(errorsOf(group));
      return el("td", {}, found ? lean(day.unit, found.mean) : "–");
    };
    return el("tr", {}, el("th", { scope: "row" }, day.club(id).label),
      el("td", {}, own.length), el("td", {}, own.filter(isMishit).length),
      cell(own.filter((shot) => !byEye(shot))), cell(own.filter(byEye)));
  };
  const head = ["Club", "Balls", "Mishits", "Measured", "By eye"].map((name) => el("th", { scope: "col" }, name));
  return ids.length > 0 && el("div", { class: "wide-table", tabindex: 0, role: "region", "aria-label": "By club" }, el("table", {},
    el("caption", {}, `By club, long or short (– is fewer than ${FEWEST} balls)`),
    el("thead", {}, el("tr", {}, head)), el("tbody", {}, ids.map(row))));
}
