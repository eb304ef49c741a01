// What the server would not take: it stays on the phone, and is corrected, tried again or let go by hand.

import { button, el, link } from "./dom.js";

/** Those of the user who is here, or false where there are none; `dayOf(player)` is what the page knows of a player. */
export function faultyList({ queue, server }, dayOf, { redraw, say }) {
  const { players, squad = [] } = server.me;
  const all = [...players, ...squad];
  const whose = ({ player }) => (all.length > 1 ? `${all.find(({ id }) => id === player)?.name ?? "Somebody else"}: ` : "");
  const act = (label, change, said, look) => button(label, async () => { await change(); say(said); redraw(); }, look);
  const correct = (item) => {
    const day = dayOf(item.player);
    if (!day || item.kind !== "shot" || item.deleted) return null;
    const { id } = day.blockOf(day.shot(item.id) ?? item) ?? { id: "gone" };
    return link("Correct", `${day.home}block/${id}/shots/${item.id}`, "button second");
  };
  const again = ({ fault, ...item }) => queue.putBack(item);
  const discard = (item) => {
    const day = dayOf(item.player);
    if (day?.lastDone?.id === item.id) day.lastDone = null; // no page offers to undo it a second time
    return queue.discard(item);
  };
  const choices = (item) => [correct(item), act("Try again", () => again(item), "Trying again.", "second"),
    act("Discard", () => discard(item), "Discarded.", "stop")];
  // What was discarded stays in its place, so that a second tap meets nothing else.
  const row = (item) => el("div", { class: "faulty" }, el("p", {}, whose(item), item.fault), el("div", { class: "under" },
    queue.discarded.has(item) ? ["Discarded. ", act("Undo", () => queue.putBack(item), "Back again.", "second")]
      : choices(item)));
  const discarded = [...queue.discarded].filter((item) => !isThere(queue, item) && !isDoneAnew(dayOf(item.player), item));
  const items = [...queue.faulty, ...discarded].sort((a, b) => a.number - b.number);
  return items.length > 0 && el("section", { class: "card" }, el("h2", {}, "Could not be sent"), items.map(row));
}

/** Whether another tab has kept it once more, corrected. */
const isThere = ({ records }, { kind, id }) => records.some((record) => record.kind === kind && record.id === id);

/** Whether its ball has another result by now: a ball has one on a phone. */
function isDoneAnew(day, { id, values }) {
  const block = day && !day.shot(id) && day.blockOf({ values });
  return block && day.answered(block).some((ball) => ball.id === values.ball);
}
