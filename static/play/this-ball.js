// The conditions of one ball where they are not the visit's: seldom needed, so folded away under the entry.

import { BALLS, MEASURED_BY, SURFACES, UNKNOWN, WINDS, WINDS_FROM } from "./choices.js";
import { withOwn } from "./conditions.js";
import { fold, radios } from "./dom.js";
import { isWind } from "./words.js";

const LIES = [["fairway", "fairway"], ["rough", "rough"], ["bare", "bare"], ["sand", "in sand"], UNKNOWN];
const RESOLUTIONS = [1, 2, 5, 10]; // yards or metres

/** The fold. `values` are the ball's without its own; what is chosen goes into `own`, and `changed(name)` is told. */
export function thisBall(unit, values, own, changed) {
  const resolutions = [["", "as entered"], ...RESOLUTIONS.map((n) => [String(n), `${n} ${unit.name}`])];
  const choices = [
    ["surface", "Off what?", SURFACES],
    ["lie", "Lie", LIES],
    ["ball_type", "Which ball?", BALLS],
    ["wind", "Wind", WINDS],
    ["wind_from", "Wind from", WINDS_FROM],
    ["measured_by", "How is the distance known?", MEASURED_BY],
    ["resolution_m", "Known to within", resolutions],
  ];
  const chosen = (name) => {
    if (name === "resolution_m") return own.resolution_m ? String(unit.whole(own.resolution_m)) : "";
    return own[name] ?? values[name] ?? "";
  };
  const label = ([name, , options]) => options.find(([value]) => value === chosen(name))?.[1];
  const set = (name, value) => {
    own[name] = name === "resolution_m" ? (value ? unit.to(Number(value)) : null) : value;
    show();
    changed(name);
  };
  const field = ([name, legend, options]) => {
    const chips = radios(`own_${name}`, legend, options, chosen(name), () => set(name, chips.value()));
    return [name, chips.node];
  };
  let nodes = [];
  const node = fold("", () => {
    nodes = choices.map(field);
    show();
    return nodes.map(([, each]) => each);
  });
  node.className = "own";

  function show() {
    const now = withOwn(values, own);
    const hidden = { lie: now.surface === "mat", wind_from: !isWind(now.wind) };
    const told = choices.filter(([name]) => own[name] !== undefined && !hidden[name]).map(label);
    node.firstChild.textContent = `Only this ball: ${told.join(", ") || "lie, wind, distance"}`;
    for (const [name, each] of nodes) each.hidden = Boolean(hidden[name]);
  }

  show();
  return node;
}
