"""An academy's own putting table: kept, refused with what to do, and given up again."""

import pytest
from django.test import Client
from django.urls import reverse

from analytics.metrics.putting import TOUR_PUTTS
from analytics.putting_table import table_of
from practice.clubs.models import PuttingTable
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def academy():
    return make.make_academy()


@pytest.fixture
def client(academy):
    client = Client()
    client.force_login(make.make_staff(academy))
    return client


@pytest.fixture
def address(academy):
    return reverse("analytics:putting_table", args=[academy.pk])


def test_the_published_table_counts_until_there_is_an_own_one(academy, client, address):
    assert table_of(academy) == TOUR_PUTTS
    html = client.get(address).content.decode()
    assert TOUR_PUTTS.source in html
    # Broadie, Every Shot Counts, from memory: a tour professional takes 1.50 putts from 8 feet, 1.98 from 30
    assert "8 1.5\n" in html
    assert "30 1.98\n" in html


def test_a_table_is_kept_sorted_with_its_source_and_twice_is_once(academy, client, address):
    sent = {"source": "Our own count, 2026", "rows": "30; 2.2\n\n  3, 1.1\n10\t1.7\n"}
    for _ in range(2):
        assert client.post(address, sent).status_code == 302
    table = table_of(academy)
    assert (table.source, table.feet, table.putts) == ("Our own count, 2026", (3.0, 10.0, 30.0), (1.1, 1.7, 2.2))
    assert PuttingTable.objects.filter(academy=academy).count() == 1
    html = client.get(address, follow=True).content.decode()
    assert "3 1.1\n10 1.7\n30 2.2" in html


def test_another_academys_table_is_not_touched(academy, client, address):
    other = make.make_academy()
    client.post(address, {"source": "Ours", "rows": "3 1.1\n30 2.2"})
    assert table_of(other) == TOUR_PUTTS


WRONG = [
    ("", "Give at least two lines"),
    ("3 1.1", "A putting table needs 2 rows or more"),
    ("3 1.1\n3 1.2", "The distances of a putting table must rise from row to row."),
    ("3 1.1\n30 0.9", "Putts must be 1 or more, and never fewer from farther away."),
    ("3 1.4\n30 1.2", "never fewer from farther away"),
    ("-3 1.1\n30 2.0", "must rise"),
    ("3 1.1\n30", "Line 2, “30”: give a distance in feet and a number of putts"),
    ("3 1,1\n30 2", "Line 1, “3 1,1”"),
    ("three putts\n30 2", "Line 1, “three putts”"),
    ("3 nan\n30 2", "Line 1, “3 nan”"),
    ("3 1.1\ninf 2", "Line 2, “inf 2”"),
    ("3 1.1\n1e999 2", "Line 2, “1e999 2”"),
    ("\n".join(f"{n} 2" for n in range(101)), "101 lines are too many: 100 at most."),
]


@pytest.mark.parametrize(("rows", "message"), WRONG, ids=[message[:30] for _, message in WRONG])
def test_a_wrong_table_comes_back_with_what_to_do_and_loses_nothing(academy, client, address, rows, message):
    response = client.post(address, {"source": "Ours", "rows": rows})
    assert response.status_code == 422
    html = response.content.decode()
    assert message in html
    assert rows in html
    assert table_of(academy) == TOUR_PUTTS


def test_a_table_without_a_source_is_refused(academy, client, address):
    response = client.post(address, {"source": " ", "rows": "3 1.1\n30 2.2"})
    assert response.status_code == 422
    assert "Say where the figures come from" in response.content.decode()
    assert client.post(address).status_code == 422


def test_reset_goes_back_to_the_published_table_and_again_changes_nothing(academy, client, address):
    client.post(address, {"source": "Ours", "rows": "3 1.1\n30 2.2"})
    for _ in range(2):
        response = client.post(reverse("analytics:reset_putting_table", args=[academy.pk]))
        assert response.status_code == 302
        assert table_of(academy) == TOUR_PUTTS
