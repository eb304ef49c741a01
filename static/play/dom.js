// Builds elements. Text goes in as text nodes only, so that nothing a person typed can become markup.

const SVG = "http://www.w3.org/2000/svg";

/** Make an element: attributes by name, `onclick` and the like as listeners, children as nodes or text. */
export const el = (name, attributes, ...children) => fill(document.createElement(name), attributes, children);

/** The same for a drawing. */
export const draw = (name, attributes, ...children) => fill(document.createElementNS(SVG, name), attributes, children);

function fill(node, attributes, children) {
  for (const [key, value] of Object.entries(attributes ?? {})) {
    if (value === false || value === null || value === undefined) continue;
    if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
    else node.setAttribute(key, value === true ? "" : value);
  }
  node.append(...children.flat(2).filter((child) => child !== null && child !== undefined && child !== false));
  return node;
}

export const button = (label, onclick, look = "", more = {}) =>
  el("button", { type: "button", class: look, onclick, ...more }, label);

export const link = (label, href, look = "") => el("a", { href, class: look }, label);

/** What is folded away: `make` its children, once it is first unfolded, which is now where it is `open`. */
export function fold(summary, make, open) {
  const node = el("details", {}, el("summary", {}, summary));
  // A click comes before it opens: the next key may follow at once.
  node.addEventListener("click", () => node.append(...make()), { once: true });
  if (open) node.firstChild.click();
  return node;
}

/** A choice of one word out of a few. `options` are [value, label]; `value()` reads it. */
export function radios(name, legend, options, chosen, onchange) {
  const chips = options.map(([value, label]) => {
    const input = el("input", { type: "radio", name, value, checked: value === chosen, onchange });
    return el("label", { class: "chip" }, input, el("span", {}, label));
  });
  const node = el("fieldset", { class: "chips" }, el("legend", {}, legend), el("div", {}, chips));
  return { node, value: () => node.querySelector(":checked")?.value ?? "" };
}

/** A drop-down list of [value, label]. */
export function select(label, options, chosen, onchange) {
  const list = options.map(([value, text]) => el("option", { value, selected: value === chosen }, text));
  const input = el("select", { onchange }, list);
  return { node: el("label", { class: "field" }, el("span", {}, label), input), value: () => input.value };
}

/** A switch that stays small. */
export function toggle(label, on, onchange) {
  const input = el("input", { type: "checkbox", checked: on, onchange: () => onchange(input.checked) });
  return el("label", { class: "chip" }, input, el("span", {}, label));
}

/** A number with two buttons that nudge it by one; empty is null. `changed` is told of every change; `valid(needed)`
 * lets the browser say what is wrong. */
export function numberField({ label, value = null, min, max, changed = () => {} }) {
  const input = el("input", { type: "number", step: "any", min, max, oninput: () => changed(read()) });
  const read = () => (input.value === "" ? null : input.valueAsNumber);
  const set = (number) => { input.value = number === null ? "" : Math.round(number * 10) / 10; };
  const nudge = (step) => {
    set(Math.min(max, Math.max(min, Math.round(read() ?? 0) + step)));
    changed(read());
  };
  set(value);
  const node = el("div", { class: "number" },
    el("label", {}, el("span", {}, label), input),
    button("−", () => nudge(-1), "nudge", { "aria-label": `${label}: one less` }),
    button("+", () => nudge(1), "nudge", { "aria-label": `${label}: one more` }));
  const valid = (needed) => {
    input.required = needed;
    return input.reportValidity();
  };
  return { node, read, set, valid };
}
