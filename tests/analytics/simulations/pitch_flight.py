"""Carries of invented players by impact and flight: a truth for the carry surface that knows nothing of it.

Two-dimensional, still air at sea level. Impact is a rigid head that slides or rolls on the ball. Every coefficient
is an engineering estimate unless a source stands beside it; the carries are plausible, not measured.
"""

import numpy as np

BALL_KG, BALL_M = 0.04593, 0.04267  # the Rules' largest mass and smallest diameter
HEAD_KG = 0.300
GRAVITY = 9.80665
AIR = 1.225 * np.pi * (BALL_M / 2) ** 2 / (2 * BALL_KG)  # rho A / 2m
ROLL, FRICTION = 0.25, 0.40


def smooth_lift(spin):
    return 0.25 + 0.10 * (1 - np.exp(-spin / 0.3)), 0.36 * (1 - np.exp(-spin / 0.17))


def strong_lift(spin):
    return 0.24 + 0.18 * spin, 0.54 * spin**0.4  # after Smits & Smith (1994), from memory; without its Reynolds term


def impact(head_m_s, dynamic_loft_deg, attack_deg):
    """Ball speed (m/s), launch (deg above the horizon) and spin (rad/s), from a sphere struck by a plane."""
    spin_loft = np.radians(dynamic_loft_deg - attack_deg)
    normal, along = head_m_s * np.cos(spin_loft), head_m_s * np.sin(spin_loft)
    restitution = 0.86 - 0.0029 * normal  # Penner, Rep. Prog. Phys. 66:131 (2003), from memory
    push = (1 + restitution) * normal / (1 / BALL_KG + 1 / HEAD_KG)
    rub = np.minimum((1 + ROLL) * along / (3.5 / BALL_KG + 1 / HEAD_KG), FRICTION * push)
    launch_deg = attack_deg + np.degrees(spin_loft - np.arctan2(rub, push))
    return np.hypot(push, rub) / BALL_KG, launch_deg, rub / (0.4 * BALL_KG * BALL_M / 2)


def carry_m(head_m_s, loft_deg, lean_deg, attack_deg, aero=smooth_lift, dt=0.05):
    """Carry to the level of the tee (m); arguments of one shape."""
    speed, launch_deg, spin = impact(head_m_s, loft_deg - lean_deg, attack_deg)
    angle = np.radians(launch_deg)
    state = np.stack([0 * speed, 0 * speed, speed * np.cos(angle), speed * np.sin(angle), spin])
    carry = np.full(speed.shape, np.nan)
    while np.isnan(carry).any():
        after = _runge_kutta(state, aero, dt)
        lands = np.isnan(carry) & (after[1] <= 0)
        share = np.divide(state[1], state[1] - after[1], where=lands, out=np.zeros_like(carry))
        carry = np.where(lands, state[0] + share * (after[0] - state[0]), carry)
        state = after
    return carry


def _runge_kutta(state, aero, dt):
    one = _rates(state, aero)
    two = _rates(state + dt / 2 * one, aero)
    three = _rates(state + dt / 2 * two, aero)
    four = _rates(state + dt * three, aero)
    return state + dt / 6 * (one + 2 * two + 2 * three + four)


def _rates(state, aero):
    _, _, vx, vy, spin = state
    speed = np.hypot(vx, vy)
    drag, lift = aero(spin * BALL_M / 2 / speed)
    ax = AIR * speed * (-drag * vx - lift * vy)
    ay = AIR * speed * (-drag * vy + lift * vx) - GRAVITY
    return np.stack([vx, vy, ax, ay, -2.0e-5 * spin * speed / (BALL_M / 2)])  # Smits & Smith (1994), from memory
