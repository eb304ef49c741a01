// What is set for one ball alone, and what that makes of its values.

import { el, toggle } from "./dom.js";
import { isWind } from "./words.js";

const owns = new Map(); // by ball, so that a look at past balls forgets nothing

/** What was set for one ball only: a name is there only once it was touched. */
export function ownOf(ball) {
  if (!owns.has(ball)) owns.set(ball, {});
  return owns.get(ball);
}

/** The values of a shot with its own conditions laid over them. */
export function withOwn(values, own) {
  const { resolution_m, ...said } = own;
  const now = { ...values, ...said };
  if (now.surface === "mat") now.lie = "";
  if (!isWind(now.wind)) now.wind_from = "";
  // Without a distance there is nothing to be known to so many yards.
  if (resolution_m && now.resolution_m) now.resolution_m = resolution_m;
  return now;
}

/** A switch for a stock ball that was not the swing that was `asked`, for the swing through did not match the swing back:
 * it goes by feel, and the carry chart leaves it out. */
export const noMatch = (asked, values, own, changed = () => {}) =>
  toggle("through did not match", withOwn(values, own).swing === "feel", (on) => {
    own.swing = on ? "feel" : asked;
    changed();
  });

/** What a mishit on a mat needs said: the club slides on, so that a fat ball flies nearly as a clean one. */
export const onMat = (values) =>
  el("p", { class: "soft", id: "on-mat", hidden: values.surface !== "mat" }, "On a mat fat is hard to tell.");
