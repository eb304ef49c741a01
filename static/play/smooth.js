// The smooth swing: one tap a swing, whether the hum or the breath went through or broke.

import { button, el, radios } from "./dom.js";
import { finishing } from "./entry.js";
import { askedOf, quickPage } from "./quick.js";

const HOW = [["hum", "a hum"], ["breath", "a breath out"]];

export function smoothPage(day, block, tools) {
  const swings = day.answered(block);
  const { box, finish } = finishing(day, tools);
  const ball = block.balls[swings.length];
  const how = radios("how", "What goes through the swing?", HOW, swings.at(-1)?.values.how || "hum");
  const log = (smooth) => finish(() =>
    day.log("swing", { smooth, how: how.value(), block: block.id, club: ball?.club ?? null }), "Saved on this phone.");
  box.append(el("div", { class: "turf two", role: "group", "aria-label": "The swing" },
    button("smooth", log(true), "second"), button("it broke", log(false), "second")));
  const isFull = swings.length >= block.asked;
  return quickPage(day, block, tools, {
    what: isFull ? `All ${block.asked} swings` : `Swing ${swings.length + 1} of ${block.asked}`,
    told: [!isFull && askedOf(day, ball), swings.length > 0 && `${swings.filter(({ values }) => values.smooth).length} of ${swings.length} smooth.`],
    box: [box, how.node],
    name: ({ values }) => (values.smooth ? "smooth" : "it broke"),
    list: ["The swings", swings],
    done: swings.length > 0 && "Done",
  });
}
