"""Takes of a store offered, corrected and merged; against the takes played that way at once."""

from collections.abc import Callable, Iterator
from functools import cache

import numpy as np
import pytest

from app.errors import BadInputError
from app.measure.again import Opened, open_take
from app.measure.near_and_far import MergeWish, Part, join, keep_joined, stood, taken
from app.records.store import Store
from app.records.take import Take
from hardware.errors import ValueRefusedError
from tests.app.measure.near_field_takes import GAP_M, SD_CM2, far_take, near_take

Places = tuple[Store, Take, Take]


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Places]:
    """A near field of which nobody said the area, and a far field."""
    store = Store.open(tmp_path_factory.mktemp("near") / "records.sqlite")
    yield store, near_take(store=store, radiator_cm2=None), far_take(store=store)
    store.close()


@pytest.fixture(scope="module")
def opened(kept: Places) -> Callable[[str], Opened]:
    return cache(lambda take_id: open_take(kept[0], take_id))


@pytest.fixture(scope="module")
def take_of(kept: Places, opened: Callable[[str], Opened]) -> Callable[[Part], Take]:
    return cache(lambda part: taken(part, store=kept[0], opened=opened))


def wish_of(
    kept: Places, *, low_hz: float | None = None, high_hz: float | None = None
) -> MergeWish:
    _, near, far = kept
    part = Part(take_id=near.id, corrected=(("radiator_cm2", SD_CM2),))
    return MergeWish(near=part, far=Part(take_id=far.id), low_hz=low_hz, high_hz=high_hz)


def test_takes_are_offered_with_where_their_microphone_stood(kept: Places) -> None:
    store, near, far = kept
    offered = stood(store, unit=far.unit)
    assert [one.id for one in offered] == [far.id, near.id]
    assert [one.is_near for one in offered] == [False, True]
    assert offered[1].geometry.distance_m == GAP_M
    assert offered[0].number == store.number(far.id)


def test_an_area_that_is_told_later_is_as_good_as_one_that_was_told_at_once(
    kept: Places, take_of: Callable[[Part], Take]
) -> None:
    joined = join(wish_of(kept), take_of=take_of)
    at_once = near_take()  # the rig's noise repeats
    level = joined.near.curves["level"]
    assert np.array_equal(level.value, at_once.curves["level"].value)
    assert level.valid == at_once.curves["level"].valid
    assert abs(joined.found.merged.offset.value) < 0.1
    assert joined.is_alike
    # 0.2 V against 2 V; a2 / (2 r g) of 85 cm2 and 10 mm (Keele 1974, with its gap).
    assert joined.louder_db == pytest.approx(20.0)
    a = np.sqrt(SD_CM2 * 1e-4 / np.pi)
    wanted = a**2 / (2 * (np.hypot(a, GAP_M) - GAP_M))
    assert joined.scaled_db == pytest.approx(20 * np.log10(wanted), abs=0.01)
    inside = joined.difference.valid.holds(joined.difference.frequency_hz)
    assert np.max(np.abs(joined.difference.value[inside])) < 0.3


def test_one_end_of_a_crossover_may_be_asked_for_and_what_cannot_be_had_is_told(
    kept: Places, take_of: Callable[[Part], Take]
) -> None:
    asked = join(wish_of(kept, high_hz=900.0), take_of=take_of)
    assert asked.found.merged.overlap.high_hz == 900.0
    assert asked.found.merged.overlap.low_hz == asked.suits.low_hz
    assert asked.refused == ""
    refused = join(wish_of(kept, low_hz=100.0), take_of=take_of)
    assert "crossover outside what both hold" in refused.refused
    assert refused.found.merged.overlap == refused.suits


def test_without_an_area_nothing_is_merged_and_a_wrong_one_is_refused(
    kept: Places, take_of: Callable[[Part], Take]
) -> None:
    _, near, far = kept
    bare = MergeWish(near=Part(take_id=near.id), far=Part(take_id=far.id))
    with pytest.raises(BadInputError, match="no near field that can be scaled"):
        join(bare, take_of=take_of)
    with pytest.raises(ValueRefusedError, match="allowed"):
        take_of(Part(take_id=near.id, corrected=(("radiator_cm2", -5.0),)))


def test_what_is_kept_names_takes_that_hold_the_corrections(
    kept: Places, opened: Callable[[str], Opened]
) -> None:
    store, near, far = kept
    before = store.count()
    merged, derived = keep_joined(wish_of(kept), store=store, opened=opened)
    assert store.count() == before + 2
    (again,) = derived
    assert again.derived_from == near.id
    assert merged.rests_on == {"near field": again.id, "far field": far.id}
    assert store.take(again.id).procedure.geometry.radiator_cm2 == SD_CM2
    # It is not offered to be merged once more.
    assert merged.id not in {one.id for one in stood(store, unit=far.unit)}


def test_nothing_is_kept_of_what_cannot_be_merged(
    kept: Places, opened: Callable[[str], Opened]
) -> None:
    store, near, far = kept
    before = store.count()
    wide = Part(take_id=near.id, corrected=(("radiator_cm2", 2000.0),))
    wish = MergeWish(near=wide, far=Part(take_id=far.id))
    with pytest.raises(BadInputError, match="no third of an octave"):
        keep_joined(wish, store=store, opened=opened)
    assert store.count() == before
