"""Trends, curves and numbers of many takes are what the takes themselves say."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from app.records.store import Store
from dsp import Number
from dsp.conformity.curve_set import gather
from tests.app.records.made_takes import START, bits, make_capture, make_take
from tests.app.records.places import KINDS, Places


@pytest.fixture(scope="module", params=KINDS)
def store(request: pytest.FixtureRequest, places: Places) -> Iterator[Store]:
    capture = make_capture()
    with Store.open(places.new(request.param)) as store:
        for n in range(1, 8):
            take = make_take(
                capture,
                seed=n,
                unit=f"T4-W{30 + n % 2}-{n:04d}",
                lot=f"T4-W{30 + n % 2}",
                started_utc=START - timedelta(hours=n),  # kept in another order than made
            )
            numbers = dict(take.numbers)
            if n != 4:
                numbers["fs_hz"] = Number(
                    value=70.0 + n, unit="Hz", uncertainty=0.5, reason="rubs" if n == 2 else ""
                )
            curves = {name: c for name, c in take.curves.items() if n != 5 or name != "h2"}
            store.keep(replace(take, numbers=numbers, curves=curves), capture=capture)
        yield store


def test_a_trend_is_a_number_over_takes_oldest_first(store: Store) -> None:
    trend = store.trend("fs_hz")
    assert trend.unit == "Hz"
    assert [point.take_number for point in trend.points] == [7, 6, 5, 3, 2, 1]
    for point in trend.points:
        take = store.take(point.take_id)
        assert bits(point.number) == bits(take.numbers["fs_hz"])
        assert (point.unit, point.lot, point.verdict) == (take.unit, take.lot, take.verdict)
        assert point.started_utc == take.started_utc


def test_a_trend_goes_over_the_newest_that_pass_the_filters(store: Store) -> None:
    of_lot = store.trend("fs_hz", lot="T4-W31", limit=2)
    assert [point.take_number for point in of_lot.points] == [3, 1]
    assert store.trend("qts").points == ()


def test_a_number_that_could_not_be_told_keeps_its_place_in_a_trend(store: Store) -> None:
    values = [point.number.value for point in store.trend("re_ohm").points]
    assert len(values) == 7
    assert np.isnan(values).all()


def test_the_margin_to_a_mask_makes_a_trend(store: Store) -> None:
    trend = store.margin_trend("window", limit=3)
    assert [(p.take_number, p.number.value) for p in trend.points] == [(3, 0.7), (2, 0.7), (1, 0.7)]
    undecided = store.margin_trend("a resonance").points
    assert np.isnan([point.number.value for point in undecided]).all()
    assert {point.number.reason for point in undecided} == {"not measured"}


def test_masks_of_many_takes(store: Store) -> None:
    ids = [summary.id for summary in store.find()]
    masks = store.masks(take_ids=ids)
    assert list(masks) == ids
    assert all(bits(masks[i]) == bits(dict(store.take(i).masks)) for i in ids)


def test_the_place_of_a_take_is_that_in_the_list(store: Store) -> None:
    for filters in ({}, {"lot": "T4-W31"}, {"text": "W30"}):
        listed = [summary.id for summary in store.find(**filters)]  # type: ignore[arg-type]  # any
        places = [store.place_of(i, **filters) for i in listed]  # type: ignore[arg-type]  # any
        assert places == list(range(len(listed)))
    other = store.find(lot="T4-W30")[0].id
    assert store.place_of(other, lot="T4-W31") is None


def test_curves_of_many_takes_come_in_the_order_asked_and_share_their_frequencies(
    store: Store,
) -> None:
    ids = [summary.id for summary in store.find()]
    curves = store.curves("h2", take_ids=ids)
    assert list(curves) == [i for i in ids if "h2" in store.take(i).curves]
    assert all(bits(curve) == bits(store.take(i).curves["h2"]) for i, curve in curves.items())
    assert len({curve.frequency_hz.ctypes.data for curve in curves.values()}) == 1
    assert store.curves("h2", take_ids=[]) == {}


def test_numbers_of_many_takes(store: Store) -> None:
    ids = [summary.id for summary in store.find()]
    numbers = store.numbers(("fs_hz", "re_ohm"), take_ids=ids)
    assert list(numbers) == ids
    for take_id, some in numbers.items():
        own = store.take(take_id).numbers
        assert {n: bits(v) for n, v in some.items()} == {
            n: bits(v) for n, v in own.items() if n in {"fs_hz", "re_ohm"}
        }


def test_curves_laid_out_for_a_trial_are_those_of_the_takes(store: Store) -> None:
    takes = [store.take(one.id) for one in store.find()]
    (level,) = store.curve_sets(["level"], takes=[store.number(take.id) for take in takes])["level"]
    assert list(level.members) == list(range(len(takes)))
    for take, row in zip(takes, level.value, strict=True):
        assert row.tobytes() == take.curves["level"].value.tobytes()


def test_the_first_takes_of_units_come_oldest_first_with_what_was_found(store: Store) -> None:
    found = store.first_of_units(lot="T4-W31")
    assert [one.number for one in found] == [7, 5, 3, 1]
    assert {tuple(one.causes.items()) for one in found} == {(("coil rub", 0.8),)}
    assert {one.failed for one in found} == {()}


def test_curves_laid_out_together_are_those_of_the_takes(store: Store) -> None:
    takes = store.find()
    rows = [one.number for one in takes]
    found = store.curve_sets(["h2", "level", "nothing"], takes=rows)
    assert found["nothing"] == ()
    for name in ("h2", "level"):
        alone = store.curves(name, take_ids=[one.id for one in takes])
        expected = gather([alone.get(one.id) for one in takes])
        assert expected
        assert bits(found[name]) == bits(expected)
    assert store.curve_sets(["h2"], takes=[]) == {"h2": ()}


def test_numbers_of_very_many_takes_are_those_of_the_takes(store: Store) -> None:
    takes = store.find()
    found = store.number_lists(["fs_hz", "re_ohm"], takes=[one.number for one in takes])
    for name in ("fs_hz", "re_ohm"):
        expected = [store.take(one.id).numbers.get(name) for one in takes]
        assert [bits(one) for one in found[name]] == [bits(one) for one in expected]
    assert None in found["fs_hz"]
    assert store.number_lists([], takes=[1]) == {}


def test_the_newest_take_of_each_unit_is_told_in_little(store: Store) -> None:
    found = store.newest_unit_takes(lot="T4-W31")
    expected = store.newest_of_units(lot="T4-W31")
    assert [
        (one.id, one.number, one.serial, one.lot, one.started_utc, one.verdict) for one in found
    ] == [(one.id, one.number, one.unit, one.lot, one.started_utc, one.verdict) for one in expected]
    assert len(found) > 1
