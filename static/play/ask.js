// What to hit, big enough to be read from where the ball lies; what stands in its way; and the button that is always there.

import { button, el, fold, link } from "./dom.js";
import { HURTS, swingName } from "./words.js";

const isAimed = (ball) => ball.target || ball.target_name;

/** Where to land it, with the number where it is shown; a long name must not push the zones off the screen. */
function targetOf(day, block, ball) {
  const distance_m = day.distance_m(ball);
  return [el("span", { class: ball.target_name.length > 14 ? "target long" : "target" }, ball.target_name), " ",
    block.number_shown && distance_m && el("span", { class: "figure" }, day.unit.show(distance_m))];
}

const clubName = (day, ball) => day.club(ball.club)?.label ?? "club";

/** One ball: its heading and its swing. */
export const askedBall = (day, block, ball) => [
  el("h1", { tabindex: -1 },
    el("span", { class: "count" }, `Ball ${ball.n} of ${block.balls.length} `),
    el("span", { class: "club" }, clubName(day, ball)),
    isAimed(ball) && el("span", { class: "land" }, el("span", { class: "soft" }, " land it at "),
      targetOf(day, block, ball))),
  el("p", { class: "swing" }, swingOf(day, block, ball)),
];

const HOW_MANY = ["", "", "two", "three"];

/** Several balls to hit before the next result, the last of them marked. `skip(ball)` makes the button of a ball that
 * cannot be hit. */
export function askedBalls(day, block, balls, skip) {
  const log = balls.at(-1);
  const row = (ball) => el("li", { class: ball === log ? "ask-row log" : "ask-row" },
    el("span", { class: "club" }, clubName(day, ball)), " ",
    el("span", { class: "land" },
      isAimed(ball) && targetOf(day, block, ball),
      el("span", { class: "swing" }, ` ${swingOf(day, block, ball)}`),
      ball === log && el("strong", { class: "mark-log" }, "log this one"),
      ball !== log && day.outsideArc(ball) && skip(ball)));
  return [
    el("h1", { tabindex: -1 }, el("span", { class: "count" },
      `Balls ${balls[0].n} to ${log.n} of ${block.balls.length} `),
    el("span", { class: "how" }, `Hit ${HOW_MANY[balls.length]}, log the last`)),
    el("ol", { class: "asks" }, balls.map(row)),
  ];
}

function swingOf(day, block, ball) {
  if (ball.swing !== "feel") {
    return swingName(day, ball.swing) + (isAimed(ball) ? "" : ", no target: the same swing each time");
  }
  if (!block.number_shown) return "by feel";
  const name = ({ swing, carry_m }) => `${swingName(day, swing).replace(/ \(.*/, "")} ${day.unit.show(carry_m)}`;
  if (ball.below && ball.above) return `feel: between ${name(ball.below)} and ${name(ball.above)}`;
  if (ball.below) return `feel: more than ${name(ball.below)}`;
  return ball.above ? `feel: less than ${name(ball.above)}` : "by feel";
}

/** What speaks against hitting a ball, and what makes its distance doubtful. */
export function warningsOf(day, block, ball) {
  const { venue, line } = day.place();
  const outside = day.outsideArc(ball);
  const other = block.venue && block.venue !== venue?.id && day.venues.find(({ id }) => id === block.venue);
  const known = line?.targets.find(({ id }) => id === ball.target);
  const told = [];
  if (outside) told.push("This flag is outside your bay's arc: skip it.");
  if (other) told.push(`This block was made for ${other.name}.`);
  else if (ball.target && line && !known) told.push("This target belongs to another tee line: its distance is not yours.");
  const doubtful = block.number_shown && known && day.visit.stand === "unchecked";
  return {
    outside,
    node: told.map((text) => el("p", { class: "caution" }, text, " ", link("Where am I?", `${day.home}visit`))),
    doubt: doubtful && el("p", { class: "soft" }, "Nobody checked this distance today."),
  };
}

/** The button for the day that hurts, and what a block's drill asks to take care of. */
export function care(day, block, { go, warn }) {
  const stop = async () => {
    try {
      await day.stopToday(block);
      go(day.home);
    } catch (fault) {
      warn(fault);
    }
  };
  return el("div", { class: "care" },
    button(day.who ? `${day.who}: ${HURTS.toLowerCase()}` : HURTS, stop, "stop"),
    block?.cautions && fold("Care", () => [el("p", {}, block.cautions)]));
}
