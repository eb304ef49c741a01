// Balls that were hit and whose result is entered later, and how far the player is in a block that is only counted:
// known to this phone alone until then.

import { el, link } from "./dom.js";
import { plural } from "./words.js";

/** So many balls at most wait: more than that nobody remembers. Common practice, no source. */
export const MOST_WAITING = 5;

const waitingName = (day) => `later.${day.player.id}`;
const walkName = (day) => `walk.${day.player.id}`;

/** The waiting balls in order: records of kind "later", with the block and the ball's n. */
export const waitingOf = (day) => day.queue.kept(waitingName(day)) ?? [];

/** What to keep so that an entry waits after the others, or that its ball waits no more: by name what to make of what is
 * held. */
export const waitingWith = (day, entry) =>
  ({ [waitingName(day)]: (held) => [...withoutBall(held, entry.values.ball), entry] });
export const waitingWithout = (day, ball) => ({ [waitingName(day)]: (held) => withoutBall(held, ball) });

const withoutBall = (held, ball) => (held ?? []).filter(({ values }) => values.ball !== ball);

/** Where the waiting balls are entered: beside the block of the first. */
export const laterPath = (day) => `${day.home}block/${waitingOf(day)[0].block}/later`;

/** How many balls wait, and the way to them; null where none does. */
export function laterBar(day) {
  const n = waitingOf(day).length;
  return n > 0 && el("p", { class: "caution waiting" },
    `${plural(n, "ball")} ${n === 1 ? "waits" : "wait"} to be entered. `,
    link(n === 1 ? "Enter it" : "Enter them", laterPath(day), "button second"));
}

/** For each ball so far of a block whether it was hit, and when the last was: {hits, at, offset_ms}. */
export const walkOf = (day, block) => day.queue.kept(walkName(day))?.[block.id] ?? { hits: [] };

/** The same to be kept, beside the walks through the other blocks of the plan. */
export const walkWith = (day, block, walk) => ({
  [walkName(day)]: (held) => {
    const others = Object.entries(held ?? {}).filter(([id, { hits }]) => hits.length && day.block(id));
    return { ...Object.fromEntries(others), [block.id]: walk };
  },
});
