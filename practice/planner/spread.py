"""Spread a block's balls over clubs and targets, then put them in an order that never stands still.

Clubs and targets are plain indices here; a ball is a pair (club, target). `reach[club]` lists the targets that the club
can play, never none. The only source of chance is a function that returns the next float of [0, 1), because Python
promises to keep `Random(seed).random()` the same for ever, and promises that of no other method of `Random`.

Nothing here depends on which index a club or a target has, except where equal choices are taken in the order of the
indices: shuffle the indices first and nobody is favoured.
"""

from collections.abc import Callable, Iterator, Sequence
from heapq import heapify, heapreplace
from operator import le
from typing import NamedTuple

Ball = tuple[int, int]
Reach = Sequence[Sequence[int]]
Draw = Callable[[], float]
NO_BALL = (-1, -1)

# How many times an order is drawn afresh before the exhaustive search takes over, and how many balls that search may
# place. The second is far more than 3 clubs, 3 targets and 8 balls need; it is a count and no clock, so that the same
# seed gives the same block on a slow machine.
REDRAWS = 4
ORDERS = 3
PLACEMENTS = 30_000


def spread(reach: Reach, balls: int, draw: Draw) -> list[Ball]:
    """`balls` playable pairs in order: club counts within one, target counts as even as that and reach allow (least
    sum of squares), then fewest equal neighbours in club, then in target.

    Exact wherever no target has to follow itself, and for small blocks; else the best order that was found.
    """
    best: list[Ball] = []
    for _ in range(ORDERS):
        order = mixed_order(mixed_pairs(even_table(reach, balls), reach, draw), draw)
        if not best or standing_still(order) < standing_still(best):
            best = order
        if standing_still(best) <= unavoidable(best):
            return best
    while better := search(reach, best, draw):
        best = better
    return best


def shuffled(items: Sequence, draw: Draw) -> list:
    """A new list in random order (Fisher and Yates, as in Knuth, TAOCP 2, 3.4.2, algorithm P)."""
    items = list(items)
    for i in range(len(items) - 1, 0, -1):
        j = int(draw() * (i + 1))
        items[i], items[j] = items[j], items[i]
    return items


def equal_neighbours(things: Sequence) -> int:
    """How many things equal the one before."""
    return sum(a == b for a, b in zip(things, things[1:]))


def standing_still(order: Sequence[Ball]) -> tuple[int, int]:
    """Equal neighbours in club and in target; smaller is better, club first."""
    return equal_neighbours([club for club, _ in order]), equal_neighbours([target for _, target in order])


def unavoidable(order: Sequence[Ball]) -> tuple[int, int]:
    """No order has fewer equal neighbours than this: a thing that comes k times needs k - 1 others between."""
    clubs, targets = zip(*order)
    return tuple(max(0, 2 * max(map(kind.count, set(kind))) - len(order) - 1) for kind in (clubs, targets))


# How many of each


def even_table(reach: Reach, balls: int) -> list[list[int]]:
    """table[club][target]: balls, with club counts within one and the least sum of squares of target counts."""
    share, extra = divmod(balls, len(reach))
    counts = [share + (club < extra) for club in range(len(reach))]
    table = [[0] * (1 + max(map(max, reach))) for _ in reach]
    used = table[0].copy()
    # The clubs with the least choice go first, so that the others fill the holes they leave.
    for club in sorted(range(len(reach)), key=lambda club: len(reach[club])):
        emptiest = [(used[target], target) for target in reach[club]]
        heapify(emptiest)
        for _ in range(counts[club]):
            count, target = emptiest[0]
            heapreplace(emptiest, (count + 1, target))
            table[club][target] += 1
            used[target] = count + 1
    while max(used) - min(used) > 1 and (path := downhill(table, reach, used, share)):
        for giver, taker, source, goal in path:
            table[giver][source] -= 1
            table[taker][goal] += 1
            used[source] -= 1
            used[goal] += 1
    return table


def downhill(table: list[list[int]], reach: Reach, used: list[int], share: int) -> list[tuple[int, int, int, int]]:
    """A shortest chain of moves that takes a ball from one target to another that has at least two less; empty if
    there is none, and then the sum of squares is least: a flow of convex cost is cheapest when its residual network
    has no negative cycle (Ahuja, Magnanti and Orlin, Network Flows, 1993, chapters 9 and 14).

    A move is (giving club, taking club, from target, to target); giver and taker differ when a club hands on its extra
    ball. A shortest chain does that once at most, for two such moves have a shortcut.
    """
    for top in sorted(range(len(used)), key=used.__getitem__, reverse=True):
        came_by = {top: None}
        queue = [top]
        for source in queue:
            for move in moves_from(source, table, reach, share):
                goal = move[3]
                if goal in came_by:
                    continue
                came_by[goal] = move
                queue.append(goal)
                if used[goal] <= used[top] - 2:
                    return chain(came_by, goal)
    return []


def moves_from(source: int, table: list[list[int]], reach: Reach, share: int):
    """Every move that takes one ball away from the target `source`."""
    counts = [sum(row) for row in table]
    for giver, row in enumerate(table):
        if row[source]:
            for taker, count in enumerate(counts):
                if taker == giver or count == share < counts[giver]:
                    for goal in reach[taker]:
                        yield giver, taker, source, goal


def chain(came_by: dict, goal: int) -> list[tuple[int, int, int, int]]:
    moves = []
    while move := came_by[goal]:
        moves.append(move)
        goal = move[2]
    return moves


# Which with which, and in which order


def mixed_pairs(table: list[list[int]], reach: Reach, draw: Draw) -> list[Ball]:
    """The table's balls after a shuffle of targets among clubs that leaves every count as it is. Where every club
    reaches every target it is Fisher and Yates's; elsewhere exchanges that reach forbids are passed over."""
    balls = [(club, target) for club, row in enumerate(table) for target, count in enumerate(row) for _ in range(count)]
    for i in range(len(balls) - 1, 0, -1):
        j = int(draw() * (i + 1))
        (club_i, target_i), (club_j, target_j) = balls[i], balls[j]
        if target_j in reach[club_i] and target_i in reach[club_j]:
            balls[i], balls[j] = (club_i, target_j), (club_j, target_i)
    return balls


def mixed_order(balls: Sequence[Ball], draw: Draw) -> list[Ball]:
    """The balls in random order, with few equal neighbours: a shuffle that draws again a few times rather than repeat,
    then `settled`."""
    row = [NO_BALL, *balls, NO_BALL]
    for i in range(len(balls), 0, -1):
        club, target = row[i + 1]
        for _ in range(REDRAWS):
            j = 1 + int(draw() * i)
            if row[j][0] != club and row[j][1] != target:
                break
        row[i], row[j] = row[j], row[i]
    return settled(row, draw)[1:-1]


def settled(row: list[Ball], draw: Draw) -> list[Ball]:
    """`row` (NO_BALL at both ends) after turning stretches of it around, until only neighbours are equal that must be,
    or as many turns were tried as there are balls.

    Turning a stretch around changes the neighbours at its two ends only. E. M. Palmer, "The hidden algorithm of Ore's
    theorem on Hamiltonian cycles" (Computers & Mathematics with Applications 34, 1997): a turn that helps exists as
    long as any two balls that clash have, together, enough others to stand beside.
    """
    clubs, targets = zip(*row[1:-1])
    club_weight = len(row) if len(set(clubs)) > 1 else 0
    target_weight = 1 if len(set(targets)) > 1 else 0

    def clash(a: Ball, b: Ball) -> int:
        return club_weight * (a[0] == b[0]) + target_weight * (a[1] == b[1])

    least = target_weight * unavoidable(row[1:-1])[1]
    for _ in row:
        clashes = [clash(a, b) for a, b in zip(row, row[1:])]
        if sum(clashes) <= least:
            break
        cuts = [i for i, weight in enumerate(clashes) if weight]
        low, high = helpful_turn(row, cuts[int(draw() * len(cuts))], clashes, clash, draw)
        row[low + 1 : high + 1] = row[low + 1 : high + 1][::-1]
    return row


def helpful_turn(row: list[Ball], cut: int, clashes: list[int], clash: Callable, draw: Draw) -> tuple[int, int]:
    """(low, high) such that turning row[low + 1 : high + 1] around mends the clash after `cut`; if none does, one
    that does no harm; if there is none either, (cut, cut), which turns nothing."""
    harmless = cut, cut
    start = int(draw() * len(clashes))
    for other in (*range(start, len(clashes)), *range(start)):
        low, high = (cut, other) if cut < other else (other, cut)
        gain = clashes[low] + clashes[high] - clash(row[low], row[high]) - clash(row[low + 1], row[high + 1])
        if low < high and gain > 0:
            return low, high
        if low < high and gain == 0:
            harmless = low, high
    return harmless


# The last resort


class Placed(NamedTuple):
    """What the balls placed so far leave open: balls by club and by target, the last ball, equal neighbours in target."""

    clubs: tuple[int, ...]
    targets: tuple[int, ...]
    last: Ball
    repeats: int


def search(reach: Reach, best: Sequence[Ball], draw: Draw) -> list[Ball]:
    """An order with fewer equal neighbours than `best` and counts as even, found by trying everything in random order;
    empty if there is none, or none turned up within PLACEMENTS steps.

    The counts may go to other clubs and targets than in `best`: sorted, they are the same in every optimum (A. Frank
    and K. Murota, "Decreasing minimization on M-convex sets", Mathematical Programming 195, 2022).
    """
    start = Placed((0,) * len(reach), (0,) * (1 + max(map(max, reach))), NO_BALL, 0)
    followers = rule(reach, best, start, draw)
    path, untried, dead_ends = [start], [followers(start)], set()
    for _ in range(PLACEMENTS):
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


def rule(reach: Reach, best: Sequence[Ball], start: Placed, draw: Draw) -> Callable[[Placed], Iterator[Placed]]:
    """What may follow, in random order, on the way to an order better than `best`."""
    pairs = [(club, target) for club, targets in enumerate(reach) for target in targets]
    clubs, targets = zip(*best)
    club_counts = sorted(map(clubs.count, range(len(start.clubs))))
    target_counts = sorted(map(targets.count, range(len(start.targets))))
    club_repeats, target_repeats = standing_still(best)
    allowed = target_repeats - 1 if club_repeats == unavoidable(best)[0] else len(best)

    def followers(placed: Placed) -> Iterator[Placed]:
        for club, target in shuffled(pairs, draw):
            after = Placed(
                one_more(placed.clubs, club),
                one_more(placed.targets, target),
                (club, target),
                placed.repeats + (target == placed.last[1]),
            )
            if (
                (club != placed.last[0] or len(reach) == 1)
                and after.repeats <= allowed
                and fits(after.clubs, club_counts)
                and fits(after.targets, target_counts)
            ):
                yield after

    return followers


def one_more(counts: tuple[int, ...], index: int) -> tuple[int, ...]:
    return *counts[:index], counts[index] + 1, *counts[index + 1 :]


def fits(counts: tuple[int, ...], wanted: list[int]) -> bool:
    """Whether adding to `counts` can still make them `wanted`, both sorted."""
    return all(map(le, sorted(counts), wanted))
