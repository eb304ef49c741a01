// How a block is logged: every ball, the last of every three, or a count at its end.

const SIZES = { every: 1, third: 3, end: 1 };

export const LOGGING = {
  third: "Hit three, then log the last of them.",
  end: "Log nothing on the way: at the end you say how they went.",
};

export const LOGGED = { third: ", every third ball logged", end: ", counted at the end" };

/** The balls that are hit for one result: one, or three of which the last is logged. */
function roundsOf({ balls, logging }) {
  const size = SIZES[logging] ?? 1;
  return balls.flatMap((_, i) => (i % size ? [] : [balls.slice(i, i + size)]));
}

/** The balls that need nothing more; `hit` and `skipped` hold ids of balls.
 * Who told of the last of three has hit the others, but for those that were skipped. */
export const settled = (block, hit, skipped) => roundsOf(block).flatMap((round) => {
  const last = round.findLastIndex(({ id }) => hit.has(id));
  return round.filter(({ id }, i) => i <= last || skipped.has(id));
});

/** The balls to hit before the next result, the last of them to be logged; none when the block is done. */
export function stepOf(block, done) {
  const open = roundsOf(block).map((round) => round.filter((ball) => !done.has(ball)));
  return open.find((round) => round.length) ?? [];
}
