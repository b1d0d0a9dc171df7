"""What is kept comes back, to the last bit; what does not belong together is refused."""

import dataclasses
import math
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any
from uuid import uuid4

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from sqlalchemy import func, select

from app.errors import BadInputError
from app.records import tables
from app.records.captures import audio_hash
from app.records.engine import reading
from app.records.store import Store
from app.records.take import Finding
from dsp import Curve, Number, ValidRange
from dsp.conformity.verdict import MaskResult, Verdict
from tests.app.records.made_takes import START, bits, make_capture, make_curves, make_take


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with Store.open(tmp_path_factory.mktemp("shared") / "records.sqlite") as store:
        yield store


def test_a_take_comes_back_to_the_last_bit_after_the_store_was_closed(where: str) -> None:
    capture = make_capture()
    take = make_take(capture, reference_take="ab" * 16, derived_from="cd" * 16)
    with Store.open(where) as first:
        first.keep(take, capture=capture)
    with Store.open(where) as second:
        got = second.take(take.id)
        assert bits(got) == bits(take)
        assert bits(second.capture(got)) == bits(capture)


def test_a_take_names_the_takes_that_it_rests_on_and_those_must_be_there(store: Store) -> None:
    capture = make_capture()
    heavy, first = make_take(capture, seed=2), make_take(capture, seed=3)
    resting = dataclasses.replace(first, rests_on={"added mass": heavy.id})
    with pytest.raises(BadInputError, match="take with added mass: the store does not hold it"):
        store.keep(resting, capture=capture)
    assert store.count() == 0
    store.keep(heavy, capture=capture)
    store.keep(resting, capture=capture)
    assert bits(store.take(first.id)) == bits(resting)
    assert (store.gave(heavy.id), store.gave(first.id)) == (
        frozenset({"added mass"}),
        frozenset(),
    )


def test_a_lot_whose_name_is_signs_alone_is_kept(store: Store) -> None:
    capture = make_capture()
    take = make_take(capture, lot="--")
    store.keep(take, capture=capture)
    assert store.take(take.id).lot == "--"


def test_a_take_without_anything_optional_comes_back(store: Store) -> None:
    capture = make_capture()
    bare = make_take(
        capture, unit=None, lot=None, numbers={}, curves={}, masks={}, warnings=(), findings=()
    )
    store.keep(bare, capture=capture)
    assert bits(store.take(bare.id)) == bits(bare)


AnyFloat = st.floats(allow_nan=True, allow_infinity=True, allow_subnormal=True)
Text = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=8)
Numbers = st.builds(
    Number,
    value=AnyFloat,
    unit=Text,
    uncertainty=st.none() | AnyFloat,
    k=AnyFloat,
    how=Text,
    reason=Text,
)
Masks = st.builds(
    MaskResult,
    verdict=st.sampled_from(Verdict),
    margin=AnyFloat,
    nearest_hz=st.none() | AnyFloat,
    reason=Text,
)


@st.composite
def any_curve(draw: st.DrawFn) -> Curve:
    size = draw(st.integers(0, 20))

    def row() -> np.ndarray:
        return np.array(draw(st.lists(AnyFloat, min_size=size, max_size=size)), dtype=np.float64)

    bounds = st.lists(st.booleans(), min_size=size, max_size=size)
    return Curve(
        frequency_hz=np.cumsum(np.full(size, draw(st.floats(0.1, 1000)))),
        value=row(),
        unit=draw(Text),
        valid=ValidRange(low_hz=draw(AnyFloat), high_hz=draw(AnyFloat), low_reason=draw(Text)),
        uncertainty=row() if draw(st.booleans()) else None,
        is_bound=np.array(draw(bounds), dtype=np.bool_) if draw(st.booleans()) else None,
        how=draw(Text),
    )


@settings(
    deadline=None,
    max_examples=40,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    numbers=st.dictionaries(Text, Numbers, max_size=4),
    curves=st.dictionaries(Text, any_curve(), max_size=3),
    masks=st.dictionaries(Text, Masks, max_size=4),
    findings=st.lists(
        st.builds(
            Finding, cause=Text, confidence=AnyFloat, because=st.lists(Text, max_size=2).map(tuple)
        ),
        max_size=2,
    ).map(tuple),
    started=st.datetimes(timezones=st.just(UTC)),
)
def test_whatever_floats_and_words_a_take_holds_come_back(
    shared: Store, started: datetime, **held: Any
) -> None:
    capture = make_capture()
    take = make_take(capture, id=uuid4().hex, started_utc=started, **held)
    shared.keep(take, capture=capture)
    assert bits(shared.take(take.id)) == bits(take)


def test_figures_of_numpy_are_kept_as_plain_ones(store: Store) -> None:
    capture = make_capture()
    number = Number(value=np.float64(1.5), unit="ohm", uncertainty=np.float64(0.25))
    mask = MaskResult(verdict=Verdict.CONFORMS, margin=np.float64(2.5), nearest_hz=np.float64(50))
    take = make_take(capture, numbers={"re_ohm": number}, masks={"m": mask})
    offset: Any = np.int64(9)
    odd = dataclasses.replace(take, capture_offset=offset)
    store.keep(odd, capture=capture)
    got = store.take(take.id)
    assert bits(got.numbers["re_ohm"]) == bits(Number(value=1.5, unit="ohm", uncertainty=0.25))
    assert got.masks["m"].nearest_hz == 50
    assert type(got.capture_offset) is int
    assert got.capture_offset == 9


def test_averages_in_the_database_leave_nan_out(store: Store) -> None:
    capture = make_capture()
    for seed, ohm in ((1, 6.0), (2, math.nan), (3, 7.0)):
        numbers = {"re_ohm": Number(value=ohm, unit="ohm")}
        store.keep(make_take(capture, seed=seed, numbers=numbers), capture=capture)
    with reading(store._engine) as connection:
        assert connection.execute(select(func.avg(tables.numbers.c.value))).scalar() == 6.5


def test_procedures_chains_frequencies_and_captures_are_kept_once(store: Store) -> None:
    capture = make_capture()
    for seed in range(5):
        take = make_take(capture, seed=seed, curves=make_curves(seed))
        store.keep(take, capture=capture)
    counted = {tables.snapshots: 2, tables.axes: 2, tables.captures: 1, tables.units: 1}
    with reading(store._engine) as connection:
        for table, rows in counted.items():
            query = select(func.count()).select_from(table)
            assert connection.execute(query).scalar() == rows, table.name
    assert len(list(store.folder.rglob("*.wav"))) == 1


def test_what_the_card_told_belongs_to_the_take_not_to_the_samples(store: Store) -> None:
    captures = [dataclasses.replace(make_capture(), dropouts=n, card=f"card {n}") for n in (0, 4)]
    takes = [make_take(capture, seed=n) for n, capture in enumerate(captures)]
    for take, capture in zip(takes, captures, strict=True):
        store.keep(take, capture=capture)
    assert [store.capture(take).dropouts for take in takes] == [0, 4]
    assert [store.capture(take).card for take in takes] == ["card 0", "card 4"]


def test_samples_that_an_excitation_played_come_back(store: Store) -> None:
    capture, samples = make_capture(), np.random.default_rng(3).normal(size=1000)
    take = make_take(capture, audio={"music/a.wav": audio_hash(samples)})
    store.keep(take, capture=capture, audio={"music/a.wav": samples})
    again = make_take(capture, seed=2, audio={"same.wav": audio_hash(samples)})
    store.keep(again, capture=capture)  # the store has them already
    got = store.take(again.id)
    assert got.audio == again.audio
    assert bits(store.audio(got)["same.wav"]) == bits(samples)


def test_the_first_digits_of_an_id_find_a_take_unless_several_begin_so(store: Store) -> None:
    capture = make_capture()
    for take_id in ("ab" + "0" * 30, "ab" + "f" * 30):
        store.keep(make_take(capture, id=take_id), capture=capture)
    assert store.take("abf").id == "ab" + "f" * 30
    with pytest.raises(BadInputError, match="take: several takes begin so: given ab, allowed more"):
        store.take("ab")
    with pytest.raises(BadInputError, match="take: the store holds no such take: given ac"):
        store.take("ac")
    for no_id in ("", "a%", "abz"):
        with pytest.raises(BadInputError, match="take: not an id"):
            store.take(no_id)


def test_a_take_is_kept_once_and_the_first_stays(store: Store) -> None:
    capture = make_capture()
    take = make_take(capture)
    store.keep(take, capture=capture)
    other = make_capture(2)
    twin = make_take(other, id=take.id, unit="T4-W31-0418")
    with pytest.raises(BadInputError, match="is in the store already"):
        store.keep(twin, capture=other)
    assert bits(store.take(take.id)) == bits(take)
    assert len(list(store.folder.rglob("*.wav"))) == 1


def test_what_does_not_belong_to_a_take_is_refused_and_leaves_nothing(store: Store) -> None:
    capture, samples = make_capture(), np.ones(10)
    empty = dataclasses.replace(capture, samples=np.zeros((0, 2), dtype=np.float32))
    named = make_take(capture, audio={"a.wav": audio_hash(samples)})
    naive = make_take(capture, started_utc=START.replace(tzinfo=None))
    for take, recording, audio, line in (
        (make_take(capture), make_capture(2), {}, "another recording than it names"),
        (make_take(empty), empty, {}, "empty recording"),
        (named, capture, {}, "samples are missing: given a.wav"),
        (named, capture, {"a.wav": samples * 2}, "other samples than it names: given a.wav"),
        (make_take(capture), capture, {"b.wav": samples}, "other samples than it names"),
        (naive, capture, {}, "no time zone"),
    ):
        with pytest.raises(BadInputError, match=line):
            store.keep(take, capture=recording, audio=audio)
    assert store.find() == ()
    assert not list(store.folder.rglob("*.wav"))
