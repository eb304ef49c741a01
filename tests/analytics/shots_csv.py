"""A large file of shots, and its scores computed a second time by other means.

The scores here come from the text of the file with pandas, scipy.stats and statsmodels; nothing of the project's own
code takes part, so what agrees with them agrees with an outside computation.
"""

import csv
import io
from datetime import UTC, datetime, timedelta
from random import Random

import numpy as np
import pandas as pd
import statsmodels.api as sm
from scipy import special, stats

YARD_M = 0.9144
CLUBS = {"46": 46.0, "50": 50.0, "54": 54.0, "58": 58.0}
SWINGS = ["7:30", "9:00", "10:30", "full", "feel"]
MISHITS = ["fat", "thin", "topped", "shank"]
HEADER = [
    *("hit_at", "club", "swing", "target_yd", "carry_yd", "lateral_yd", "error_yd", "contact"),
    *("measured_by", "distance_is", "setting", "warm_up", "session", "number_shown", "resolution_m"),
]


def shots_csv(rows: int, *, seed: int) -> str:
    """Return a file of that many shots over 90 days: every kind of row that the scores treat apart."""
    random = Random(seed)
    text = io.StringIO()
    writer = csv.DictWriter(text, HEADER, lineterminator="\r\n")
    writer.writeheader()
    start = datetime(2026, 6, 1, 9, tzinfo=UTC)
    for n in range(rows):
        hit_at = start + timedelta(days=(n * 90) // rows, seconds=20 * (n % 1000))
        writer.writerow(_row(random) | {"hit_at": hit_at.isoformat()})
    return text.getvalue()


def _row(random: Random) -> dict:
    target_yd = round(random.uniform(20, 100), 1)
    row = {
        "club": random.choice(list(CLUBS)),
        "swing": random.choice(SWINGS),
        "contact": random.choices(["clean", "", *MISHITS], [60, 30, 3, 3, 2, 2])[0],
        "measured_by": random.choices(["monitor", "laser", "eye", ""], [4, 2, 2, 2])[0],
        "distance_is": random.choices(["carry", "", "finish"], [5, 4, 1])[0],
        "setting": random.choices(["range", "", "course"], [5, 4, 1])[0],
        "warm_up": random.choices(["no", "", "yes"], [5, 4, 1])[0],
        "session": random.choices(["", "evening"], [4, 1])[0],
        "number_shown": random.choice(["yes", "no", ""]),
        "resolution_m": random.choice(["", "0.9144"]),
    }
    kind = random.choices(["target", "stock", "error"], [7, 2, 1])[0]
    if kind == "error" and row["contact"] not in MISHITS:
        return row | {"error_yd": round(random.gauss(0, 5), 2)}
    carry_yd = max(round(target_yd + random.gauss(-1, 0.09 * target_yd), 2), 1.0)
    if row["contact"] in MISHITS:
        carry_yd = random.choice(["", 0, round(carry_yd * 0.5, 2)])
    row |= {"carry_yd": carry_yd, "lateral_yd": random.choice(["", round(random.gauss(0, 3), 2)])}
    return row | ({"target_yd": target_yd} if kind != "stock" else {})


def scores_of(text: str) -> dict[tuple[str, str, str], dict]:
    """Return the scores of every cell of a file, by (club, swing, by), in metres."""
    shots = pd.read_csv(io.StringIO(text), dtype={"club": str, "session": str}, parse_dates=["hit_at"])
    shots["by"] = np.where(shots["measured_by"].isin(["monitor", "laser"]), "measured", "eye")
    for name in ("target", "carry", "lateral", "error"):
        shots[f"{name}_m"] = shots[f"{name}_yd"] * YARD_M
    counted = shots[
        (shots["setting"] != "course") & (shots["distance_is"] != "finish") & (shots["warm_up"] != "yes")
    ].copy()
    counted["day"] = counted["hit_at"].dt.date.map(lambda day: day.toordinal())
    counted["visit"] = counted["day"].astype(str) + "/" + counted["session"].fillna("")
    return {key: _scores(cell) for key, cell in counted.groupby(["club", "swing", "by"])}


def _scores(cell: pd.DataFrame) -> dict:
    mishit = cell["contact"].isin(MISHITS)
    both = (cell["carry_m"] - cell["target_m"]).dropna()
    good = cell[~mishit]
    error = (good["carry_m"] - good["target_m"]).fillna(good["error_m"]).dropna()
    lateral = good.loc[error.index, "lateral_m"].dropna()
    miss = np.hypot(error.loc[lateral.index], lateral)
    stock = good.loc[good["target_m"].isna() & good["error_m"].isna(), "carry_m"].dropna()
    return {
        "mishits": int(mishit.sum()),
        "n": len(error),
        "bias_m": _or_none(error.mean()),
        "spread_m": _or_none(error.std(ddof=1)),
        "rmse_m": _or_none(np.sqrt((error**2).mean())),
        "rmse_all_m": _or_none(np.sqrt((both**2).mean())),
        "bias_ci95_m": _mean_interval(error),
        "spread_ci95_m": _spread_interval(error),
        "n_lateral": len(miss),
        "proximity_mean_m": _or_none(miss.mean()),
        "proximity_median_m": _or_none(miss.median()),
        "n_carry": len(stock),
        "carry_mean_m": _or_none(stock.mean()),
        "carry_ci95_m": _mean_interval(stock),
        "sessions": cell.loc[error.index, "visit"].nunique(),
        **_trend(good),
    }


def _or_none(value):
    return None if pd.isna(value) else float(value)


def _mean_interval(values: pd.Series):
    if len(values) < 2:
        return None
    return stats.t.interval(0.95, len(values) - 1, values.mean(), stats.sem(values))


def _spread_interval(values: pd.Series):
    if len(values) < 2:
        return None
    squares = (len(values) - 1) * values.var(ddof=1)
    return tuple(np.sqrt(squares / stats.chi2.ppf([0.975, 0.025], len(values) - 1)))


def _trend(good: pd.DataFrame) -> dict:
    q = ((good["carry_m"] - good["target_m"]) / good["target_m"]).dropna()
    visits = pd.DataFrame({"q2": q**2, "visit": good["visit"], "day": good["day"]}).dropna()
    each = visits.groupby("visit").agg(n=("q2", "size"), mean=("q2", "mean"), day=("day", "first"))
    each = each[each["n"] >= 2]
    half = each["n"] / 2
    log_rmse = np.log(np.maximum(each["mean"], 1e-6)) / 2 - (special.psi(half) - np.log(half)) / 2
    if len(each) < 3 or each["day"].nunique() < 2:
        pct, ends = None, None
    else:
        line = sm.OLS(log_rmse.to_numpy(), sm.add_constant(each["day"].to_numpy(float))).fit()
        pct = 100 * np.expm1(30 * line.params[1])
        ends = tuple(100 * np.expm1(30 * line.conf_int(0.05)[1]))
    return {
        "trend_sessions": len(each),
        "trend_pct_per_30_days": pct,
        "trend_ci95_pct_per_30_days": ends,
        "trend_verdict": _verdict(len(each), ends),
    }


def _verdict(visits: int, ends) -> str:
    if visits < 6 or ends is None:
        return "too few"
    if ends[1] < 0:
        return "tighter"
    return "wider" if ends[0] > 0 else "no clear change"
