"""import_roster: players and bags from a CSV, all or nothing, and again without a change."""

from datetime import date
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from practice.clubs.models import Club, ClubKind, ClubSetup, StatedCarry
from practice.clubs.roster import bag_by_label, kind_of, roster_rows
from practice.players.models import Handed, Player
from practice.sessions.models import Shot
from tests.make import local, make_academy, make_club, make_player, make_range, make_shot

pytestmark = pytest.mark.django_db

HEADER = "player,handed,club,loft_deg,carried"
BAG = f"""{HEADER}
Ada Brook,right,PW,46.0,yes
Ada Brook,right,56,56.0,yes
Ada Brook,right,Putter,,yes
Ben Hill,left,56,55.5,no
"""


@pytest.fixture
def academy():
    return make_academy("Greenside")


@pytest.fixture
def roster(tmp_path):
    """Return a function that imports a text, and gives what was printed and, where it failed, why."""

    def run(text, **options):
        path = tmp_path / "roster.csv"
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        out, err = StringIO(), StringIO()
        try:
            call_command("import_roster", str(path), stdout=out, stderr=err, **options)
        except CommandError as error:
            return out.getvalue(), f"{err.getvalue()}{error}"
        return out.getvalue(), err.getvalue()

    return run


def held():
    """Return everything that a roster can change, as plain values."""
    return (
        list(Player.objects.order_by("slug").values_list("slug", "name", "handed")),
        list(Club.objects.order_by("player__slug", "label").values_list("player__slug", "label", "kind", "carried")),
        sorted(ClubSetup.objects.values_list("club__label", "loft_deg", "valid_from"), key=str),
    )


def test_players_and_bags_are_made_and_their_slugs_printed(academy, roster):
    out, err = roster(BAG)
    assert "made ada-brook (Ada Brook)\nmade ben-hill (Ben Hill)\n" in out
    assert "2 new players, 4 new clubs, 0 new setups" in out
    assert err == ""
    players, clubs, setups = held()
    assert players == [("ada-brook", "Ada Brook", "right"), ("ben-hill", "Ben Hill", "left")]
    assert clubs == [
        ("ada-brook", "56", "wedge", True),
        ("ada-brook", "PW", "wedge", True),
        ("ada-brook", "Putter", "putter", True),
        ("ben-hill", "56", "wedge", False),
    ]
    assert sorted(setups, key=str) == [
        ("56", 55.5, None),
        ("56", 56.0, None),
        ("PW", 46.0, None),
        ("Putter", None, None),
    ]


def test_the_same_roster_again_changes_nothing(academy, roster):
    roster(BAG)
    before = held()
    out, err = roster(BAG)
    assert held() == before
    assert "0 new players, 0 new clubs, 0 new setups; 0 put in or out of the bag" in out
    assert "0 described anew, 4 already held" in out
    assert err == ""


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("Cal Reed,both,52,52,yes", "handed is 'both'; use right or left"),
        ("Cal Reed,right,52,ninety,yes", "loft_deg is 'ninety'; it is not a number"),
        ("Cal Reed,right,52,NaN,yes", "loft_deg is 'NaN'; it is not a number"),
        ("Cal Reed,right,52,120,yes", "between 0 and 90"),
        ('Cal Reed,right,52,"52,5",yes', "write it with a decimal point"),
        ("Cal Reed,right,52,52,5,yes", "has 6 cells, the header has 5; decimals have a point"),
        ("Cal Reed,right,52,52", "has 4 cells, the header has 5"),
        ("Cal Reed,right,52,,yes", "only a putter"),
        ("Cal Reed,right,,52,yes", "club must hold the club's name"),
        ("Cal Reed,right,A club with a very long name,52,yes", "at most 20 characters"),
        (",right,52,52,yes", "player must hold the player's name"),
        ("Cal Reed,right,52,52,perhaps", "carried is 'perhaps'; use yes or no"),
        ("李,right,52,52,yes", "give one in a column slug"),
        ("Ada-Brook,right,52,52,yes", "the slug ada-brook is that of Ada Brook"),
        ("Ada Brook,left,52,52,yes", "Ada Brook is held as right-handed"),
        ("Ada Brook,right,56,54,yes", "56 is held with loft 56.0; date the new one in a column valid_from"),
    ],
)
def test_a_bad_line_is_told_and_nothing_is_stored(academy, roster, line, reason):
    roster(f"{HEADER}\nAda Brook,right,56,56,yes\n")
    before = held()
    out, err = roster(f"{HEADER}\nDee Fox,right,60,60,yes\n{line}\n")
    assert "line 3: " in err
    assert reason in err
    assert "Nothing was stored: 1 bad line" in err
    assert out == ""
    assert held() == before


@pytest.mark.parametrize(
    ("content", "reason"),
    [
        (b"", "line 1: the file is empty"),
        (b"player,handed,club,carried\n", "line 1: the column loft_deg is missing"),
        (b"player,handed,club,loft_deg,carried,club\n", "line 1: the column club is there 2 times"),
        (BAG.replace(",", ";").encode(), "line 1: the columns are separated by semicolons"),
        (BAG.encode("utf-16"), "line 1: the file is in UTF-16"),
        (f"{HEADER}\nZoé,right,56,56,yes\n".encode("latin-1"), "line 2: the line is not UTF-8"),
    ],
)
def test_a_bad_file_is_told(academy, roster, content, reason):
    _, err = roster(content)
    assert reason in err
    assert held() == ([], [], [])


def test_every_bad_line_is_told(academy, roster):
    _, err = roster(f"{HEADER}\nA,up,56,56,yes\nB,right,56,56,yes\nB,right,56,56,yes\nC,right,56,x,maybe\n")
    assert "line 2: handed is 'up'" in err
    assert "line 4: 56 stands in line 3 already" in err
    assert "line 5: carried is 'maybe'; use yes or no; loft_deg is 'x'" in err
    assert "3 bad lines" in err


def test_a_dated_loft_starts_a_new_setup_and_the_shots_follow_it(academy, roster):
    venue = make_range(academy)
    club = make_club(make_player(academy, "Ada Brook"), "56", loft_deg=56.0)
    before = make_shot(club, venue, hit_at=local(2026, 4, 30))
    after = make_shot(club, venue, hit_at=local(2026, 5, 1))
    dated = f"{HEADER},valid_from\nAda Brook,right,56,54.5,yes,2026-05-01\n"
    out, err = roster(dated)
    assert "1 new setup;" in out
    assert err == ""
    assert Shot.objects.get(pk=before.pk).setup.loft_deg == 56.0
    assert Shot.objects.get(pk=after.pk).setup.loft_deg == 54.5
    assert ClubSetup.objects.get(loft_deg=54.5).reason == "bent"
    assert "0 new setups" in roster(dated)[0]


def test_another_loft_on_the_day_of_a_setup_and_a_day_to_come_are_faults(academy, roster):
    club = make_club(make_player(academy, "Ada Brook"), "56", loft_deg=56.0)
    ClubSetup.objects.create(club=club, loft_deg=54.0, valid_from=date(2026, 5, 1))
    header = f"{HEADER},valid_from"
    assert "held with loft 54.0 from 2026-05-01" in roster(f"{header}\nAda Brook,right,56,53,yes,2026-05-01\n")[1]
    assert "still to come" in roster(f"{header}\nAda Brook,right,56,53,yes,2999-05-01\n")[1]
    assert "write a date like" in roster(f"{header}\nAda Brook,right,56,53,yes,1 May\n")[1]
    assert club.setups.count() == 2


def test_setups_are_made_in_the_order_of_their_dates_whatever_that_of_the_lines(academy, roster):
    roster(
        f"{HEADER},valid_from\nAda,right,56,54,yes,2026-05-01\nAda,right,56,55,yes,2026-03-01\nAda,right,56,56,yes,\n"
    )
    setups = ClubSetup.objects.in_order().values_list("loft_deg", "valid_from")
    assert list(setups) == [(56.0, None), (55.0, date(2026, 3, 1)), (54.0, date(2026, 5, 1))]


def test_a_slug_tells_two_players_of_one_name_apart(academy, roster):
    two = f"{HEADER},slug\nAda Brook,right,56,56,yes,ada\nAda Brook,left,56,58,yes,ada-junior\n"
    assert "2 new players" in roster(two)[0]
    assert "0 new players, 0 new clubs" in roster(two)[0]
    assert Player.objects.get(slug="ada-junior").handed == Handed.LEFT
    _, err = roster(f"{HEADER}\nAda Brook,right,56,56,yes\n")
    assert "more than one player is called Ada Brook; say which in a column slug: ada, ada-junior" in err


def test_a_club_goes_out_of_the_bag_and_comes_back(academy, roster):
    roster(BAG)
    out, _ = roster(BAG.replace("PW,46.0,yes", "PW,46.0,no"))
    assert "1 put in or out of the bag" in out
    assert not Club.objects.get(label="PW").carried
    roster(BAG)
    assert Club.objects.get(label="PW").carried


def test_more_clubs_than_a_round_allows_are_a_warning_and_so_are_unknown_columns(academy, roster):
    lines = "".join(f"Ada,right,{n},{n},yes,red\n" for n in range(46, 61))
    out, err = roster(f"{HEADER},grip\n{lines}")
    assert "warning: Ada carries 15 clubs; a round allows 14 (Rules of Golf, Rule 4.1b)" in err
    assert "warning: unknown columns are left out: grip" in err
    assert "15 new clubs" in out


def test_the_academy_is_needed_only_where_there_are_two(roster):
    assert "There is no academy yet" in roster(BAG)[1]
    first = make_academy("First")
    assert "There is no academy 'other'; there is: first." in roster(BAG, academy="other")[1]
    roster(BAG)
    second = make_academy("Second")
    assert "add --academy with one of: first, second" in roster(BAG)[1]
    roster(BAG, academy="second")
    assert first.players.count() == second.players.count() == 2


def test_a_file_that_is_not_there_is_told(academy):
    with pytest.raises(CommandError, match="cannot be read: No such file"):
        call_command("import_roster", "/nowhere/roster.csv")


def test_kinds_follow_name_and_loft():
    assert kind_of("Putter", 3.0) == kind_of("PT", None) == ClubKind.PUTTER
    assert kind_of("56", 56.0) == kind_of("PW", 42.0) == ClubKind.WEDGE
    assert kind_of("7i", 34.0) == ClubKind.IRON
    assert kind_of("3w", 15.0) == ClubKind.WOOD


def test_the_carried_club_is_the_one_that_a_label_means(academy):
    player = make_player(academy)
    carried = make_club(player, "56")
    make_club(player, "56", carried=False)
    older = make_club(player, "60", carried=False)
    newer = make_club(player, "60", carried=False)
    assert older.created_at < newer.created_at
    assert bag_by_label(player) == {"56": carried, "60": newer}


def test_a_bag_written_as_a_roster_makes_the_same_bag_again(academy, roster):
    player = make_player(academy, "Ada Brook", handed=Handed.LEFT)
    club = make_club(player, "56", loft_deg=56.25, stated_full_m=80.0)
    ClubSetup.objects.create(club=club, loft_deg=54.1, valid_from=date(2026, 5, 1))
    make_club(player, "Putter", loft_deg=None, kind=ClubKind.PUTTER, carried=False)
    before = held()
    text = "\n".join(",".join(row) for row in roster_rows(player))
    Player.objects.all().delete()
    assert not StatedCarry.objects.exists()
    _, err = roster(text)
    assert err == ""
    assert held() == before


# How a club is built

BUILT = f"{HEADER},head_type,length_mm,lie_deg,bend_limit_deg\nAda Brook,right,56,56.0,yes,cast,889.5,63.5,0.5\n"


def build():
    return Club.objects.values_list("head_type", "length_mm", "lie_deg", "bend_limit_deg").get()


def test_how_a_club_is_built_is_read_changed_and_written_again(academy, roster):
    roster(BUILT)
    assert build() == ("cast", 889.5, 63.5, 0.5)
    out, _ = roster(BUILT.replace("cast,889.5,63.5", "forged,,"))
    assert "1 described anew, 0 already held" in out
    assert build() == ("forged", 889.5, 63.5, 0.5)
    out, _ = roster("\n".join(",".join(row) for row in roster_rows(Player.objects.get())))
    assert "0 described anew, 1 already held" in out
    assert build() == ("forged", 889.5, 63.5, 0.5)


BAD_BUILDS = [
    ("cast,", "carved,", "head_type is 'carved'; use forged or cast, or leave it empty"),
    ("889.5", "35", "length_mm is '35'; use 400 to 1400"),
    ("63.5", "6.35", "lie_deg is '6.35'; use 40 to 80"),
    (",0.5", ",7", "bend_limit_deg is '7'; use 0 to 6"),
]


@pytest.mark.parametrize(("good", "wrong", "words"), BAD_BUILDS)
def test_a_build_that_cannot_be_is_told_and_nothing_is_stored(academy, roster, good, wrong, words):
    _, err = roster(BUILT.replace(good, wrong, 1))
    assert words in err
    assert not Club.objects.exists()


def test_two_lines_of_one_club_cannot_build_it_in_two_ways(academy, roster):
    header, line = BUILT.splitlines()
    _, err = roster("\n".join([f"{header},valid_from", f"{line},", f"{line.replace('cast', 'forged')},2026-05-01"]))
    assert "head_type differs from line 2 for the same club" in err
    assert not Club.objects.exists()
