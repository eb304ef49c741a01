"""What the fuzzed bodies are made of: items after the registry of kinds and their schemas, and bytes that are none.

A new kind is drawn as soon as it has its example. What an item names is drawn as a `Ref` and looked up when it is
sent, because ids are new in each run and hypothesis must draw the same from run to run.
"""

import json
from dataclasses import dataclass

from django.db.models import TextChoices
from hypothesis import strategies as st

from practice.sessions import words
from practice.sessions.items import KINDS
from practice.sessions.items.kind import ENVELOPE
from practice.sessions.sync import MAX_ITEMS
from tests.practice.sessions.sync.examples import rows_named_by

BODIES_AT_ONCE = 10


@dataclass(frozen=True)
class Ref:
    """The id of a row of one of the stages; "nobody" has no rows."""

    whose: str
    name: str


WHOSE = ("ours", "mates", "theirs", "nobodys")
ROWS = sorted({name for kind in KINDS for name in rows_named_by(kind)})
WORDS = sorted(
    {
        word
        for found in vars(words).values()
        if isinstance(found, type) and issubclass(found, TextChoices)
        for word in found
    }
)
LITERALS = {'"<huge>"': "9" * 5000, '"<infinite>"': "1e999", '"<deep>"': "[" * 500 + "]" * 500}
"""What JSON can say and Python's writer would not."""

NUMBERS = [0, -0.0, 1, 2, -1, 0.5, 48.0, 399.9, 400, 400.0001, -200, -201.5, 5e-324, 1e308, -1e308, float("nan")]
NUMBERS += [2**31 - 1, 2**31, 2**53 - 1, 2**53, -(2**53), 2**63, 10**19, 10**25, float("inf")]
TEXTS = ["", " ", "0", "feel", "9:00", "\0", "a\0b", "\ud800", "\udfff\ud800", "x" * 13, "x" * 41, "x" * 65, "x" * 9000]
TEXTS += ["\u202eback", "e\u0301\u200d", "\U0001f3cc", "None", "NaN", "true", "'; DROP TABLE shot; --", "<b>", "%s{0}"]
TIMES = ["2026-05-04T10:15:00Z", "0001-01-01T00:00+23:59", "9999-12-31T23:59:59-23:59", "2026-05-04", "20260504T1015Z"]
NESTED = [[], {}, [[[]]], {"a": {"b": [1]}}, [None], {"id": "1"}, {"": ""}]

plain = st.sampled_from([*LITERALS, None, True, False, *NUMBERS, *TEXTS, *TIMES, *NESTED, *WORDS]).map(
    lambda value: value.strip('"') if value in [*LITERALS] else value
)
refs = st.builds(Ref, st.sampled_from(WHOSE), st.sampled_from([*ROWS, "player", "device", "id"]))
odd = st.one_of(plain, plain, refs, st.text(max_size=4), st.integers(), st.floats(allow_nan=False))
likely = st.one_of(st.sampled_from([None, True, False, *WORDS, *range(6), 48.0, 120.5, -3.0]), odd)


def of_field(kind: str, name: str):
    """Return what is drawn for a value: mostly of its sort, or little would be stored."""
    if name in rows_named_by(kind):
        return st.one_of(st.builds(Ref, st.sampled_from(WHOSE), st.just(name)), refs, odd)
    return likely


@dataclass(frozen=True)
class Draft:
    """An item to be sent: the example of a kind, and what is changed of it."""

    kind: str
    whose: str
    place: int
    envelope: dict
    odd_fields: dict
    values: dict


def draft_of(kind: str):
    names = sorted(KINDS[kind].schema)
    pairs = st.one_of(*(st.tuples(st.just(name), of_field(kind, name)) for name in names))
    return st.builds(
        Draft,
        kind=st.just(kind),
        whose=st.sampled_from(["ours"] * 7 + [*WHOSE]),
        place=st.integers(0, 4),
        envelope=st.fixed_dictionaries(
            {
                "revision": st.sampled_from([1, 1, 1, 2, 3]),
                "number": st.integers(0, 5),
                "deleted": st.sampled_from([False, False, True]),
            }
        ),
        odd_fields=st.one_of(
            st.just({}),
            st.just({}),
            st.just({}),
            st.dictionaries(st.sampled_from([*ENVELOPE, "extra"]), odd, max_size=2),
        ),
        values=st.one_of(st.just({}), st.just({}), st.lists(pairs, max_size=3).map(dict)),
    )


drafts = st.one_of(*(draft_of(kind) for kind in KINDS))
things = st.one_of(drafts, drafts, drafts, drafts, drafts, drafts, odd)
senders = st.sampled_from(["player", "player", "coach"])
bodies = st.lists(st.tuples(senders, st.lists(things, max_size=4)), min_size=BODIES_AT_ONCE, max_size=BODIES_AT_ONCE)


# --- bodies that are no list of items

VALID = b'{"items": [{"kind": "stop", "id": "x", "values": {}, "number": 1}, 7]}'
CONTENT_TYPES = ["application/json"] * 6 + [
    *("application/json; charset=utf-16", "application/json; charset=nonsense", "APPLICATION/JSON", "text/plain"),
    *("", "/", "multipart/form-data", "multipart/form-data; boundary=x", "application/x-www-form-urlencoded"),
]


@st.composite
def broken(draw) -> bytes:
    """Return a good body that was cut off, or had some bytes changed."""
    body = bytearray(
        draw(st.sampled_from([VALID, VALID.decode().encode("utf-16"), VALID * 2, b"\xef\xbb\xbf" + VALID]))
    )
    for place in draw(st.lists(st.integers(0, len(body) - 1), max_size=3)):
        body[place] = draw(st.integers(0, 255))
    return bytes(body[: draw(st.integers(0, len(body)))])


nested = st.sampled_from("[{").flatmap(
    lambda opened: st.integers(1, 100_000).map(lambda depth: (opened if opened == "[" else '{"a":') * depth)
)
texts = st.one_of(
    nested,
    st.recursive(
        odd.filter(lambda v: not isinstance(v, Ref)),
        lambda i: st.lists(i) | st.dictionaries(st.text(max_size=3), i),
        max_leaves=8,
    ).map(json.dumps),
)
too_many = st.integers(MAX_ITEMS, MAX_ITEMS + 2).map(lambda n: json.dumps({"items": [7] * n}))
raw = st.one_of(st.binary(max_size=40), broken(), broken(), st.one_of(texts, too_many).map(str.encode))
raw_bodies = st.lists(st.tuples(raw, st.sampled_from(CONTENT_TYPES)), min_size=BODIES_AT_ONCE, max_size=BODIES_AT_ONCE)
