"""A calibration changes the chain file only if it is accepted, and is kept in any case."""

import dataclasses
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from app.calibrate.asked import Asked
from app.calibrate.found import Found
from app.calibrate.history import History
from app.calibrate.run import Calibrated, calibrate
from app.errors import BadInputError
from app.records.calibration_record import Purpose, UsedInstrument
from app.records.store import Store
from dsp.calibration.calibration import Check
from dsp.calibration.conditions import Conditions
from hardware.card import Capture
from hardware.chain.load import load_chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.errors import FileError
from tests.app.records.made_calibrations import LEAK, PASSED, QUANTITY, make_result

CHAIN = """\
name = "a bench"        # over the door
[output.drive]
channel = 1
full_scale_v = 2.0
max_terminal_v_rms = 6.0
[input.pressure]
channel = 1
full_scale_v = 2.0
sensitivity_v_per_pa = 0.0121   # by the data sheet
preamplifier_gain = 10.0
"""
MADE = datetime(2026, 8, 3, 7, 30, tzinfo=UTC)
ASKED = Asked(
    operator="N. N.",
    instrument=UsedInstrument(name="pistonphone, class 1", certificate="K-2026-114"),
    conditions=Conditions(),
)


@dataclasses.dataclass(frozen=True, kw_only=True)
class Scripted:
    """A method that finds what it is told to."""

    value: float = 0.01234567
    checks: tuple[Check, ...] = (PASSED,)

    def find(
        self,
        captures: Sequence[Capture],  # noqa: ARG002  it is told what they say
        *,
        chain: ChainSnapshot,  # noqa: ARG002
        asked: Asked,  # noqa: ARG002
        history: History,  # noqa: ARG002
    ) -> Found:
        return Found(
            link="input.pressure",
            results=(make_result(value=self.value, checks=self.checks),),
            method="told",
            given={"level_db": 94.0},
            rests_on=("input.pressure.full_scale_v", "input.pressure.preamplifier_gain"),
        )


def recording(*, at: datetime = MADE, seed: int = 1, **changes: Any) -> Capture:
    samples = np.random.default_rng(seed).normal(scale=0.1, size=(480, 1)).astype(np.float32)
    capture = Capture(samples=samples, sample_rate_hz=48_000.0, started_utc=at, card="a card")
    return dataclasses.replace(capture, **changes)


class Bench:
    """A chain file and a store in a folder."""

    def __init__(self, folder: Path) -> None:
        self.file, self.place = folder / "chain.toml", folder / "records.sqlite"
        self.file.write_text(CHAIN)

    def calibrate(
        self, method: Scripted, *captures: Capture, asked: Asked = ASKED, between: str = ""
    ) -> Calibrated:
        chain = load_chain(self.file)
        if between:
            self.file.write_text(between)
        with Store.open(self.place) as store:
            return calibrate(
                method,
                captures or (recording(),),
                link="input.pressure",
                asked=asked,
                chain=chain,
                chain_file=self.file,
                store=store,
            )

    def in_force(self) -> dict[str, str]:
        with Store.open(self.place) as store:
            return dict(store.calibration_state(load_chain(self.file).chain).in_force)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path)


def test_an_accepted_one_is_written_with_its_interval_and_its_day(bench: Bench) -> None:
    done = bench.calibrate(Scripted())
    # u = hypot(0.075, 0.02) = 0.0776 dB; times Student's factor for 453 degrees of freedom
    # (0.0776**4 * 2 / 0.02**4) 2.0055: 0.1557 dB, rounded up. Value: 0.0002 V/Pa is its interval.
    assert bench.file.read_text() == CHAIN.replace(
        "0.0121   # by the data sheet\npreamplifier_gain = 10.0\n",
        "0.012346   # by the data sheet\npreamplifier_gain = 10.0\n"
        "calibrated_on = 2026-08-03\nsensitivity_uncertainty_db = 0.16\n\n"
        "[input.pressure.sensitivity_found_with]\nsensitivity_v_per_pa = 0.012346\nchannel = 1\n"
        "full_scale_v = 2.0\npreamplifier_gain = 10.0\n",
    )
    assert done.chain == load_chain(bench.file)
    assert bench.in_force() == {QUANTITY: done.record.id}
    assert done.record.holds_while == {
        "input.pressure.full_scale_v": 2.0,
        "input.pressure.preamplifier_gain": 10.0,
        QUANTITY: 0.012346,
        "input.pressure.sensitivity_uncertainty_db": 0.16,
    }


def test_a_refused_one_is_kept_and_changes_nothing(bench: Bench) -> None:
    done = bench.calibrate(Scripted(checks=(PASSED, LEAK)))
    assert bench.file.read_text() == CHAIN
    with Store.open(bench.place) as store:
        (kept,) = store.calibrations()
        assert (kept.id, kept.accepted, kept.reasons) == (done.record.id, False, (LEAK.sentence,))
        assert len(store.calibration_captures(kept)) == 1
        assert store.calibration_state(kept.chain.chain).failed[0].calibration == kept.id


def test_a_check_changes_nothing_even_where_it_passes(bench: Bench) -> None:
    check = dataclasses.replace(ASKED, purpose=Purpose.CHECK)
    assert bench.calibrate(Scripted(), asked=check).record.accepted
    assert bench.file.read_text() == CHAIN
    assert bench.in_force() == {}


@pytest.mark.parametrize(
    ("later", "value", "accepted"),
    [
        (timedelta(hours=9), 0.0123 * 10 ** (0.19 / 20), True),
        (timedelta(hours=9), 0.0123 * 10 ** (0.21 / 20), False),
        (timedelta(hours=9), 0.0123 * 10 ** (-0.21 / 20), False),
        (timedelta(days=1), 0.0123 * 10 ** (0.21 / 20), True),  # another day begins anew
    ],
)
def test_checks_before_and_after_a_day_must_agree_within_a_fifth_of_a_decibel(
    bench: Bench, later: timedelta, value: float, accepted: bool
) -> None:
    check = dataclasses.replace(ASKED, purpose=Purpose.CHECK)
    assert bench.calibrate(Scripted(value=0.0123), asked=check).record.accepted
    evening = bench.calibrate(
        Scripted(value=value), recording(at=MADE + later, seed=2), asked=check
    )
    assert evening.record.accepted is accepted
    assert all("cannot be relied on" in reason for reason in evening.record.reasons)


@pytest.mark.parametrize(("due", "accepted"), [(date(2026, 8, 4), True), (date(2026, 8, 3), False)])
def test_an_instrument_past_its_own_term_proves_nothing(
    bench: Bench, due: date, accepted: bool
) -> None:
    used = dataclasses.replace(ASKED.instrument, due_on=due)
    done = bench.calibrate(Scripted(), asked=dataclasses.replace(ASKED, instrument=used))
    assert done.record.accepted is accepted
    if not accepted:
        assert done.record.reasons == (
            "certificate K-2026-114 of the instrument was due on 2026-08-03: send it in first",
        )


@pytest.mark.parametrize("trouble", [{"dropouts": 2}, {"lost_channels": (1,)}])
def test_a_recorder_in_trouble_proves_nothing(bench: Bench, trouble: dict[str, Any]) -> None:
    done = bench.calibrate(Scripted(), recording(**trouble))
    assert not done.record.accepted
    assert done.record.reasons[0].endswith("record again")


def test_the_same_recording_twice_says_nothing_about_repeatability(bench: Bench) -> None:
    with pytest.raises(BadInputError, match="the same one twice"):
        bench.calibrate(Scripted(), recording(), recording())


def test_what_the_chain_file_cannot_hold_is_refused_before_anything_is_kept(
    bench: Bench,
) -> None:
    method = Scripted(value=-0.0123)
    with pytest.raises(Exception, match="sensitivity_v_per_pa: not positive"):
        bench.calibrate(method)
    with Store.open(bench.place) as store:
        assert store.calibrations() == ()


def test_a_file_changed_meanwhile_stays_and_the_record_is_not_in_force(bench: Bench) -> None:
    other = CHAIN.replace("preamplifier_gain = 10.0", "preamplifier_gain = 20.0")
    with pytest.raises(FileError, match="changed since it was opened"):
        bench.calibrate(Scripted(), between=other)
    assert bench.file.read_text() == other
    assert bench.in_force() == {}
