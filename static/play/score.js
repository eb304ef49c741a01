// What a block came to by its own score, in words, from what this phone holds.

import { MISHITS, errorOf, plural } from "./words.js";

export const FEWEST = 3;

/** Mean, and scatter as the standard deviation (divisor n - 1), of at least three numbers; else null. */
export function meanAndScatter(numbers) {
  const n = numbers.length;
  if (n < FEWEST) return null;
  const mean = numbers.reduce((sum, x) => sum + x, 0) / n;
  return { mean, scatter: Math.sqrt(numbers.reduce((sum, x) => sum + (x - mean) ** 2, 0) / (n - 1)) };
}

const percent = (part, whole) => `${Math.round((100 * part) / whole)} %`;
const howMany = (records, test) => records.filter(({ values }) => test(values)).length;
const shareOf = (records, test, word) => (records.length
  ? [`${howMany(records, test)} of ${records.length} ${word} (${percent(howMany(records, test), records.length)}).`] : []);

const isClean = ({ contact }) => contact === "clean";
const isSmooth = ({ smooth }) => smooth;

/** The lines that a block's score makes; none where nothing can be said yet. */
export function scoreInWords(day, block) {
  const records = day.answered(block);
  const outcome = day.tally(block)?.values ?? {};
  const { unit } = day;
  switch (block.score) {
    case "marks": return marksInWords(day, records);
    case "clean_share": return [...shareOf(records, isClean, "clean"), ...shareOf(records, ({ ground }) => ground === "brush", "brushed")];
    case "smooth_share": return shareOf(records, isSmooth, "smooth");
    case "best_run": return typeof outcome.best_run === "number" ? [`Best run: ${outcome.best_run} in a row.`] : [];
    case "yes_no": return typeof outcome.yes === "boolean" ? [outcome.yes ? "Done as asked: yes." : "Done as asked: no."] : [];
    case "leave": return leavesInWords(outcome.leaves_m ?? [], unit);
    case "landing_miss": return missesInWords(day, block);
    case "k_of_n": return madeInWords(day, block, outcome);
    case "strokes": return day.isDone(block) ? ["Scored by the strokes it would take to hole out: your coach sees them."] : [];
    default: return [];
  }
}

function leavesInWords(leaves_m, unit) {
  if (!leaves_m.length) return [];
  const mean_m = leaves_m.reduce((sum, m) => sum + m, 0) / leaves_m.length;
  return [`On average ${fine(unit, mean_m)} from the hole (${plural(leaves_m.length, "ball")}).`];
}

/** Short distances to a tenth. */
export const fine = (unit, m) => `${Math.round(unit.from(m) * 10) / 10} ${unit.name}`;

/** How far from the target balls landed, straight; measured and by eye are never pooled. */
function missesInWords(day, block) {
  const known = judged(day.shotsOf(block)).map(({ values }) => values).filter((values) =>
    !MISHITS.includes(values.contact) && errorOf(values) !== null && typeof values.lateral_m === "number");
  return [["measured", false], ["by eye", true]].flatMap(([name, isByEye]) => {
    const misses_m = known.filter(({ measured_by }) => (measured_by === "eye") === isByEye)
      .map((values) => Math.hypot(errorOf(values), values.lateral_m));
    const found = meanAndScatter(misses_m);
    return found ? [`Landing miss, ${name}: ${day.unit.show(found.mean)} on average (${plural(misses_m.length, "ball")}).`] : [];
  });
}

function madeInWords(day, block, outcome) {
  if (typeof outcome.made === "number") return [`${outcome.made} of ${outcome.balls} made (${percent(outcome.made, outcome.balls)}).`];
  if (block.log !== "shots") return [];
  const shots = judged(day.shotsOf(block));
  return shots.length ? [`${howMany(shots, isOnIt)} of ${plural(shots.length, "ball")} on the spot.`] : [];
}

const judged = (shots) => shots.filter(({ values }) => values.seen && !values.warm_up);

/** No further from the spot than the middle zone reaches. */
const isOnIt = (values) => !MISHITS.includes(values.contact)
  && Math.max(Math.abs(errorOf(values) ?? Infinity), Math.abs(values.lateral_m ?? 0)) <= (values.resolution_m ?? 0) / 2;

/** Where the own centre lies and how far a mark lies from it on average, club by club, as analytics/metrics/strike.py
 * works it out. */
function marksInWords(day, marks) {
  const clubs = day.clubs.filter(({ id }) => marks.some(({ values }) => values.club === id));
  return clubs.map(({ id, label }) => {
    const own = marks.map(({ values }) => values).filter(({ club }) => club === id);
    const told = `${label}: ${plural(own.length, "mark")}`;
    if (own.length < FEWEST) return `${told}. It takes ${FEWEST} to say how close they lie.`;
    const mean = (name) => own.reduce((sum, mark) => sum + mark[name], 0) / own.length;
    const [toe, high] = [mean("heel_toe_mm"), mean("low_high_mm")];
    const sum = own.reduce((all, mark) => all + Math.hypot(mark.heel_toe_mm - toe, mark.low_high_mm - high), 0);
    const off = sum / Math.sqrt(own.length * (own.length - 1)); // freed of the marks' own pull on their centre
    const side = (mm, minus, plus) => `${Math.abs(mm).toFixed(1)} mm ${mm < 0 ? minus : plus}`;
    return `${told}, on average ${off.toFixed(1)} mm from your own centre, which lies ${side(toe, "to the heel", "to the toe")} `
      + `and ${side(high, "low", "high")}.`;
  });
}

/** How many balls were near enough, of how many: [made, of]. */
function madeOf(day, block) {
  const outcome = day.tally(block)?.values ?? {};
  if (block.score === "clean_share") return [howMany(day.answered(block), isClean), day.answered(block).length];
  if (block.score === "smooth_share") return [howMany(day.answered(block), isSmooth), day.answered(block).length];
  if (typeof outcome.made === "number") return [outcome.made, outcome.balls];
  if (block.log !== "shots") return [0, 0];
  const near = (values) => {
    if (MISHITS.includes(values.contact)) return false;
    const miss_m = Math.hypot(errorOf(values), values.lateral_m ?? 0);
    return miss_m <= ((block.pass_within_pct + 1e-7) / 100) * values.target_m;
  };
  const shots = judged(day.shotsOf(block)).filter(({ values }) =>
    values.target_m && (MISHITS.includes(values.contact) || errorOf(values) !== null));
  return [howMany(shots, near), shots.length];
}

/** Whether the pass mark was reached, as practice/planner/marks.py judges it, and what follows; empty without a mark. */
export function passInWords(day, block) {
  if (!block.pass_of || !day.isDone(block)) return "";
  const [made, of] = madeOf(day, block);
  const told = `Pass mark, ${markOf(block)}: `;
  if (of < block.pass_of) return `${told}${plural(of, "ball")} to judge by, too few.`;
  const passed = made * block.pass_of >= block.pass_made * of;
  const next = passed ? block.on_pass : block.on_miss;
  return [`${told}${made} of ${of}, ${passed ? "passed" : "missed"}.`, next && `Next: ${next}`].filter(Boolean).join(" ");
}

/** "7 of 10", where the score does not say itself what is made "within 10 %". */
export const markOf = ({ log, pass_made, pass_of, pass_within_pct }) =>
  [`${pass_made} of ${pass_of}`, log === "shots" && `within ${pass_within_pct} %`].filter(Boolean).join(" ");
