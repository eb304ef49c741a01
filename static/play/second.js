// What neither today's plan nor the next ball needs is a second script (more.js). It is loaded when something of it is
// asked for first.

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

export const NOT_HERE_YET = "This page is not on the phone yet. Open it again where there is a signal.";

/** A part of a page that the second script makes: it comes into its place by itself, unfolded where that was. */
export function part(instead, name, ...given) {
  if (second.pages) return second.pages[name](...given);
  loadSecond().then((pages) => {
    const whole = pages[name](...given);
    if (instead.open) whole.firstChild.click();
    instead.replaceWith(whole);
  }, () => {});
  return instead;
}

/** A page of the second script, made of what is `given`; until that is there, a line that says so. */
export function other(name, ...given) {
  if (second.pages) return second.pages[name](...given);
  const coming = el("p", { class: "lead" }, "One moment …");
  loadSecond().then(() => coming.isConnected && second.arrived(),
    () => { coming.textContent = NOT_HERE_YET; });
  return coming;
}
