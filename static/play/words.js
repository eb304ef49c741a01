// Words for stored values, and distances in the player's unit. Metres inside, yards or metres on screen only.

const YARD_M = 0.9144; // exactly

export const MISHITS = ["fat", "thin", "topped", "shank"];
export const CONTACT_NOTES = { heavy: "a little heavy", thin: "a little thin" };
export const isWind = (wind) => wind === "breeze" || wind === "windy";
export const HURTS = "Something hurts: stop";
export const PHYSICIAN =
  "Hit no more balls today. A physician or a qualified professional decides when you hit again, not this page.";

/** Yards or metres, as the player reads them. */
export function unitOf(name) {
  const metres = name === "yd" ? YARD_M : 1;
  const from = (m) => m / metres;
  const whole = (m) => Math.round(from(m));
  return { name, from, to: (n) => n * metres, whole, show: (m) => `${whole(m)} ${name}` };
}

export const plural = (n, word) => `${n} ${word}${n === 1 ? "" : "s"}`;

/** "half (9:00)" for 9:00; an academy's own swing by its code. */
export const swingName = (day, code) => day.swings.find((swing) => swing.code === code)?.name ?? code;

/** The size of a by-eye zone: a tenth of the distance in steps of five, smaller where five would be half the shot. */
export function zoneOf(unit, target_m) {
  const target = target_m === null ? 50 : unit.from(target_m);
  return unit.to(target < 15 ? 2 : Math.max(5, 5 * Math.round(target / 50)));
}

const aside = (n, low, high, far) => (n === 0 ? "" : `${far ? "far " : ""}${n < 0 ? low : high}`);

/** A result in words. Where the number is hidden no figure is told, only the direction. */
export function resultInWords(values, unit, hidden) {
  const told = [];
  if (!values.seen) told.push("not seen");
  if (MISHITS.includes(values.contact)) told.push(values.contact);
  const error_m = errorOf(values);
  if (hidden) told.push(...hiddenWords(values, error_m));
  else {
    const by = (m, low, high) => `${Math.abs(unit.whole(m))} ${m < 0 ? low : high}`;
    if (values.measured_by !== "eye" && values.carry_m) told.push(unit.show(values.carry_m));
    else if (error_m === null && values.carry_m) told.push(`about ${unit.show(values.carry_m)}`);
    if (error_m !== null) told.push(unit.whole(error_m) ? `${by(error_m, "short", "long")}` : "right distance");
    if (values.lateral_m && unit.whole(values.lateral_m)) told.push(by(values.lateral_m, "left", "right"));
  }
  if (values.contact_note) told.push(CONTACT_NOTES[values.contact_note]);
  if (values.swing === "feel" && !values.target && !values.target_name) told.push("no stock ball");
  return told.join(", ");
}

function hiddenWords(values, error_m) {
  const far = error_m !== null && values.resolution_m && Math.abs(error_m) > 1.5 * values.resolution_m;
  const depth = error_m === null ? "" : aside(error_m, "short", "long", far) || "right distance";
  return [depth, aside(values.lateral_m ?? 0, "left", "right")].filter(Boolean);
}

/** Carry minus target, or the error as entered; null where there is none. */
export function errorOf(values) {
  if (typeof values.error_m === "number") return values.error_m;
  return values.carry_m && values.target_m ? values.carry_m - values.target_m : null;
}
