"""Counts by lot, verdict and kind are those of the takes that a list shows."""

from collections import Counter
from collections.abc import Iterator
from datetime import timedelta

import pytest

from app.records.counts import VerdictCounts
from app.records.filters import Kind
from app.records.store import Store
from dsp.conformity.verdict import Verdict
from tests.app.records.made_takes import START, make_capture, make_take
from tests.app.records.places import KINDS, Places

# Lot, unit and verdict of takes, oldest first; 0417 was measured three times.
LINE = (
    ("T4-W30", "T4-W30-0001", Verdict.CONFORMS),
    ("T4-W30", "T4-W30-0002", Verdict.DOES_NOT_CONFORM),
    ("T4-W31", "T4-W31-0417", Verdict.DOES_NOT_CONFORM),
    ("T4-W31", "T4-W31-0418", Verdict.CONFORMS),
    ("T4-W31", "T4-W31-0417", Verdict.NOT_DECIDED),
    ("T4-W31", "T4-W31-0417", Verdict.CONFORMS),
    ("T4-W30", "T4-W30-0002", Verdict.NOT_DECIDED),
    (None, None, Verdict.NOT_DECIDED),
    ("T4-W29", "T4-W29-0001", Verdict.NOT_JUDGED),
    ("T4-W29", "T4-W29-0002", Verdict.NOT_JUDGED),
    ("T4-W30", "T4-W30-0003", Verdict.NOT_JUDGED),
)


@pytest.fixture(scope="module", params=KINDS)
def store(request: pytest.FixtureRequest, places: Places) -> Iterator[Store]:
    capture = make_capture()
    with Store.open(places.new(request.param)) as store:
        for n, (lot, unit, verdict) in enumerate(LINE, start=1):
            take = make_take(
                capture,
                seed=n,
                id=f"{n:032x}",
                lot=lot,
                unit=unit,
                verdict=verdict,
                started_utc=START + timedelta(hours=n),
                derived_from=f"{5:032x}" if n == 6 else None,
            )
            store.keep(take, capture=capture)
        store.set_reference(f"{4:032x}", by="N. N.", why="the middle of the lot")
        store.mark_unit("T4-W31-0417", "good", by="N. N.", why="opened, nothing found")
        yield store


def test_takes_are_counted_by_lot_and_verdict(store: Store) -> None:
    expected = Counter((lot, verdict) for lot, _, verdict in LINE)
    tally = store.tally()
    assert [lot.lot for lot in tally.lots] == [
        "T4-W29",
        "T4-W31",
        "T4-W30",
        None,
    ]  # that of no lot last
    for lot in tally.lots:
        assert {v: lot.takes.of(v) for v in Verdict} == {v: expected[lot.lot, v] for v in Verdict}
    assert tally.takes.total == store.count() == len(LINE)
    assert store.lots() == ("T4-W29", "T4-W31", "T4-W30")


def test_counts_follow_the_filters_of_the_list(store: Store) -> None:
    for filters in (
        {"lot": "T4-W31"},
        {"verdict": Verdict.NOT_DECIDED},
        {"text": "0417"},
        {"lot": "T4-W30", "verdict": Verdict.NOT_DECIDED},
        {"lot": "T4-W30", "verdict": Verdict.NOT_JUDGED},
        {"kind": Kind.INSPECTED},
    ):
        counts = store.verdict_counts(**filters)
        listed = Counter(s.verdict for s in store.find(**filters))
        assert {v: counts.of(v) for v in Verdict} == {v: listed[v] for v in Verdict}


def test_the_yield_of_a_lot_counts_each_unit_by_its_newest_take(store: Store) -> None:
    assert store.unit_counts("T4-W31") == VerdictCounts(conforms=2)
    assert store.unit_counts("T4-W30") == VerdictCounts(conforms=1, not_decided=1, not_judged=1)
    assert store.unit_counts("T4-W30").share_conforming == 0.5  # of those that were judged
    assert store.unit_counts("T4-W29").share_conforming is None
    assert store.unit_counts("T4-W31", procedure="another").share_conforming is None
    newest = store.newest_of_units(lot="T4-W31")
    assert [(s.number, s.unit) for s in newest] == [(6, "T4-W31-0417"), (4, "T4-W31-0418")]


def test_kinds_are_counted_and_found(store: Store) -> None:
    found = {kind: [s.number for s in store.find(kind=kind)] for kind in Kind}
    assert found == {Kind.DERIVED_AGAIN: [6], Kind.REFERENCE: [4], Kind.INSPECTED: [6, 5, 3]}
    assert store.kind_counts() == {kind: len(numbers) for kind, numbers in found.items()}
    assert store.kind_counts(lot="T4-W30") == dict.fromkeys(Kind, 0)


def test_the_running_number_is_that_of_the_list(store: Store) -> None:
    assert [s.number for s in store.find()] == list(range(len(LINE), 0, -1))
    assert all(store.number(s.id) == s.number for s in store.find())
    assert store.next_number() == len(LINE) + 1
