"""A take names the calibrations of its chain; a failed link marks it until it is mended."""

import dataclasses
import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from app.measure.again import derive_again, open_take
from app.measure.events import Finished, Warned
from app.measure.excite import excite
from app.measure.runner import Run
from app.records.calibration_record import CalibrationRecord, Purpose
from app.records.store import Store
from app.report.take_document import take_document
from dsp.conformity.verdict import Verdict
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import chain, job, open_store
from tests.app.records.made_calibrations import (
    LEAK,
    PASSED,
    QUANTITY,
    make_calibration,
    make_result,
)
from tests.app.records.made_takes import make_capture

HOUR = timedelta(hours=1)


def proof(*, hours: float, seed: int, passed: bool, purpose: Purpose) -> CalibrationRecord:
    """Of the bench's microphone, so many hours from now."""
    record = make_calibration(
        make_capture(),
        seed=seed,
        chain=chain(),
        purpose=purpose,
        made_utc=datetime.now(UTC) + hours * HOUR,
        results=(make_result(value=0.05, checks=(PASSED if passed else LEAK,)),),
        holds_while={},
    )
    if passed and purpose is Purpose.CALIBRATION:
        return dataclasses.replace(record, holds_while={QUANTITY: 0.05})
    return record


def keep(store: Store, *records: CalibrationRecord) -> None:
    for record in records:
        store.keep_calibration(record, captures=[make_capture()])


def take_one(store: Store) -> tuple[Finished, list[str]]:
    asked = job(store=store)
    run = Run(
        asked,
        excitation=excite(asked.procedure, asked.chain),
        card=VirtualCard(asked.chain),
    )
    events = list(run.events())
    last = events[-1]
    assert isinstance(last, Finished)
    return last, [event.sentence for event in events if isinstance(event, Warned)]


@pytest.mark.parametrize("purpose", list(Purpose))
def test_a_failed_link_marks_every_take_until_it_is_mended(
    tmp_path: Path, purpose: Purpose
) -> None:
    good = proof(hours=-3, seed=1, passed=True, purpose=Purpose.CALIBRATION)
    bad = proof(hours=-2, seed=2, passed=False, purpose=purpose)
    mended = proof(hours=-1, seed=3, passed=True, purpose=purpose)
    with open_store(tmp_path) as store:
        keep(store, good)
        clean, said = take_one(store)
        assert clean.take.verdict is Verdict.CONFORMS
        assert clean.take.calibrations == (good.id,)
        assert said == []

        keep(store, bad)
        marked, said = take_one(store)
        sentence = f"input.pressure: {purpose.value} of {bad.made_utc.date()} was refused: "
        assert said == [sentence + LEAK.sentence]
        assert marked.take.verdict is Verdict.NOT_DECIDED
        assert marked.take.masks["level"].reason == said[0]
        # In JSON, in the record, and in the store.
        assert said[0] in json.dumps(take_document(marked.take), ensure_ascii=False)
        assert store.record(marked.take.id).take.warnings == tuple(said)

        keep(store, mended)
        again, said = take_one(store)
        assert (again.take.verdict, said) == (Verdict.CONFORMS, [])


def test_a_take_that_is_derived_again_stands_as_it_stood_then(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        clean, _ = take_one(store)
        keep(store, proof(hours=1, seed=2, passed=False, purpose=Purpose.CHECK))
        again = derive_again(open_take(store, clean.take.id), store=store, keep=False)
        assert again.take.verdict is Verdict.CONFORMS
        assert again.take.warnings == clean.take.warnings


def test_a_value_that_was_typed_stands_on_no_calibration(tmp_path: Path) -> None:
    record = proof(hours=-1, seed=1, passed=True, purpose=Purpose.CALIBRATION)
    other = dataclasses.replace(record, holds_while={QUANTITY: 0.0501})
    with open_store(tmp_path) as store:
        keep(store, other)
        taken, _ = take_one(store)
        assert taken.take.calibrations == ()
