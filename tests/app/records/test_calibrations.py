"""Calibrations come back as they were kept, are never changed, and takes point to theirs."""

import dataclasses
import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from app.errors import BadInputError
from app.records.calibration_record import Purpose
from app.records.store import Store
from hardware.chain.edit import with_chain_values
from hardware.chain.schema import Chain
from tests.app.records.made_calibrations import (
    LEAK,
    MADE,
    PASSED,
    QUANTITY,
    make_calibration,
    make_result,
)
from tests.app.records.made_takes import CHAIN, START, bits, make_capture, make_take


def store_at(tmp_path: Path) -> Store:
    return Store.open(tmp_path / "records.sqlite")


def chain_with(key: str, value: object) -> Chain:
    return with_chain_values(CHAIN, {tuple(key.split(".")): value}).chain


def test_a_calibration_comes_back_to_the_last_bit_with_its_recordings(where: str) -> None:
    couplings = [make_capture(seed) for seed in (1, 2, 3)]
    refused = make_calibration(*couplings, results=(make_result(checks=(PASSED, LEAK)),))
    with Store.open(where) as store:
        store.keep_calibration(refused, captures=couplings)
    with Store.open(where) as store:
        back = store.calibration(refused.id[:8])
        assert bits(dataclasses.replace(back, chain=CHAIN)) == bits(refused)
        assert back.chain == refused.chain
        assert (back.accepted, back.reasons) == (False, (LEAK.sentence,))
        for one, kept in zip(couplings, store.calibration_captures(back), strict=True):
            assert bits(one) == bits(kept)


def test_what_is_kept_is_never_changed_nor_removed(tmp_path: Path) -> None:
    capture = make_capture()
    record = make_calibration(capture)
    with store_at(tmp_path) as store:
        store.keep_calibration(record, captures=[capture])
        with pytest.raises(BadInputError):  # the id is taken
            store.keep_calibration(record, captures=[capture])
        where = store.name
    for statement in (
        "UPDATE calibrations SET accepted = 0",
        "DELETE FROM calibrations",
        "UPDATE calibration_captures SET dropouts = 0",
    ):
        with (
            closing(sqlite3.connect(where)) as connection,
            pytest.raises(sqlite3.IntegrityError, match="kept as they were"),
        ):
            connection.execute(statement)


def test_a_document_that_somebody_changed_behind_its_back_is_refused(tmp_path: Path) -> None:
    capture = make_capture()
    record = make_calibration(capture)
    with store_at(tmp_path) as store:
        store.keep_calibration(record, captures=[capture])
        with closing(sqlite3.connect(store.name)) as connection, connection:
            connection.execute("DROP TRIGGER calibrations_no_update")
            connection.execute(
                "UPDATE calibrations SET document = replace(document, '0.0123', '0.0124')"
            )
        with pytest.raises(BadInputError, match="not the one that was kept"):
            store.calibration(record.id)


def test_nobody_and_another_recording_are_refused_and_nothing_is_left(tmp_path: Path) -> None:
    capture = make_capture()
    with store_at(tmp_path) as store:
        for record, line in (
            (make_calibration(capture, operator=" "), "operator is empty"),
            (make_calibration(make_capture(7)), "another recording than it names"),
            (make_calibration(), "recordings: given 1, allowed 0"),
            (make_calibration(capture, results=()), "no result"),
        ):
            with pytest.raises(BadInputError, match=line):
                store.keep_calibration(record, captures=[capture])
        assert store.calibrations() == ()
    assert not list(tmp_path.rglob("*.wav"))


def test_recordings_of_calibrations_outlive_the_tidying_at_the_next_opening(
    tmp_path: Path,
) -> None:
    capture = make_capture()
    record = make_calibration(capture)
    with store_at(tmp_path) as store:
        store.keep_calibration(record, captures=[capture])
    # As a process leaves it that was killed between the commit and the end of ``keep``.
    (tmp_path / "records.sqlite-captures" / "arriving" / record.captures[0]).touch()
    with store_at(tmp_path) as store:
        assert len(store.calibration_captures(record)) == 1


def test_the_history_of_a_link_comes_newest_first(where: str) -> None:
    capture = make_capture()
    records = [
        make_calibration(capture, seed=days, made_utc=MADE + timedelta(days=days))
        for days in (2, 0, 1)
    ]
    other = make_calibration(capture, seed=9, link="input.sense")
    with Store.open(where) as store:
        for record in (*records, other):
            store.keep_calibration(record, captures=[capture])
        history = store.calibrations(chain="bench 2", link="input.pressure")
        assert [(one.made_utc - MADE).days for one in history] == [2, 1, 0]
        day = MADE + timedelta(days=1)
        assert len(store.calibrations(link="input.pressure", until=day)) == 2
        assert len(store.calibrations(limit=1)) == 1
        assert store.calibrations(chain="bench 1") == ()


@pytest.mark.parametrize(
    ("key", "value"),
    [(QUANTITY, 0.0124), ("input.pressure.full_scale_v", 0.31)],
    ids=["typed since", "rests on another input scale"],
)
def test_a_value_stands_on_its_calibration_while_the_chain_says_the_same(
    tmp_path: Path, key: str, value: float
) -> None:
    capture = make_capture()
    record = make_calibration(capture)
    with store_at(tmp_path) as store:
        store.keep_calibration(record, captures=[capture])
        assert store.calibration_state(CHAIN.chain).in_force == {QUANTITY: record.id}
        assert store.calibration_state(chain_with(key, value)).in_force == {}
        assert store.calibration_state(chain_with("name", "bench 3")).in_force == {}


def test_a_value_stands_on_the_newest_until_then_or_on_the_first_after(where: str) -> None:
    capture, day = make_capture(), timedelta(days=1)
    records = [make_calibration(capture, seed=at, made_utc=MADE + at * day) for at in range(1, 4)]
    with Store.open(where) as store:
        for record in records:
            store.keep_calibration(record, captures=[capture])
        for hours, at in ((0, 0), (25, 0), (49, 1), (99, 2)):
            moment = MADE + timedelta(hours=hours)
            state = store.calibration_state(CHAIN.chain, until=moment)
            assert state.in_force == {QUANTITY: records[at].id}


@pytest.mark.parametrize("purpose", list(Purpose))
def test_a_refused_one_fails_the_link_until_one_is_accepted(
    tmp_path: Path, purpose: Purpose
) -> None:
    capture, day = make_capture(), timedelta(days=1)
    good = make_calibration(capture)
    bad = make_calibration(
        capture,
        seed=2,
        purpose=purpose,
        made_utc=MADE + day,
        results=(make_result(checks=(LEAK,)),),
    )
    mended = make_calibration(capture, seed=3, made_utc=MADE + 2 * day)
    with store_at(tmp_path) as store:
        for record in (good, bad, mended):
            store.keep_calibration(record, captures=[capture])
        (failed,) = store.calibration_state(CHAIN.chain, until=MADE + day).failed
        assert failed.calibration == bad.id
        assert failed.sentence == (
            f"input.pressure: {purpose.value} of 2026-07-27 was refused: {LEAK.sentence}"
        )
        still = store.calibration_state(CHAIN.chain, until=MADE + day).in_force
        assert still == {QUANTITY: good.id}
        state = store.calibration_state(CHAIN.chain)
        assert (state.failed, state.in_force) == ((), {QUANTITY: mended.id})


def test_a_take_names_the_calibrations_that_it_stands_on(where: str) -> None:
    capture = make_capture()
    record = make_calibration(capture)
    take = make_take(capture, calibrations=(record.id,))
    with Store.open(where) as store:
        with pytest.raises(BadInputError, match="no such calibration"):
            store.keep(take, capture=capture)
        store.keep_calibration(record, captures=[capture])
        store.keep(take, capture=capture)
        assert store.take(take.id).calibrations == (record.id,)
        assert record.made_utc < START
