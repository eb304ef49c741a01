// The frame around every page: what waits to be sent and why, what was said, and what stands there when nothing opens.

import { button, el, link } from "./dom.js";
import { plural } from "./words.js";

export const at = (id) => document.getElementById(id);

export function say(text) {
  at("said").textContent = text;
}

export function warn(fault) {
  const full = fault.name === "QuotaExceededError";
  if (!full) console.error(fault);
  at("alarm").textContent = full
    ? "Not saved: this phone's storage is full. Free some space, then tap again."
    : "Not saved: something went wrong on this page. Load it again, then tap again.";
}

let shownTrouble;

/** What waits of the user who is here. */
export function showWaiting(queue) {
  const faulty = queue.faulty.length;
  const waiting = queue.items.length - faulty;
  const notTaken = faulty ? `, ${faulty} not taken` : "";
  at("waiting").textContent = `${waiting} waiting to send${notTaken}`;
  showTrouble(queue.trouble, waiting > 0 && (() => queue.flush()));
}

/** Drawn anew only when it changes: a reader would say it again, and a button would go from under a thumb. */
function showTrouble(trouble, send) {
  const told = trouble && `${trouble.kind} ${Boolean(send)}`;
  if (told === shownTrouble) return;
  shownTrouble = told;
  const again = trouble && send && button("Send now", send, "second");
  at("trouble").replaceChildren(...(troubleInWords(trouble?.kind) ?? []), again || "");
}

function troubleInWords(kind) {
  const signIn = link("Sign in", "../sign-in/", "button second");
  return {
    signed_out: ["Your sign-in has lapsed. Go on logging: everything is kept on this phone. ",
      "To send it, scan a new code from your coach with this phone, or sign in. ", signIn],
    other_user: ["Someone else signed in on this phone. What you logged is kept here ",
      "and goes out when you sign in on it again. ", signIn],
    csrf: ["The server asked for a fresh page. Everything is kept on this phone: load this page again. "],
    no_answer: ["No connection. All is kept on this phone and sent later. "],
    refused: ["The server could not read what was sent. Everything is kept on this phone. "],
  }[kind];
}

/** No plan is held here, and the server gave none; `waiting` counts what was logged, whoever did. */
export function cannotOpen(refusal, waiting, open) {
  showTrouble(null);
  at("waiting").textContent = `${waiting} waiting to send`;
  const isSignedOut = refusal.kind === "signed_out";
  at("page").replaceChildren(el("article", {},
    el("h1", { tabindex: -1 }, isSignedOut ? "Sign in" : "Cannot open the plan"),
    el("p", {}, isSignedOut ? "Scan the code that your coach shows you, or sign in."
      : "There is no connection, and this phone holds no plan yet. Open this page once where there is a signal: "
        + "from then on it opens without one."),
    waiting > 0 && el("p", {}, `${plural(waiting, "item")} logged on this phone ${waiting === 1 ? "is" : "are"} kept `
      + "for whoever logged them."),
    isSignedOut ? link("Sign in", "../sign-in/", "button big") : button("Try again", open, "big")));
}

export function cannotKeep(fault) {
  console.error(fault);
  at("page").replaceChildren(el("h1", {}, "This browser keeps nothing"),
    el("p", {}, "It gives this page no room on the phone, so a ball could be lost. Leave the private window, "
      + "or use another browser."));
}
