"""What the analysis pages answer to each of the cast."""

from tests.practice.litany import Cast, Row, the_player

OF_THE_ACADEMY = {"player": 403, "team_mate": 403}


def the_academy(cast: Cast) -> dict:
    return {"academy": cast.academy.pk}


def a_table(cast: Cast) -> dict:
    return {"source": "Our own count", "rows": "3 1.1\n30 2.1"}


def some_days(cast: Cast) -> dict:
    return {"carry_chart_days": 90}


def some_values(cast: Cast) -> dict:
    return {"passing_mishit_pct": 12, "passing_strike_mm": 9, "passing_fresh_pct": 25, "passing_course_pct": 40}


ROWS = [
    # A player may read their own figures.
    Row("analytics:dashboard", the_player, player=200),
    Row("analytics:progress", the_player, player=200),
    Row("analytics:judged", the_player, player=200),
    Row("analytics:numbers", player=200, team_mate=200, outsider=200),
    Row("analytics:carries", the_player, player=200),
    Row("analytics:shots_for_targets", the_player, player=200),
    Row("analytics:loft_change", the_player, player=200),
    Row("analytics:loft_plan", the_player, player=200),
    Row("analytics:work_order", the_player, player=200),
    Row("analytics:gaps", the_player, player=200),
    Row("analytics:strike", the_player, player=200),
    Row("analytics:wind_and_slope", the_player, player=200),
    Row("analytics:carry_chart_days", the_academy, **OF_THE_ACADEMY),
    Row("analytics:carry_chart_days", the_academy, method="post", data=some_days, works=302, **OF_THE_ACADEMY),
    Row("analytics:passing_values", the_academy, **OF_THE_ACADEMY),
    Row("analytics:passing_values", the_academy, method="post", data=some_values, works=302, **OF_THE_ACADEMY),
    Row("analytics:putting_table", the_academy, **OF_THE_ACADEMY),
    Row("analytics:putting_table", the_academy, method="post", data=a_table, works=302, **OF_THE_ACADEMY),
    Row("analytics:reset_putting_table", the_academy, method="post", works=302, **OF_THE_ACADEMY),
]
