"""Spread a block's balls over clubs and targets, then put them in an order that never stands still.

Clubs and targets are plain indices here; a ball is a pair (club, target). `reach[club]` lists the targets that the club
plays, never none, and every target is in some club's reach. Chance comes from one function that returns the next float
of [0, 1): Python promises to keep `Random(seed).random()` the same for ever, and none of its other methods.

Equal choices are taken in the order of the indices: hand in shuffled clubs and targets and none is favoured.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise
from math import floor
from operator import le
from typing import NamedTuple

Ball = tuple[int, int]
Reach = Sequence[Sequence[int]]
Draw = Callable[[], float]
NO_BALL = (-1, -1)

# Turns tried for each ball, and how many steps the exhaustive search may take, far more than 3 clubs, 3 targets and 8
# balls need. These are counts and no clock, so that the same seed gives the same block on a slow machine.
TURNS = 4
STEPS = 10_000


def spread(reach: Reach, balls: int, draw: Draw) -> list[Ball]:
    """`balls` playable pairs in order: club counts within one, target counts as even as that and reach allow (least
    sum of squares), then fewest equal neighbours in club, then in target.

    The counts are exact. The order is too wherever no target needs to follow itself, and in small blocks; elsewhere it
    is the best that was found.
    """
    best = arranged(mixed(levelled(*dealt(reach, balls), reach), reach, draw), draw)
    while any(still := standing_still(best)) and still > unavoidable(best) and (better := search(reach, best, draw)):
        best = better
    return best


def arranged(balls: Sequence[Ball], draw: Draw) -> list[Ball]:
    """These balls, one or more, in random order, with the fewest equal neighbours in club, then in target, that were
    found. Instead of indices any two names may stand in a ball."""
    order, left = apart(balls, draw)
    for ball in left:
        order.insert(gap_for(ball, order, draw), ball)
    # Where none is left, no ball has the club or the target of the one before.
    return settled(order, draw) if left and any(standing_still(order)) else order


def shuffled(items: Iterable, draw: Draw) -> list:
    """A new list in random order: sorted by a random number each."""
    return sorted(items, key=lambda _: draw())


def standing_still(order: Sequence[Ball]) -> tuple[int, int]:
    """How many balls equal the one before in club and in target; less is better, club first."""
    same_club = same_target = 0
    club, target = NO_BALL
    for next_club, next_target in order:
        if next_club == club:
            same_club += 1
        if next_target == target:
            same_target += 1
        club, target = next_club, next_target
    return same_club, same_target


def unavoidable(order: Sequence[Ball]) -> tuple[int, int]:
    """No order of these balls stands still less often: a thing that comes k times needs k - 1 others between."""
    clubs, targets = zip(*order, strict=True)
    return at_least(clubs), at_least(targets)


def at_least(things: Sequence[int]) -> int:
    return max(0, 2 * max(map(things.count, set(things))) - len(things) - 1)


# How many of each


def dealt(reach: Reach, balls: int) -> tuple[list[Ball], list[int]]:
    """Balls in no good order, and how many each target got: club counts within one, each club's balls on its least used
    targets. Clubs with the least choice come first, so that the others fill the holes they leave."""
    share, extra = divmod(balls, len(reach))
    used = [0] * targets_in(reach)
    pairs = []
    for club in sorted(range(len(reach)), key=lambda club: len(reach[club])):
        within = reach[club]
        left = share + (club < extra)
        level = 0
        while left:
            for target in within:
                if used[target] <= level and left:
                    used[target] += 1
                    pairs.append((club, target))
                    left -= 1
            level += 1
    return pairs, used


def targets_in(reach: Reach) -> int:
    return 1 + max(map(max, reach))


def levelled(balls: list[Ball], used: list[int], reach: Reach) -> list[Ball]:
    """The balls after moves that bring the sum of squares of target counts to its least, clubs staying within one."""
    if not uneven(used):
        return balls
    table = [[0] * len(used) for _ in reach]
    for club, target in balls:
        table[club][target] += 1
    while uneven(used) and (path := downhill(table, reach, used)):
        for giver, taker, source, goal in path:
            table[giver][source] -= 1
            table[taker][goal] += 1
            used[source] -= 1
            used[goal] += 1
    even = []
    for club, within in enumerate(reach):
        for target in within:
            even += [(club, target)] * table[club][target]
    return even


def uneven(used: list[int]) -> bool:
    return max(used) - min(used) > 1


Move = tuple[int, int, int, int]


def downhill(table: list[list[int]], reach: Reach, used: list[int]) -> list[Move]:
    """A shortest chain of moves that takes a ball from one target to another used at least twice less; empty if there
    is none, and then the sum of squares is least: a flow of convex cost is cheapest once its residual network holds no
    negative cycle (Ahuja, Magnanti and Orlin, Network Flows, 1993, chapters 9 and 14).

    A move is (giving club, taking club, from target, to target); the clubs differ where one hands on its extra ball. A
    shortest chain does that once at most, because two such moves have a shortcut.
    """
    least = min(used)
    totals = list(map(sum, table))
    for top in sorted(range(len(used)), key=used.__getitem__, reverse=True):
        # From here on no target is used at least twice less.
        if used[top] - least < 2:
            break
        came_by = {top: None}
        queue = [top]
        for source in queue:
            # All targets were looked at: moves from the other sources lead nowhere new.
            if len(came_by) == len(used):
                break
            for giver, row in enumerate(table):
                if row[source]:
                    for taker, total in enumerate(totals):
                        # A ball is played by its own club, or by one that has fewer.
                        if taker == giver or total < totals[giver]:
                            for goal in reach[taker]:
                                if goal not in came_by:
                                    came_by[goal] = giver, taker, source, goal
                                    queue.append(goal)
                                    if used[goal] <= used[top] - 2:
                                        return chain(came_by, goal)
    return []


def chain(came_by: dict[int, Move | None], goal: int) -> list[Move]:
    moves = []
    while move := came_by[goal]:
        moves.append(move)
        goal = move[2]
    return moves


# Which with which, and in which order


def mixed(balls: Sequence[Ball], reach: Reach, draw: Draw) -> list[Ball]:
    """The balls after each has changed targets with another where both clubs reach, so that all counts stay. Where
    every club reaches every target this is Fisher and Yates's shuffle (Knuth, The Art of Computer Programming 2,
    section 3.4.2)."""
    plays = list(map(set, reach))
    balls = list(balls)
    for i in range(len(balls) - 1, 0, -1):
        j = floor(draw() * (i + 1))
        (club_a, target_a), (club_b, target_b) = balls[i], balls[j]
        if target_b in plays[club_a] and target_a in plays[club_b]:
            balls[i], balls[j] = (club_a, target_b), (club_b, target_a)
    return balls


def apart(balls: Sequence[Ball], draw: Draw) -> tuple[list[Ball], list[Ball]]:
    """The balls in random order, dealt from a shuffled pack: one that has the club or the target of the ball before
    waits, on top of the pack, until it fits. Beside them those that are left at the end."""
    pack, order = shuffled(balls, draw), []
    club, target = NO_BALL
    place = len(pack) - 1
    while place >= 0:
        next_club, next_target = pack[place]
        if next_club != club and next_target != target:
            club, target = ball = pack.pop(place)
            order.append(ball)
            place = len(pack)
        place -= 1
    return order, pack


def gap_for(ball: Ball, order: list[Ball], draw: Draw) -> int:
    """A random place in the order where the ball differs from both neighbours; the end if there is none."""
    row = [NO_BALL, *order, NO_BALL]
    club, target = ball
    start = floor(draw() * len(order))
    for place in (*range(start, len(order)), *range(start)):
        (club_a, target_a), (club_b, target_b) = row[place], row[place + 1]
        if club_a != club != club_b and target_a != target != target_b:
            return place
    return len(order)


def settled(order: list[Ball], draw: Draw) -> list[Ball]:
    """The order after turning stretches of it around, until no neighbours are equal but those that must be, or TURNS
    a ball were tried.

    Turning a stretch around changes the neighbours at its two ends only. E. M. Palmer, "The hidden algorithm of Ore's
    theorem on Hamiltonian cycles" (Computers & Mathematics with Applications 34, 1997): a turn that helps exists as
    long as any two balls that clash have, together, enough others to stand beside.
    """
    row = [NO_BALL, *order, NO_BALL]
    clubs, targets = zip(*order, strict=True)
    # What never changes cannot be arranged, and one club too many weighs more than all targets together.
    club_weight = len(row) if clubs.count(clubs[0]) < len(clubs) else 0
    target_weight = 1 if targets.count(targets[0]) < len(targets) else 0
    least = target_weight * at_least(targets)

    def clash(a: Ball, b: Ball) -> int:
        return club_weight * (a[0] == b[0]) + target_weight * (a[1] == b[1])

    for _ in range(TURNS * len(row)):
        cuts = [i for i, (a, b) in enumerate(pairwise(row)) if (a[0] == b[0] or a[1] == b[1]) and clash(a, b)]
        if sum([clash(row[i], row[i + 1]) for i in cuts]) <= least:
            break
        low, high = helpful_turn(row, cuts[floor(draw() * len(cuts))], clash, draw)
        row[low + 1 : high + 1] = row[low + 1 : high + 1][::-1]
    return row[1:-1]


def helpful_turn(row: list[Ball], cut: int, clash: Callable[[Ball, Ball], int], draw: Draw) -> tuple[int, int]:
    """(low, high) such that turning row[low + 1 : high + 1] around mends the clash after `cut`; if none does, one
    that does no harm; if there is none either, (cut, cut), which turns nothing."""
    harmless = cut, cut
    cuts = len(row) - 1
    start = floor(draw() * cuts)
    for other in (*range(start, cuts), *range(start)):
        low, high = (cut, other) if cut < other else (other, cut)
        a, b, c, d = row[low], row[low + 1], row[high], row[high + 1]
        gain = clash(a, b) + clash(c, d) - clash(a, c) - clash(b, d)
        if low < high and gain > 0:
            return low, high
        if low < high and gain == 0:
            harmless = low, high
    return harmless


# The last resort


class Placed(NamedTuple):
    """What matters of the balls placed so far: how many by club and by target, the last, equal neighbours in target."""

    clubs: tuple[int, ...]
    targets: tuple[int, ...]
    last: Ball
    repeats: int


def search(reach: Reach, best: Sequence[Ball], draw: Draw) -> list[Ball]:
    """An order with fewer equal neighbours than `best` and counts as even, found by trying everything in random order;
    empty if there is none, or none turned up within STEPS."""
    start = Placed((0,) * len(reach), (0,) * targets_in(reach), NO_BALL, 0)
    followers = followers_towards(reach, best, draw)
    path, untried, dead_ends = [start], [followers(start)], set()
    for _ in range(STEPS):
        if placed := next((placed for placed in untried[-1] if placed not in dead_ends), None):
            path.append(placed)
            untried.append(followers(placed))
        else:
            dead_ends.add(path.pop())
            untried.pop()
        if not path:
            break
        if len(path) > len(best):
            return [placed.last for placed in path[1:]]
    return []


def followers_towards(reach: Reach, best: Sequence[Ball], draw: Draw) -> Callable[[Placed], Iterator[Placed]]:
    """What may be placed next, in random order, on the way to an order better than `best`.

    The counts may go to other clubs and targets than in `best`: sorted, they are the same in every optimum (A. Frank
    and K. Murota, "Decreasing minimization on M-convex sets", Mathematical Programming 195, 2022).
    """
    pairs = [(club, target) for club, targets in enumerate(reach) for target in targets]
    clubs, targets = zip(*best, strict=True)
    club_counts = sorted(map(clubs.count, range(len(reach))))
    target_counts = sorted(map(targets.count, range(targets_in(reach))))
    same_club, same_target = standing_still(best)
    repeats_allowed = same_target - 1 if same_club == at_least(clubs) else len(best)

    def followers(placed: Placed) -> Iterator[Placed]:
        for club, target in shuffled(pairs, draw):
            after = Placed(
                one_more(placed.clubs, club),
                one_more(placed.targets, target),
                (club, target),
                placed.repeats + (target == placed.last[1]),
            )
            changes = club != placed.last[0] or len(reach) == 1
            counts_fit = fit(after.clubs, club_counts) and fit(after.targets, target_counts)
            if changes and counts_fit and after.repeats <= repeats_allowed:
                yield after

    return followers


def one_more(counts: tuple[int, ...], index: int) -> tuple[int, ...]:
    return *counts[:index], counts[index] + 1, *counts[index + 1 :]


def fit(counts: tuple[int, ...], wanted: list[int]) -> bool:
    """Whether `counts` can still grow into `wanted` (sorted) in some order."""
    return all(map(le, sorted(counts), wanted))
