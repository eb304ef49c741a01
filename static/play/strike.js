// Strike marks: after some balls all marks on the face are tapped on one drawing of it, or typed.

import { button, draw, el, fold, numberField, select } from "./dom.js";
import { finishing } from "./entry.js";
import { THUMB_PX } from "./picture.js";
import { askedOf, quickPage } from "./quick.js";
import { walkOf } from "./waiting.js";
import { plural } from "./words.js";

// Corners of no particular head, [low-high, heel-toe] in mm from the middle: along the sole to the toe, and back. Drawn as
// the coach's strike page draws it.
const FACE = [
  [-18, -33], [-21, -16], [-22, 0], [-21, 15], [-16, 29], [-6, 38], [8, 41],
  [22, 38], [30, 29], [26, 15], [19, -5], [12, -24], [6, -39], [-8, -41],
];
const GROOVES = [-14, -10, -6, -2, 2, 6, 10];
const HALF = { up: 38, right: 48 };
const LOOK_EVERY = 5; // balls of a strike bucket up to a look at the mark, and at its end the check

let goodTo = ""; // how good a tap is, as last worked out: so that a page drawn by itself anew is the same
const faces = new Map(); // by block: the club whose face is drawn, where the player chose it

export function strikePage(day, block, tools) {
  const { box, finish } = finishing(day, tools);
  const stage = stageOf(day, block);
  const clubs = clubsOf(day, block);
  if (!clubs.length) return el("p", {}, "There is no club in your bag. Ask your coach to add one.");
  const club = faces.get(block.id) ?? stage.club ?? clubs[0].id;
  const marks = stage.marks.filter(({ values }) => values.club === club);
  const log = (mark) => finish(() => day.log("strike_mark", { ...mark, block: block.id, club }), "Mark saved on this phone.")();
  const drawn = faceOf(day.player.handed === "left", marks.map(({ values }) => values), log);
  const pass = finish(async () => { await day.walk(block, [...walkOf(day, block).hits, false]); return true; }, "Next balls.");
  box.append(drawn, typedMark(log));
  if (stage.look) box.append(el("div", { class: "small" }, button("No mark to be seen: go on", pass, "second")));
  const choice = clubs.length > 1 && select("Club", clubs.map(({ id, label }) => [id, label]), club, () => {
    faces.set(block.id, choice.value());
    tools.redraw();
  });
  return quickPage(day, block, tools, {
    what: stage.heading,
    told: stage.told,
    box: [day.player.is_junior && el("p", { class: "caution" }, "Marker or tape on the face: no spray."), choice && choice.node, box],
    name: ({ values }) => markInWords(values),
    list: ["The marks", marks],
    done: !stage.look && `Done: ${plural(stage.marks.length, "mark")}`,
  });
}

/** The club that the balls ask for, else any in the bag. */
function clubsOf(day, block) {
  const asked = new Set(block.balls.map(({ club }) => club));
  return day.clubs.filter(({ id }) => !asked.size || asked.has(id));
}

/** Where the player is: {look, heading, told, club, marks}; `look` before the check of a strike bucket. */
function stageOf(day, block) {
  const all = day.answered(block);
  const before = block.kind === "strike_bucket" ? Math.max(0, block.asked - LOOK_EVERY) : 0;
  const looks = Math.ceil(before / LOOK_EVERY);
  const unseen = walkOf(day, block).hits.length;
  const looked = all.length + unseen;
  const ball = (n) => block.balls[n - 1] ?? block.balls.at(-1);
  if (looked < looks) {
    const first = looked * LOOK_EVERY + 1;
    const last = Math.min(first + LOOK_EVERY - 1, before);
    const [numbers, mark] =
      last > first ? [`Balls ${first} to ${last}`, "the mark of the last"] : [`Ball ${last}`, "the mark"];
    const told = `Hit ${plural(last - first + 1, "ball")}, look at ${mark} and tap it. Then adjust as you like.`;
    return { look: true, club: ball(last)?.club, marks: all, heading: `${numbers} of ${block.asked}`,
      told: [told, askedOf(day, ball(last))] };
  }
  const left = block.asked - before;
  const marks = all.slice(looks && Math.max(0, looks - unseen));
  const heading = looks ? `The check: ${left} balls` : `${left} balls`;
  return { look: false, club: ball(before + marks.length + 1)?.club, marks, heading,
    told: [`${looks ? "Wipe the face. " : ""}Hit them, then tap every mark on the face.`, askedOf(day, ball(block.asked))] };
}

/** The face to tap, as it looks from in front of it, sole down: a right-hander's toe is on the left. */
function faceOf(isLeft, marks, pick) {
  const right = (toe) => (isLeft ? toe : -toe);
  const groove = (up) => draw("line", { class: "ruling", x1: right(-26), x2: right(24), y1: -up, y2: -up });
  const spot = ({ heel_toe_mm, low_high_mm }) => draw("circle", { class: "mark", r: 2, cx: right(heel_toe_mm), cy: -low_high_mm });
  const word = (name, toe, anchor) => draw("text", { class: "ruling-label", x: right(toe), y: 35, "font-size": 6,
    "text-anchor": isLeft === (toe > 0) ? "end" : "start" }, name);
  const drawing = draw("svg", {
    viewBox: `${-HALF.right} ${-HALF.up} ${2 * HALF.right} ${2 * HALF.up}`, class: "picture face", role: "img",
    "aria-label": `The face, seen from in front of it, with ${plural(marks.length, "mark")}. The number fields below do the same.`,
  }, draw("path", { d: outline(right) }), GROOVES.map(groove), word("toe", 46), word("heel", -46), marks.map(spot));
  const perPixel = () => (2 * HALF.right) / drawing.getBoundingClientRect().width;
  const resolution = () => Math.ceil(THUMB_PX * perPixel());
  drawing.addEventListener("click", (event) => {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(drawing.getScreenCTM().inverse());
    pick({ heel_toe_mm: right(Math.round(point.x)), low_high_mm: -Math.round(point.y), resolution_mm: resolution() });
  });
  const precision = el("p", { class: "soft" }, goodTo);
  requestAnimationFrame(() => { precision.textContent = goodTo = `A tap is good to about ${resolution()} mm.`; });
  return el("div", { class: "picture-box" }, drawing, precision);
}

/** A path that bends from the middle of each side to that of the next. */
function outline(right) {
  const corners = FACE.map(([up, toe]) => [right(toe), -up]);
  const middles = corners.map(([x, y], i) => {
    const [x0, y0] = corners.at(i - 1);
    return `${((x0 + x) / 2).toFixed(2)},${((y0 + y) / 2).toFixed(2)}`;
  });
  const bends = corners.map(([x, y], i) => `Q${x},${y} ${middles[(i + 1) % middles.length]}`);
  return `M${middles[0]} ${bends.join(" ")}Z`;
}

/** The same by numbers. */
const typedMark = (pick) => fold("Type a mark instead", () => {
  const toe = numberField({ label: "To the toe, mm (heel: minus)", min: -80, max: 80 });
  const high = numberField({ label: "High, mm (low: minus)", min: -80, max: 80 });
  const save = () => toe.valid(true) && high.valid(true)
    && pick({ heel_toe_mm: toe.read(), low_high_mm: high.read(), resolution_mm: 1 });
  return [el("div", { class: "numbers" }, toe.node, high.node), button("Save this mark", save, "wide")];
});

const sideOf = (mm, minus, plus, neither) => (mm ? `${Math.abs(mm)} mm ${mm < 0 ? minus : plus}` : neither);

export const markInWords = ({ heel_toe_mm, low_high_mm }) => [
  sideOf(heel_toe_mm, "to the heel", "to the toe", "neither heel nor toe"),
  sideOf(low_high_mm, "low", "high", "neither low nor high"),
].join(", ");
