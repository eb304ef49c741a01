// A player of a coach's group, as the coach's device knows them; and another's block that they hit along with.

import { Day } from "./day.js";
import { uuid7 } from "./queue.js";

/** The club of the same label, else the one nearest in loft; undefined where the bag is empty. */
function clubLike(asked, clubs) {
  const far = ({ loft_deg }) => Math.abs((loft_deg ?? 0) - (asked.loft_deg ?? 0));
  return clubs.find(({ label }) => label === asked.label) ?? [...clubs].sort((a, b) => far(a) - far(b))[0];
}

/** How another's block is asked of a player: the same targets, the own clubs; the ball's `instead` is the label asked
 * for where the bag has no such club. Null where there is nothing to hit with. */
function sharedWith(member, owner, block) {
  if (!member.clubs.length) return null;
  const balls = block.balls.map((ball) => {
    const asked = owner.club(ball.club);
    const { id, label } = clubLike(asked, member.clubs);
    // The stock swings either side of a distance are the owner's.
    return { ...ball, id: `${member.player.id} ${ball.id}`, club: id, instead: label !== asked.label && asked.label,
      below: null, above: null };
  });
  return { ...block, balls };
}

/** Nothing is private: `Day`'s constructor calls `take` before private members would be there. */
export class Member extends Day {
  constructor(given) {
    super(given);
    this.home = `#/group/${this.player.id}/`;
  }

  take(work) {
    super.take(work);
    this.lay();
  }

  /** Take part in a block of another's, or in none. */
  share(owner, block) {
    this.shared = block && !this.work.blocks.includes(block) ? sharedWith(this, owner, block) : null;
    this.lay();
  }

  /** The shared block beside the own ones, and what was done in it. */
  lay() {
    this.blocks = [...this.work.blocks, this.shared ?? []].flat();
    for (const record of Object.values(this.done)) super.note(record);
  }

  get doneName() {
    return `shared.${this.player.id}`;
  }

  /** Records by ball of the shared block. The server ties a shot to a ball of the player's own only: how far the player
   * is in another's block is known to this device alone. */
  get done() {
    const held = this.queue.kept(this.doneName);
    return held && held.block === this.shared?.id ? held.done : {};
  }

  doneWith(ball, record) {
    if (!this.shared?.balls.some(({ id }) => id === ball)) return {};
    const block = this.shared.id;
    return {
      [this.doneName]: (held) => {
        const { [ball]: before, ...others } = held?.block === block ? held.done : {};
        return { block, done: record ? { ...others, [ball]: record } : others };
      },
    };
  }

  note(record) {
    const held = this.shared && Object.values(this.done).find(({ id }) => id === record.id);
    return super.note(held ? { ...record, values: { ...record.values, ball: held.values.ball } } : record);
  }

  /** A shot at a ball of another's block goes to no ball; a skip of one is no news to the server. */
  async record(kind, values, given = {}) {
    const { ball } = values;
    if (!ball?.startsWith(this.player.id)) return super.record(kind, values, given);
    const { before, deleted = false, at = new Date().toISOString() } = given;
    if (!before && this.done[ball]) return null; // another tab was quicker
    const { offset_ms } = this.server;
    const record = { kind, id: uuid7(), at, offset_ms, ...before, deleted, revision: (before?.revision ?? 0) + 1, values };
    const kept = { ...given.kept, ...this.doneWith(ball, !deleted && record) };
    if (kind === "skip") await this.queue.keep(kept);
    else await super.record(kind, { ...values, ball: null }, { ...given, id: record.id, at, once: null, kept });
    super.note(record);
    return record;
  }
}
