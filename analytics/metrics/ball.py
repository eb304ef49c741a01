"""The golf ball, in figures."""

import math

# Greatest mass and least diameter in the Rules of Golf's equipment rules, from memory.
BALL_KG = 0.04593
BALL_RADIUS_M = 0.04267 / 2
BALL_AREA_M2 = math.pi * BALL_RADIUS_M**2


def rad_s_from_rpm(spin_rpm):
    """Return radians a second of revolutions a minute."""
    return spin_rpm * (2 * math.pi / 60)
