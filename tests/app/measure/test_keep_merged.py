"""A merged response is kept as a take that names where it came from, and can be made again."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest

from app.errors import BadInputError
from app.measure.again import derive_again, open_take, with_gate
from app.measure.keep_merged import FAR, NEAR, is_merged, keep_merged
from app.measure.merge_takes import MergedTakes, merge_takes
from app.procedure.schema import LimitsNamed
from app.records.store import Store
from app.report.take_document import take_document
from dsp.conformity.verdict import Verdict
from tests.app.measure.bench_job import open_store
from tests.app.measure.near_field_takes import far_take, near_take
from tests.app.records.made_takes import PROCEDURE


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with open_store(tmp_path_factory.mktemp("merged")) as opened:
        yield opened


@pytest.fixture(scope="module")
def found(store: Store) -> MergedTakes:
    return merge_takes(near_take(store=store), far=far_take(store=store))


def test_it_is_a_take_that_names_both_and_holds_the_merged_curves(
    store: Store, found: MergedTakes
) -> None:
    take = store.take(keep_merged(found, store=store).id)
    assert take.rests_on == {NEAR: found.near, FAR: found.far}
    assert take.derived_from == found.far
    np.testing.assert_array_equal(take.curves["level"].value, found.merged.level.value)
    assert take.numbers["crossover_low_hz"].value == found.merged.overlap.low_hz
    assert take_document(take)["rests_on"] == {NEAR: found.near, FAR: found.far}
    assert (take.unit, take.lot) == (found.unit, found.lot)
    # Its two takes lie in it as they were, and are not taken for it.
    assert not is_merged(store.take(found.far))
    assert store.record(take.id).rests_on == {
        gave: store.number(other) for gave, other in take.rests_on.items()
    }
    assert store.record(found.near).gave == {NEAR}


def test_no_spread_of_a_lot_meets_it(store: Store, found: MergedTakes) -> None:
    plain = store.take(found.far)
    limits = LimitsNamed(set="T4 line", revision=7)
    judged = plain.procedure.model_copy(update={"masks": PROCEDURE.masks, "limits": limits})
    far = replace(plain, id="fa" * 16, procedure=judged)
    store.keep(far, capture=store.capture(plain))
    take = keep_merged(replace(found, far=far.id), store=store)
    assert take.procedure.name == f"{far.procedure.name}, merged"
    assert (dict(take.masks), take.verdict) == ({}, Verdict.NOT_JUDGED)
    assert (take.procedure.masks, take.procedure.limits) == ({}, None)
    of_far = store.find(procedure=far.procedure.name)
    assert take.id not in {one.id for one in of_far}


@pytest.mark.parametrize("asked_hz", [None, (400.0, 700.0)])
def test_derived_again_it_is_merged_again_bit_for_bit(
    store: Store, found: MergedTakes, asked_hz: tuple[float, float] | None
) -> None:
    close, distant = store.take(found.near), store.take(found.far)
    kept = keep_merged(merge_takes(close, far=distant, asked_hz=asked_hz), store=store)
    again = derive_again(open_take(store, kept.id), store=store, keep=False).take
    for name, curve in kept.curves.items():
        np.testing.assert_array_equal(again.curves[name].value, curve.value)
    assert dict(again.numbers) == dict(kept.numbers)
    assert (again.rests_on, again.derived_from) == (kept.rests_on, found.far)
    assert again.warnings == kept.warnings


def test_another_gate_is_the_far_fields_affair(store: Store, found: MergedTakes) -> None:
    opened = open_take(store, keep_merged(found, store=store).id)
    with pytest.raises(BadInputError, match="derive the far field again, then merge"):
        derive_again(with_gate(opened, gate_ms=4.0), store=store)


def test_warnings_of_its_takes_go_with_it(store: Store, found: MergedTakes) -> None:
    told = [
        one for one in keep_merged(found, store=store).warnings if one.startswith("near field:")
    ]
    assert len(told) == len(store.take(found.near).warnings)


def test_without_its_takes_in_the_store_it_is_not_kept(store: Store, found: MergedTakes) -> None:
    count = store.count()
    with pytest.raises(BadInputError, match="no such take"):
        keep_merged(replace(found, near="0" * 32), store=store)
    assert store.count() == count
