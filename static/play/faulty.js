// What the server would not take: it stays on the phone, and is corrected, tried again or let go by hand.

import { button, el, link } from "./dom.js";

/** Those of the user who is here; `dayOf(player)` is what the page knows of a player. */
export function faultyList({ queue, server }, dayOf, { redraw }) {
  const { players, squad = [] } = server.me;
  const all = [...players, ...squad];
  const whose = ({ player }) => (all.length > 1 ? `${all.find(({ id }) => id === player)?.name ?? "Somebody else"}: ` : "");
  return el("section", { class: "card" }, el("h2", {}, "Could not be sent"), queue.faulty.map((item) => {
    const day = dayOf(item.player);
    const block = day && item.kind === "shot" && day.blockOf(day.shot(item.id) ?? item);
    return el("div", { class: "faulty" }, el("p", {}, whose(item), item.fault),
      block && link("Correct", `${day.home}block/${block.id}/shots/${item.id}`, "button second"),
      button("Try again", async () => { await queue.retry(item); redraw(); }, "second"),
      button("Discard", async () => { await queue.discard(item); redraw(); }, "stop"));
  }));
}
