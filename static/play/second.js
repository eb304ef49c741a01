// What the next ball does not need is a second script (more.js). It is loaded when something of it is asked for first.

import { el } from "./dom.js";

const second = { pages: null, arrived: () => {} };

/** What to draw anew when a page has come that is still waited for. */
export function whenSecondComes(arrived) {
  second.arrived = arrived;
}

/** All that is in the second script, or null while it is not there. */
export const secondPages = () => second.pages;

/** Load it; resolves to all that is in it. */
export async function loadSecond() {
  second.pages = (await import(document.body.dataset.more)).pages;
  return second.pages;
}

/** A page of the second script, made of what is `given`; until that is there, a line that says so. */
export function other(name, ...given) {
  if (second.pages) return second.pages[name](...given);
  const coming = el("p", { class: "lead" }, "One moment …");
  loadSecond().then(() => coming.isConnected && second.arrived(),
    () => { coming.textContent = "This page is not on the phone yet. Open it again where there is a signal."; });
  return coming;
}
