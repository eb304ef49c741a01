"""Rows of a file of shots."""

HEADER = "hit_at,club,target_m,carry_m"
GOOD = "2026-05-04T10:15:00Z,56,50,48.5"


def table(*rows, header=HEADER):
    return "\n".join([header, *rows]) + "\n"
