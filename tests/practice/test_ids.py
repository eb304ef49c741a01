"""Identifiers: their form by RFC 9562, and rows whose ids count on from one another."""

import time
from types import SimpleNamespace
from uuid import RFC_4122, UUID

from practice.ids import uuid7, with_ids_in_a_row


def test_an_id_has_the_form_of_the_standards_example():
    """RFC 9562, appendix A.6: 2022-02-22 19:22:22 UTC, with the random bits 0xCC3 and 0x18C4DC0C0C07398F."""
    given = {12: 0xCC3, 62: 0x18C4DC0C0C07398F}
    assert uuid7(0x017F22E279B0, given.get) == UUID("017F22E2-79B0-7CC3-98C4-DC0C0C07398F")


def test_ids_in_a_row_count_on_and_each_has_the_form_of_version_7():
    now = time.time_ns() // 1_000_000
    rows = with_ids_in_a_row(SimpleNamespace() for _ in range(300))
    first = rows[0].pk
    assert [row.pk.int - first.int for row in rows] == list(range(300))
    assert {(row.pk.version, row.pk.variant) for row in rows} == {(7, RFC_4122)}
    assert 0 <= (first.int >> 80) - now < 10_000
    assert abs(with_ids_in_a_row([SimpleNamespace()])[0].pk.int - first.int) > 300
