"""A record holds everything around a take, as the store's other answers tell it."""

import hashlib

from sqlalchemy import select, update

from app.records import tables
from app.records.store import Store
from dsp.conformity.verdict import Verdict
from tests.app.records.made_takes import bits, make_capture, make_take


def test_a_record_tells_what_the_store_knows_about_a_take(where: str) -> None:
    capture = make_capture(2, frames=960, channels=3)
    first = make_take(capture, seed=1)
    again = make_take(
        capture, seed=2, derived_from=first.id, reference_take=first.id, verdict=Verdict.CONFORMS
    )
    with Store.open(where) as store:
        for take in (first, again):
            store.keep(take, capture=capture)
        store.set_reference(first.id, by="N. N.", why="the middle of the lot")
        record = store.record(again.id)
        assert bits(record.take) == bits(again)
        assert (record.number, record.derived_from_number, record.reference_number) == (2, 1, 1)
        assert (record.is_reference, record.mark) == (False, None)
        assert store.record(first.id[:9]).is_reference
        assert record.revision == store.revision_of(again.procedure)
        recording = record.recording
        assert (recording.frames, recording.channels) == (960, 3)
        assert recording.duration_s == 960 / capture.sample_rate_hz
        assert (recording.dropouts, recording.lost_channels) == (capture.dropouts, (2,))


def test_the_last_mark_of_the_unit_stands_in_the_record(where: str) -> None:
    capture = make_capture()
    take = make_take(capture, reference_take="0" * 32)
    with Store.open(where) as store:
        store.keep(take, capture=capture)
        assert store.record(take.id).reference_number is None  # the store does not have that one
        store.mark_unit("T4-W31-0417", "good", by="N. N.", why="looked well")
        store.mark_unit("T4-W31-0417", "bad", by="M. M.", why="coil rubs")
        assert store.record(take.id).mark == store.marks()["T4-W31-0417"]
        assert store.marks()["T4-W31-0417"].mark == "bad"


def test_a_take_of_a_version_that_knew_fewer_keys_still_has_its_record(store: Store) -> None:
    capture = make_capture()
    take = make_take(capture)
    store.keep(take, capture=capture)
    with store._write("not aged") as connection:
        own = tables.snapshots.c
        (document,) = connection.execute(select(own.document).where(own.kind == "procedure")).one()
        older = document.replace(',"limits":null', "")
        assert older != document
        aged = {"document": older, "sha256": hashlib.sha256(older.encode()).hexdigest()}
        connection.execute(update(tables.snapshots).where(own.kind == "procedure").values(aged))
    record = store.record(take.id)
    assert (record.revision.sha256, record.limits) == (aged["sha256"], None)
