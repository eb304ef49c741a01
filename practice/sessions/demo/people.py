"""The invented academy: its people, their bags and their range. Any likeness to real ones is chance."""

from dataclasses import dataclass

from practice.units import YARD_M

ACADEMY = "Saltmarsh Short Game Academy"
TIME_ZONE = "Europe/London"
PASSWORD = "saltmarsh demo only"
OWNER = ("Marta Kestrel", "owner@saltmarsh.example")
COACH = ("Theo Rushmere", "coach@saltmarsh.example")

RANGE = "Saltmarsh Range"
COURSE = "Heron Links"
TEE_LINE = "Front mats"
BAYS = [("Bay 1", -10.0, 40.0), ("Bay 6", -40.0, 40.0), ("Bay 12", -40.0, 10.0)]
TARGETS = [
    # name, yards from the tee line, degrees from straight ahead (+ right), metres up, checked with a laser
    ("Barrel", 28, -14.0, 0.0, True),
    ("White flag", 36, 6.0, 0.0, True),
    ("Low post", 45, -4.0, -0.5, True),
    ("Blue flag", 54, 12.0, 0.0, True),
    ("Stone", 63, -18.0, 0.5, True),
    ("Old gate", 72, 2.0, 0.0, True),
    ("Red flag", 81, -8.0, 0.0, True),
    ("Elm", 90, 20.0, 1.0, False),
    ("Far flag", 99, -2.0, 0.0, True),
]


@dataclass(frozen=True)
class Golfer:
    """One player's truth, from which the shots are drawn; see `model`.

    Attributes
    ----------
    full_52_yd
        Carry of a full swing with 52 degrees of loft.
    scatter, scatter_after
        Standard deviation of carry as a share of the distance, in the first and the last week.
    mishit_rate
        Share of balls that are fat, thin, topped or shanked.
    visits_a_week, balls_a_visit
        How much work is logged.
    measured_share
        Share of visits at which a laser or launch monitor measured; at the others distances are judged by eye.
    bag_reviewed_weeks_ago
        When the coach last read the lofts and looked at the grooves; None for never.
    """

    name: str
    full_52_yd: float
    scatter: float
    scatter_after: float
    mishit_rate: float = 0.06
    visits_a_week: int = 2
    balls_a_visit: int = 50
    measured_share: float = 0.6
    handed: str = "right"
    junior: bool = False
    email: str | None = None
    lofts_deg: tuple[float, ...] = (46.0, 50.0, 54.0, 58.0)
    bent_in_week: int | None = None
    bag_reviewed_weeks_ago: int | None = 3

    @property
    def full_52_m(self) -> float:
        return self.full_52_yd * YARD_M


GOLFERS = [
    # who improve
    Golfer("Ada Fernhill", 98, 0.105, 0.062, visits_a_week=3, balls_a_visit=55, email="ada@saltmarsh.example"),
    Golfer("Bram Lindgrove", 112, 0.090, 0.060, visits_a_week=3, balls_a_visit=60),
    Golfer("Cora Appleyard", 92, 0.120, 0.080, balls_a_visit=56, handed="left"),
    Golfer(
        "Dario Quillfeather", 118, 0.085, 0.055, visits_a_week=3, balls_a_visit=56, lofts_deg=(45.0, 50.0, 55.0, 60.0)
    ),
    # whose wedge is bent mid-season, and who improves a little
    Golfer("Elin Hartsong", 100, 0.095, 0.080, lofts_deg=(46.0, 50.0, 56.0, 60.0), bent_in_week=6),
    # who don't improve
    Golfer("Femi Brightwater", 108, 0.095, 0.095, visits_a_week=3, balls_a_visit=56),
    Golfer("Greta Mossdale", 88, 0.130, 0.130, balls_a_visit=58, mishit_rate=0.12),
    Golfer("Hugo Ravensby", 121, 0.080, 0.092, lofts_deg=(45.0, 51.0, 57.0), bag_reviewed_weeks_ago=40),
    # who log little
    Golfer("Ines Larkmoor", 95, 0.100, 0.090, visits_a_week=1, balls_a_visit=12, measured_share=0.3),
    Golfer(
        "Jory Tamblyn",
        104,
        0.110,
        0.110,
        visits_a_week=1,
        balls_a_visit=8,
        measured_share=0.0,
        bag_reviewed_weeks_ago=None,
    ),
    # juniors without e-mail
    Golfer("Kit Sandgrove", 66, 0.150, 0.110, junior=True, mishit_rate=0.14, balls_a_visit=40),
    Golfer("Lotte Winterby", 72, 0.140, 0.120, junior=True, mishit_rate=0.10, balls_a_visit=30, measured_share=0.4),
]
