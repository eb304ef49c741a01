// The quick logs by their names, and what a coach says with a block.

import { el } from "./dom.js";
import { outcomePage } from "./outcome.js";
import { markOf } from "./score.js";
import { smoothPage } from "./smooth.js";
import { strikePage } from "./strike.js";
import { turfPage } from "./turf.js";

const PAGES = { strike: strikePage, turf: turfPage, swing: smoothPage, outcome: outcomePage };

/** The page of a block that is not logged shot by shot. */
export const logPage = (day, block, tools) => PAGES[block.log](day, block, tools);

/** What the coach says with a block, before its first ball. */
export function saidWith({ cue, reason, minutes, surface, rain, pass_of, ...block }) {
  const lines = [
    cue && el("strong", {}, cue),
    reason,
    minutes && `About ${minutes} minutes.`,
    surface && `Off ${surface}.`,
    pass_of && `Pass mark: ${markOf({ ...block, pass_of })}.`,
    rain && `If it rains: ${rain}`,
  ];
  return el("div", {}, lines.map((line) => line && el("p", { class: "lead" }, line)));
}
