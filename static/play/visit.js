// The start of a visit, on one screen: where, from where, which balls, how distances are known, the wind.

import { BALLS, MEASURED_BY, STANDS, SURFACES, WINDS, WINDS_FROM } from "./choices.js";
import { button, el, numberField, radios, select } from "./dom.js";
import { isWind } from "./words.js";

const FIRST_TIME = {
  setting: "range", label: "", stand: "unchecked", offset_m: 0, measured_by: "eye", ball_type: "range",
  surface: "mat", wind: "calm", wind_from: "",
};

/** The page. `go()` is called once the visit is kept. */
export function visitPage(day, { go, warn, venue }) {
  const last = { ...FIRST_TIME, ...day.lastVisit };
  const known = (id) => day.venues.find((each) => each.id === id);
  let where = known(day.visit?.venue) ?? known(venue) ?? known(last.venue) ?? day.venues[0];
  if (!where) return el("p", {}, "There is no range yet. Ask your coach to add one.");
  const place = el("div", { class: "place" });
  const offset = numberField({ label: `In front by, ${day.unit.name} (behind: minus)`, min: -50, max: 50,
    value: last.offset_m ? day.unit.from(last.offset_m) : null });
  const lasers = el("div", { class: "numbers" });
  const stand = radios("stand", "Where do I stand?", STANDS, last.stand, () => drawStand());
  const balls = radios("ball_type", "Which balls?", BALLS, last.ball_type);
  const known_by = radios("measured_by", "How is the distance known?", MEASURED_BY, last.measured_by);
  const surface = radios("surface", "Off what?", SURFACES, last.surface);
  const wind = radios("wind", "Wind", WINDS, last.wind, () => drawStand());
  const from = radios("wind_from", "Wind from", WINDS_FROM, last.wind_from);
  let line, bay, laserFields;

  function drawPlace() {
    const options = (rows) => rows.map(({ id, name }) => [id, name]);
    const move = () => { where = known(venues.value()); drawPlace(); };
    const venues = select("Range", options(day.venues), where.id, move);
    line = select("Tee line", options(where.tee_lines), line?.value() ?? last.tee_line, () => drawPlace());
    const chosen = theLine();
    bay = select("Bay", [["", "no bay"], ...options(chosen?.bays ?? [])], last.bay ?? "");
    place.replaceChildren(venues.node, chosen ? line.node : "", chosen?.bays.length ? bay.node : "");
    drawLasers(chosen);
  }

  const theLine = () => where.tee_lines.find(({ id }) => id === line.value()) ?? where.tee_lines[0];

  function drawLasers(chosen) {
    const before = day.lasered(); // of today only: another day the player stands elsewhere
    laserFields = (chosen?.targets ?? []).map(({ id, name }) => {
      const value = before[id] ? day.unit.from(before[id]) : null;
      return [id, numberField({ label: `${name}, ${day.unit.name}`, min: 1, max: 430, value })];
    });
    lasers.replaceChildren(...laserFields.map(([, field]) => field.node));
    drawStand();
  }

  function drawStand() {
    offset.node.hidden = stand.value() !== "offset";
    lasers.hidden = stand.value() !== "lasered";
    from.node.hidden = !isWind(wind.value());
  }

  async function start() {
    const values = {
      venue: where.id, tee_line: theLine()?.id ?? null, bay: bay.value() || null, setting: "range", label: "",
      stand: stand.value(), offset_m: stand.value() === "offset" ? day.unit.to(offset.read() ?? 0) : 0,
      measured_by: known_by.value(), resolution_m: null, ball_type: balls.value(), surface: surface.value(),
      wind: wind.value(), wind_from: isWind(wind.value()) ? from.value() : "",
    };
    try {
      const lasered = laserFields.filter(([, field]) => field.read());
      await day.startVisit(values, Object.fromEntries(lasered.map(([id, field]) => [id, day.unit.to(field.read())])));
      go();
    } catch (fault) {
      warn(fault);
    }
  }

  drawPlace();
  return el("article", { class: "visit" },
    el("h1", { tabindex: -1 }, "Where are you today?"),
    place, stand.node, offset.node, lasers, known_by.node, balls.node, surface.node, wind.node, from.node,
    el("div", { class: "bottom" }, button("Start", start, "big")));
}
