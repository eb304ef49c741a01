"""Balls in the buckets that a range sells."""

from collections.abc import Sequence


def buckets_for(balls: int, sizes: Sequence[int]) -> list[int]:
    """Return the buckets to take for so many balls, largest first; none without balls or sizes.

    As few balls too many as can be, then as few buckets.
    """
    if balls <= 0 or not sizes:
        return []
    best: list[list[int] | None] = [[]]
    for total in range(1, balls + max(sizes)):
        options = [[size, *best[total - size]] for size in sizes if size <= total and best[total - size] is not None]
        best.append(min(options, key=len, default=None))
        if total >= balls and best[total]:
            return sorted(best[total], reverse=True)
    return [max(sizes)] * -(-balls // max(sizes))


def bucket_words(balls: int, sizes: Sequence[int]) -> str:
    """Say which buckets to take for so many balls; "" where no sizes are known."""
    taken = buckets_for(balls, sizes)
    if not taken:
        return ""
    left = sum(taken) - balls
    said = f"a bucket of {taken[0]}" if len(taken) == 1 else f"buckets of {', '.join(map(str, taken))}"
    return f"{said}, {left} left over" if left else said
