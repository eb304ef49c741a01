// A measured result by touch: a plan of the ground round the target, drawn to scale, further away is up.

import { draw, el } from "./dom.js";
import { valuesAt } from "./result.js";

export const THUMB_PX = 15; // common practice, no source: a thumb is good to about this much either way
const STEP = 5; // yards or metres between two rulings

/** A picture to tap: {node, show(values)}. */
export function picture(ask, pick) {
  const { unit, hidden } = ask;
  const target = unit.from(ask.target_m);
  const half = Math.max(20, STEP * Math.ceil((target * 0.25) / STEP));
  const lines = [];
  for (let d = STEP - half; d < half; d += STEP) lines.push(...ruling(d, half, hidden ? "" : Math.round(target + d)));
  const side = { class: "ruling-label", x: half - 1, "text-anchor": "end", "font-size": half / 9 };
  lines.push(draw("text", { ...side, y: half / 8 - half }, "long"), draw("text", { ...side, y: half * 0.97 }, "short"));
  const arm = half / 12;
  const mark = draw("circle", { class: "mark", r: arm / 2, visibility: "hidden" });
  const drawing = draw("svg", {
    viewBox: `${-half} ${-half} ${2 * half} ${2 * half}`, class: "picture", role: "img",
    "aria-label": "The ground round the target, long is up. The number fields below do the same.",
  }, lines, draw("path", { class: "cross", d: `M${-arm} 0H${arm}M0 ${-arm}V${arm}` }), mark);
  const perPixel = () => (2 * half) / drawing.getBoundingClientRect().width;
  const resolution = () => Math.ceil(THUMB_PX * perPixel());
  const precision = el("p", { class: "soft" });
  drawing.addEventListener("click", (event) => {
    const point = new DOMPoint(event.clientX, event.clientY).matrixTransform(drawing.getScreenCTM().inverse());
    // Snapped to whole yards or metres of carry: finer than that no thumb is.
    const carry = Math.round(target - point.y);
    pick(valuesAt(ask, unit.to(carry) - ask.target_m, unit.to(Math.round(point.x)), unit.to(resolution())));
  });
  if (!hidden) {
    requestAnimationFrame(() => { precision.textContent = `A tap is good to about ${resolution()} ${unit.name}.`; });
  }
  const show = ({ carry_m, lateral_m }) => {
    mark.setAttribute("visibility", carry_m ? "visible" : "hidden");
    mark.setAttribute("cx", unit.from(lateral_m ?? 0));
    mark.setAttribute("cy", target - unit.from(carry_m ?? 0));
  };
  return { node: el("div", { class: "picture-box" }, drawing, precision), show };
}

function ruling(d, half, label) {
  const words = { class: "ruling-label", x: 1 - half, y: -d - half / 60, "font-size": half / 9 };
  return [
    draw("line", { class: d ? "ruling" : "ruling at", x1: -half, x2: half, y1: -d, y2: -d }),
    draw("text", words, label),
  ];
}
