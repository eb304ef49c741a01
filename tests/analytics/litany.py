"""What the analysis pages answer to each of the cast."""

from tests.practice.litany import Row, the_player

ROWS = [
    # A player may read their own figures.
    Row("analytics:dashboard", the_player, player=200),
]
