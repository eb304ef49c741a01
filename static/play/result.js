// How a result is entered: zones for the eye, a picture for laser and monitor, number fields for both.
// Each tells `pick` the values of one result: {carry_m | error_m, lateral_m, resolution_m}.

import { button, el, numberField } from "./dom.js";
import { loadSecond, secondPages } from "./second.js";

/** The zones or the picture, whichever suits how distances are known: {node, show(values)}. */
export function pad(ask, pick) {
  if (ask.mode === "stock") return null;
  if (ask.mode === "spot" || ask.eye) return zones(ask, pick);
  if (secondPages()) return secondPages().picture(ask, pick);
  // It comes into its place by itself; without it the number fields do the same.
  const place = el("div");
  loadSecond().then(({ picture }) => place.replaceWith(picture(ask, pick).node), () => {});
  return { node: place };
}

export function valuesAt(ask, depth_m, lateral_m, resolution_m) {
  const where = { lateral_m, resolution_m };
  if (ask.mode === "spot") return { ...where, error_m: depth_m };
  // Nothing flies less than nothing: the shortest zone of a very short shot ends at one yard or metre.
  return { ...where, carry_m: Math.max(ask.target_m + depth_m, ask.unit.to(1)) };
}

// --- by eye: five depths by three sides; the outermost are open to the far side

const DEPTHS = [2, 1, 0, -1, -2];
const SIDES = [-1, 0, 1];

function depthName(ask, k) {
  if (k === 0) return "on it";
  const way = k > 0 ? "long" : "short";
  // With the number hidden not even the size of a zone is told: it would give the distance away.
  if (ask.hidden) return Math.abs(k) === 2 ? `far ${way}` : way;
  return `${ask.unit.whole(Math.abs(k) * ask.zone_m)}${Math.abs(k) === 2 ? "+" : ""} ${way}`;
}

function zones(ask, pick) {
  const { zone_m, unit } = ask;
  const sideName = (j) => ["left", "", "right"][j + 1];
  const zone = (k, j) => {
    const told = [depthName(ask, k), sideName(j)].filter(Boolean).join(", ");
    const shown = j === 0 ? depthName(ask, k) : sideName(j);
    const choose = () => pick(valuesAt(ask, k * zone_m, j * zone_m, zone_m));
    return button(shown, choose, k === 0 && j === 0 ? "zone middle" : "zone", { "aria-label": told });
  };
  const rows = DEPTHS.map((k) => SIDES.map((j) => [zone(k, j), valuesAt(ask, k * zone_m, j * zone_m, zone_m)]));
  const same = (a, b) => Math.abs(a - b) < 1e-6;
  const show = (values) => rows.flat().forEach(([node, own]) => {
    const deep = same(own.carry_m ?? own.error_m, values.carry_m ?? values.error_m);
    node.setAttribute("aria-pressed", deep && same(own.lateral_m, values.lateral_m));
  });
  const node = el("div", { class: "zones-box" },
    el("div", { class: "zones", role: "group", "aria-label": "Where it landed, seen from the target" },
      rows.map((row) => row.map(([node]) => node))),
    el("p", { class: "soft" }, ask.hidden ? "By eye, in zones." : `By eye, in zones of ${unit.show(zone_m)}.`));
  return { node, show };
}

// --- ordinary number fields, which hold the same values

/** The fields of a result. `changed` gets the values they hold; `show` fills them, also with what was `typed`. */
export function numbers(ask, changed) {
  const { unit, mode } = ask;
  const first = mode === "spot"
    ? { label: `Long by, ${unit.name} (short: minus)`, min: -400, max: 400 }
    : { label: `Carry, ${unit.name}`, min: 1, max: Math.floor(unit.from(400)) };
  const name = mode === "spot" ? "error_m" : "carry_m";
  const tell = () => changed(read());
  const distance = numberField({ ...first, changed: tell });
  const side = numberField({ label: `Side, ${unit.name} (left: minus)`, min: -200, max: 200, changed: tell });
  const metres = (number) => (number === null ? null : unit.to(number));
  const read = () => ({
    [name]: metres(distance.read()),
    lateral_m: metres(side.read()),
    resolution_m: ask.eye ? ask.zone_m : unit.to(1),
  });
  const units = (value) => (value === null || value === undefined ? null : unit.from(value));
  const show = (values, typed = false) => {
    // With the number hidden a carry judged against the target would give its distance away; one just typed does not.
    if (!ask.hidden || typed) distance.set(units(values[name]));
    // At a spot that is a distance too.
    if (!ask.hidden || mode !== "spot" || typed) side.set(units(values.lateral_m));
  };
  const valid = (needed) => distance.valid(needed) && side.valid(false);
  const empty = () => distance.read() === null;
  return { node: el("div", { class: "numbers" }, distance.node, side.node), read, show, valid, empty };
}
